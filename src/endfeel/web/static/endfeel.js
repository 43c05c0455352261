// Small helps on top of forms that work without them: steppers, rulers, filling in an offer, what is typed and not saved.
import { isTouched, keyOf } from "./visit.js";

document.documentElement.classList.add("scripted");

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-step], [data-fill], [data-set]");
  if (!button) return;
  if (button.dataset.fill) fill(button.dataset.fill);
  else if (button.dataset.set) putIn(document.getElementById(button.dataset.for), button.dataset.set);
  else step(document.getElementById(button.dataset.for), Number(button.dataset.step));
});

function putIn(field, value) {
  field.value = value;
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

// A ruler and the number beside it say the same.
document.addEventListener("input", (event) => {
  const one = event.target;
  if (one.type === "range" && one.dataset.for) document.getElementById(one.dataset.for).value = one.value;
  else if (one.id.startsWith("field-")) {
    const ruler = document.querySelector(`input[type=range][data-for="${one.id}"]`);
    const number = Number(one.value.trim().replace(",", "."));
    if (ruler && one.value.trim() && !Number.isNaN(number)) ruler.value = number;
  }
});

// A row of numbers is one stop of the Tab key; arrow keys move along it.
function rove(row) {
  const buttons = [...row.querySelectorAll("button")];
  buttons.forEach((one, at) => { one.tabIndex = at ? -1 : 0; });
}
document.addEventListener("keydown", (event) => {
  const row = event.target.closest?.("[data-roving]");
  const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
  if (!row || !by || event.defaultPrevented) return;
  const buttons = [...row.querySelectorAll("button")];
  const next = buttons[(buttons.indexOf(event.target) + by + buttons.length) % buttons.length];
  for (const one of buttons) one.tabIndex = one === next ? 0 : -1;
  next.focus();
  event.preventDefault();
});

function step(field, by) {
  const written = field.value.trim().replace(",", ".");
  const now = Number(written);
  if (Number.isNaN(now)) return;
  putIn(field, written === "" ? field.dataset.start : String(Math.round((now + by) * 10) / 10));
}

// An offer replaces the words of the test; side, level and what was found are kept by writing on after it.
function fill(words) {
  const line = document.getElementById("line");
  const found = line.value.match(/(?:^|\s)(?=\d|[mp]\d|fam\b|\+|neg\b|pos\b|[RL]\s|[TC]\d)/i);
  const kept = found && line.value.slice(0, found.index).trim() ? line.value.slice(found.index).trim() : "";
  line.value = `${words} ${kept}`.trimEnd() + " ";
  line.focus();
  document.getElementById("offers").replaceChildren();
}

// What is brought into view after a change: a rise in urgency first, then the first wrong field, then the next test.
// A typed line keeps the cursor where it was.
let bringNow = false;
let source = null;
document.addEventListener("endfeel:before", ({ detail }) => {
  source = detail.from;
  bringNow = detail.then === "now";
  keepTyped();
});
document.addEventListener("endfeel:shown", () => {
  fold();
  const kept = giveBackTyped();
  if (!bring() && bringNow) {
    const now = document.getElementById("now");
    if (now) under(now);
  }
  if (kept) tell(kept);
  front();
});

// What stands in front now: rows of numbers get their one stop, and a keyboard that lost its place is put before the test.
function front() {
  document.querySelectorAll("[data-roving]").forEach(rove);
  if (document.activeElement === document.body) document.getElementById("now-title")?.focus({ preventScroll: true });
  document.dispatchEvent(new CustomEvent("endfeel:front"));
}

function bring() {
  const wanted = document.querySelector("[data-bring]") || document.querySelector("main .wrong input:not([type=hidden]), main .wrong textarea, main [aria-invalid]");
  if (!wanted) return false;
  if (wanted.matches("[data-bring]")) under(wanted);
  else wanted.scrollIntoView({ block: "center" });
  wanted.focus({ preventScroll: true });
  return true;
}

// Below what was just said, which stays at the top of the window.
function under(element) {
  const top = element.getBoundingClientRect().top + window.scrollY - document.getElementById("said").offsetHeight - 12;
  window.scrollTo({ top, behavior: "instant" });  // nothing glides away under the next press
}

function tell(words) {
  const box = document.getElementById("said");
  if (box.querySelector(".said")) return;
  const said = document.createElement("div");
  said.className = "said";
  said.textContent = words;
  box.replaceChildren(said);
}

// What was pressed or typed but not saved outlives a change of minutes, of position or of the test in front: it is given
// back when its test stands there again. A form that was sent takes its own with it.
const typed = new Map();

function keepTyped() {
  const form = document.querySelector("form.record");
  if (form && form !== source && !form.inert) {
    if (isTouched(form)) typed.set(keyOf(form), { given: new FormData(form), name: document.getElementById("now-title")?.firstChild.textContent.trim() });
  } else if (form) typed.delete(keyOf(form));
}

// Gives back what belongs to the form in front; returns what to tell when something else waits.
function giveBackTyped() {
  const form = document.querySelector("form.record");
  const kept = form && typed.get(keyOf(form))?.given;
  if (kept) {
    for (const one of form.elements) {
      if (!one.name || one.type === "hidden" || !kept.has(one.name)) continue;
      if (one.type === "radio" || one.type === "checkbox") one.checked = kept.getAll(one.name).includes(one.value);
      else one.value = kept.get(one.name);
    }
    typed.delete(keyOf(form));
    const more = form.querySelector("details.more");
    if (more && [...more.querySelectorAll("input")].some((one) => one.type === "radio" ? one.checked && one.value : one.value)) more.open = true;
  }
  const waiting = [...typed.values()].map((one) => one.name).join("; ");
  return waiting && `Not saved yet, and waiting at its test: ${waiting}.`;
}

// Leaving a page with something entered asks first.
const guarded = () => [...document.querySelectorAll("form[data-guard], form.record")];
let sending = false;
document.addEventListener("submit", (event) => { sending = event.target.matches("[data-guard]"); });
window.addEventListener("pageshow", () => { sending = false; });
window.addEventListener("beforeunload", (event) => {
  const wrote = document.getElementById("line")?.value.trim();
  if (!sending && (wrote || typed.size || guarded().some((form) => !form.inert && isTouched(form)))) event.preventDefault();
});

// What was folded or unfolded stays as it was put. On a phone what is secondary is folded away until it is asked for.
const put = new Map();
const phone = window.matchMedia("(max-width: 40rem)");
function fold() {
  for (const one of document.querySelectorAll("details[data-fold]")) one.open = put.get(one.dataset.fold) ?? (phone.matches ? false : one.open);
}
document.addEventListener("click", (event) => {
  const heading = event.target.closest("details[data-fold] > summary");
  if (heading) put.set(heading.parentElement.dataset.fold, !heading.parentElement.open);
});

// In a learner's case and a teacher's class, what was unfolded stays so when the piece is put in anew, and the page stays
// where it was: for a moment it is shorter.
const PIECES = "#lesson details, #group details";
let unfolded = new Set();
let height = 0;
const titleOf = (one) => one.firstElementChild.textContent.split(/[:\d]/)[0].trim() || one.firstElementChild.textContent;
document.addEventListener("htmx:before:swap", () => {
  height = window.scrollY;
  unfolded = new Set([...document.querySelectorAll(PIECES)].filter((one) => one.open).map(titleOf));
});
document.addEventListener("htmx:after:swap", () => {
  const pieces = document.querySelectorAll(PIECES);
  for (const one of pieces) one.open ||= unfolded.has(titleOf(one));
  if (pieces.length) window.scrollTo(0, height);
});

document.addEventListener("htmx:error", () => {
  const said = document.createElement("div");
  said.className = "said alarm";
  said.setAttribute("role", "alert");
  said.textContent = "Not saved: no answer from the program. What you entered is still here; try again.";
  document.getElementById("said").replaceChildren(said);
});

// What a form without scripts told in the address is told once.
const told = new URL(location.href);
for (const name of ["saved", "was", "done"]) told.searchParams.delete(name);
if (told.href !== location.href) history.replaceState(history.state, "", told);
fold();
bring();
document.querySelectorAll("[data-roving]").forEach(rove);
