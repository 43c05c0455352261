// Drawing with a finger: the line is shown as wide as it will count, and kept when the finger leaves. Nothing is lost
// when the program does not answer: the line stays and is sent again.
const form = document.getElementById("draw");
const chart = () => document.getElementById("chart");
let shown = "front";
let whole = false;
let line = [];
let pointer = null;

document.addEventListener("pointerdown", (event) => {
  const svg = event.target.closest?.("svg.figure");
  if (!svg || !form || pointer !== null || !event.isPrimary || "closed" in chart().dataset || svg.dataset.busy) return;
  event.preventDefault();
  pointer = event.pointerId;
  svg.setPointerCapture(pointer);
  line = [at(svg, event)];
  draw(svg);
});
document.addEventListener("pointermove", (event) => {
  if (event.pointerId !== pointer) return;
  const svg = event.target.closest("svg.figure");
  for (const one of event.getCoalescedEvents?.() ?? [event]) {
    const [x, y] = at(svg, one);
    const [px, py] = line[line.length - 1];
    if (Math.hypot(x - px, y - py) > 0.4 && line.length < 1400) line.push([x, y]);
  }
  draw(svg);
});
document.addEventListener("pointerup", (event) => {
  if (event.pointerId !== pointer) return;
  pointer = null;
  keep(event.target.closest("svg.figure"));
});
document.addEventListener("pointercancel", (event) => {
  if (event.pointerId !== pointer) return;
  pointer = null;
  line = [];
  draw(event.target.closest("svg.figure"));
});

function at(svg, event) {
  const place = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const within = (value, most) => Math.round(100 * Math.min(Math.max(value, 0), most)) / 100;
  return [within(place.x, 100), within(place.y, 180)];
}

function draw(svg) {
  const path = svg.querySelector(".drawing");
  path.setAttribute("stroke-width", chart().dataset.finger);
  path.setAttribute("d", line.length === 1 ? `M${line[0]}h.01` : line.length ? `M${line.join("L")}${line.length > 3 ? "Z" : ""}` : "");
}

async function keep(svg) {
  const given = new FormData(form);
  given.delete("region");
  given.set("view", svg.dataset.view);
  given.set("path", JSON.stringify(line));
  given.set("area_id", newId());
  svg.dataset.busy = "yes";
  await send(`${form.action}`, given, () => keep(svg));
  delete svg.dataset.busy;
}

// Made here, so that an area sent twice is kept once. crypto.randomUUID is there on secure addresses only.
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 15) | 64;
  bytes[8] = (bytes[8] & 63) | 128;
  const hex = [...bytes].map((one) => one.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

async function send(address, given, again) {
  let answer;
  try {
    answer = await fetch(address, { method: "POST", body: given, headers: { "HX-Request": "true" } });
  } catch {
    return tell("No answer from the program. The line is still here.", true, () => send(address, given, again));
  }
  const text = await answer.text();
  const drawn = new DOMParser().parseFromString(text, "text/html");
  const fresh = drawn.getElementById("chart");
  if (!fresh) return tell(drawn.body.textContent.trim() || "Not kept.", true);
  const said = fresh.querySelector("[data-said]");
  tell(said?.textContent ?? "", "alarm" in (said?.dataset ?? {}));
  chart().replaceWith(fresh);
  set();
}

function tell(words, alarm = false, again = null) {
  const box = document.getElementById("said");
  const said = document.createElement("div");
  said.className = alarm ? "said alarm" : "said";
  if (alarm) said.setAttribute("role", "alert");
  said.textContent = words;
  if (again) {
    const button = document.createElement("button");
    button.className = "button small";
    button.textContent = "Send again";
    button.addEventListener("click", again);
    said.append(button);
  }
  box.replaceChildren(...(words ? [said] : []));
}

// One view at a time on a phone, all four beside each other on a tablet; the upper body first.
function set() {
  for (const svg of document.querySelectorAll("svg.figure")) svg.setAttribute("viewBox", whole ? chart().dataset.whole : chart().dataset.upper);
  for (const one of document.querySelectorAll(".figure-view")) one.classList.toggle("is-shown", one.dataset.view === shown);
  for (const one of document.querySelectorAll("[data-show]")) {
    if (one.dataset.show === shown) one.setAttribute("aria-current", "true");
    else one.removeAttribute("aria-current");
  }
  const zoom = document.getElementById("zoom");
  zoom.textContent = whole ? "Upper body" : "Whole body";
}

document.addEventListener("click", (event) => {
  const tab = event.target.closest("[data-show]");
  if (tab) shown = tab.dataset.show;
  else if (event.target.closest("#zoom")) whole = !whole;
  else return;
  set();
});
document.addEventListener("submit", (event) => {
  const undo = event.target.closest("#chart form[action$='/chart/undo']");
  if (!undo) return;
  event.preventDefault();
  send(undo.action, new FormData(undo));
});
set();
