// The visit as the program sends it, put into the page. What is the same stays the same node, so that a press, the focus,
// what is typed and what is unfolded outlive it; nothing is put in while a finger is down; what takes longer comes later.
const LONGEST_PRESS = 1500;
export const here = () => document.getElementById("visit");
export const painted = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));

// ---- a press is never lost ----------------------------------------------------------------------------------------

let pressed = null;
function press() {
  pressed ??= {};
  pressed.over ??= new Promise((done) => { pressed.lift = done; });
  clearTimeout(pressed.longest);
  pressed.longest = setTimeout(lift, LONGEST_PRESS);
}
function lift() {
  clearTimeout(pressed?.longest);
  pressed?.lift();
  pressed = null;
}
addEventListener("pointerdown", press, true);
addEventListener("keydown", (event) => { if (event.key === " " && !event.repeat) press(); }, true);
for (const [end, wait] of [["click", 0], ["keyup", 0], ["pointercancel", 0], ["pointerup", 60]]) {
  addEventListener(end, () => { if (pressed) setTimeout(lift, wait); }, true);  // a tap's click follows its pointerup
}

// When no finger is down: what it presses is found where it was.
export const calm = async () => { while (pressed) await pressed.over; };

// ---- what stays as it is ------------------------------------------------------------------------------------------

let morph = null;
let source = null;
const unfolded = new WeakSet();
document.addEventListener("click", (event) => {
  const details = event.target.closest("summary")?.parentElement;
  if (details) unfolded.add(details);
});

htmx.registerExtension("visit", {
  init: (parts) => { ({ morph } = parts); },
  htmx_before_morph_node: (old, { newNode: now }) => goesIn(old, now),
  // What is folded belongs to who reads.
  htmx_before_morph_attr: (old, { attrName }) => attrName !== "open" || !(old.dataset.fold !== undefined || unfolded.has(old)),
});

// Whether a piece takes on what the program sent, node by node; false when that is done here, or is not to be done.
function goesIn(old, now) {
  if (!(old instanceof Element)) return true;
  if (old === source || old.id === "now" && isAnother(old, now)) {
    for (const { name } of [...old.attributes]) if (!now.hasAttribute(name)) old.removeAttribute(name);
    for (const { name, value } of now.attributes) old.setAttribute(name, value);
    old.replaceChildren(...now.childNodes);
  } else if (old.matches("[data-drawn]")) {
    if (old.dataset.scene !== now.dataset.scene) delete old.dataset.state;
    Object.assign(old.dataset, now.dataset);
  } else if (old.matches("[data-late]")) old.dataset.late = now.dataset.late;
  else return old.id !== "came-back" && !(["found", "offers"].includes(old.id) && !now.firstElementChild && !old.contains(source))
    && !(old.id === "now" && old.matches("[data-without]"));
  return false;
}

// Another test, or the same one after it was sent: nothing that was pressed in the one may be taken for the other. A form
// made in this browser stays while something is entered in it.
function isAnother(old, now) {
  const [before, after] = [old, now].map((one) => one.querySelector("form.record"));
  if (before?.inert) return true;
  if (before?.dataset.without !== undefined || old.dataset.without !== undefined) return !before || !isTouched(before);
  return !before !== !after || before && keyOf(before) !== keyOf(after);
}

export function keyOf(form) {
  const field = (name) => form.querySelector(`[name=${name}]`)?.defaultValue ?? "";
  const chosen = (name) => form.querySelector(`[name=${name}][checked]`)?.value ?? "";
  return [field("procedure"), chosen("side"), chosen("level"), field("retest")].join("|");
}

export function isTouched(form) {
  return [...form.elements].some((one) => one.type === "radio" || one.type === "checkbox" ? one.checked !== one.defaultChecked
    : one.type !== "hidden" && "defaultValue" in one && one.value !== one.defaultValue);
}

// ---- putting in ---------------------------------------------------------------------------------------------------

const parsed = (text) => Object.assign(document.createElement("template"), { innerHTML: text }).content;

// Puts in the whole visit. `from` is the form or link it answers, `then` what is to be brought into view. Tells whether
// there was a visit.
export function put(text, { from = null, then = "" } = {}) {
  const fresh = parsed(text).getElementById("visit");
  if (!fresh || !here()) return false;
  document.dispatchEvent(new CustomEvent("endfeel:before", { detail: { from, then } }));
  source = from;
  const said = fresh.querySelector("#said");
  said.remove();
  if (said.firstElementChild) putSaid(said.innerHTML);
  Object.assign(here().dataset, fresh.dataset);
  morph(here(), fresh, true);
  source = null;
  htmx.process(document.getElementById("other"));  // the only piece that asks by itself
  document.dispatchEvent(new CustomEvent("endfeel:shown"));
  painted().then(late);
  return true;
}

// What was just done, told once: when the same comes again with the rest of the page, nothing is said anew.
export function putSaid(html, again = false) {
  const box = document.getElementById("said");
  const now = parsed(html);
  const [old, told] = [box.firstElementChild, now.firstElementChild];
  if (old && told && old.isEqualNode(told) && !again) return;
  if (!old || !told || old.matches(".alarm") || told.matches(".alarm")) return box.replaceChildren(now);
  morph(box, now, true);
  const words = box.querySelector(".said > span");
  words.replaceWith(words.cloneNode(true));
}

export function putSafety(html) {
  const [old, now] = [document.getElementById("safety"), parsed(html).firstElementChild];
  if (old && now && !old.isEqualNode(now)) old.replaceWith(now);
}

// ---- what comes later ---------------------------------------------------------------------------------------------

// What is worked out when the page is there already: until it comes the earlier stays, and is said to be renewed.
function late() {
  for (const one of document.querySelectorAll("[data-late]")) {
    if (one.dataset.late !== one.had && !("whenOpen" in one.dataset && one.closest("details:not([open])"))) fetchLate(one);
  }
}
async function fetchLate(one) {
  const address = one.had = one.dataset.late;
  one.setAttribute("aria-busy", "true");
  const answer = await fetch(address, { headers: { "HX-Request": "true" } }).catch(() => null);
  const text = answer?.ok ? await answer.text() : "";
  await calm();
  if (one.dataset.late !== address) return;
  if (!text) one.had = "";
  else {
    morph(one, parsed(text), true);
    one.removeAttribute("aria-busy");
  }
}
document.addEventListener("toggle", (event) => { if (event.target.open) late(); }, true);
if (here()) late();
