// A pedal or presenter has two keys that count. Forward points at the next choice, back takes the one pointed at and goes
// on to what comes after it. Arrow keys and page keys alike; only while it is switched on, never inside a text field.
const FORWARD = ["PageDown", "ArrowRight", "ArrowDown"];
const BACK = ["PageUp", "ArrowLeft", "ArrowUp"];
const KEPT = "endfeel-pedal";
let on = localStorage.getItem(KEPT) === "on";
let group = 0;
let at = -1;

const visible = (one) => one.checkVisibility?.() ?? true;
const now = () => document.getElementById("now");

// The groups of choices of the test in front, in order; the last ones lead elsewhere.
function groups() {
  const form = now()?.querySelector("form.record");
  if (!form) return [[...document.querySelectorAll("#undo:enabled")]];
  const quick = [...form.querySelectorAll(".quick button")];
  const found = [[...quick, ...form.querySelectorAll("[data-details]"), ...document.querySelectorAll(".then a, #undo:enabled")]];
  for (const one of form.querySelectorAll(":scope > fieldset.choices, :scope > .field, :scope > fieldset.hurts")) {
    if (one.matches(".field")) found.push([...one.querySelectorAll("[data-step='5'], [data-step='-5'], input:not([type])")]);
    else found.push([...one.querySelectorAll("input[type=radio], button.hurt")]);
  }
  found.push([...form.querySelectorAll("#save, .savebar button")]);
  return found.map((one) => one.filter((choice) => visible(choice.closest("label") ?? choice))).filter((one) => one.length);
}

const faceOf = (choice) => choice.matches("input[type=radio]") ? choice.nextElementSibling : choice;
const nameOf = (choice) => {
  const label = choice.getAttribute("aria-label") ?? (choice.closest("label")?.textContent || choice.textContent || choice.labels?.[0]?.textContent || "");
  const legend = choice.matches("input[type=radio]") ? choice.closest("fieldset")?.querySelector("legend")?.textContent : "";
  return `${legend ? `${legend}: ` : ""}${label}`.replace(/\s+/g, " ").trim();
};

function point() {
  for (const old of document.querySelectorAll(".pointed")) old.classList.remove("pointed");
  const choice = groups()[group]?.[at];
  if (!choice) return;
  const face = faceOf(choice);
  face.classList.add("pointed");
  face.scrollIntoView({ block: "center" });
  document.getElementById("pedal-says").textContent = nameOf(choice);
}

function forward() {
  const choices = groups()[group];
  if (!choices) return;
  at = (at + 1) % choices.length;
  point();
}

function take() {
  const all = groups();
  const choice = all[group]?.[at];
  if (!choice) return onward(all);
  if (choice.matches("input[type=radio]")) {
    choice.checked = true;
    choice.dispatchEvent(new Event("change", { bubbles: true }));
    onward(all);
  } else if (choice.matches("[data-step]")) {
    choice.click();
    document.getElementById("pedal-says").textContent = document.getElementById(choice.dataset.for).value;
  } else if (choice.matches("input")) onward(all);
  else {
    if (!choice.matches("[type=submit], a")) onward(all);
    choice.click();
  }
}

function onward(all) {
  group = Math.min(group + 1, all.length - 1);
  at = 0;
  point();
}

document.addEventListener("keydown", (event) => {
  if (!on || event.altKey || event.ctrlKey || event.metaKey || event.target.matches("input:not([type=radio], [type=checkbox], [type=range]), textarea, select")) return;
  const go = FORWARD.includes(event.key) ? forward : BACK.includes(event.key) ? take : null;
  if (!go) return;
  event.preventDefault();
  if (!event.repeat || go === forward) go();
}, true);

// After each finding the pointer stands before the first choice of the test that is next.
function begin() {
  group = 0;
  at = -1;
  const button = document.getElementById("pedal");
  if (button) button.setAttribute("aria-pressed", String(on));
  document.documentElement.classList.toggle("pedal", on);
  if (on && now()) forward();
}
document.addEventListener("click", (event) => {
  if (!event.target.closest("#pedal")) return;
  on = !on;
  localStorage.setItem(KEPT, on ? "on" : "off");
  for (const old of document.querySelectorAll(".pointed")) old.classList.remove("pointed");
  document.activeElement?.blur();
  begin();
});
document.addEventListener("endfeel:front", begin);
begin();
