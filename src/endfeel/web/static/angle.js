// The couch's side: ask what the phone says, show it, put a held angle into the field. What a hand typed is left alone.
const sensor = document.getElementById("sensor");
const base = `/api/visits/${sensor.dataset.visit}/phone`;
const EVERY_MS = 250;
const show = (id) => document.getElementById(id);
const field = document.querySelector("form.record [name=value]");
const instrument = show("instrument");
const isPaired = (stage) => stage === "silent" || stage === "reading";
let latest = null;
let takenSince = -Infinity;
let typedByHand = Boolean(field?.value) && !instrument?.value;

async function ask(path, body) {
  const answer = await fetch(`${base}/${path}`, body === undefined ? {} : { method: "POST", body });
  const told = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Error((told.errors ?? ["Not done."]).join(" "));
  return told;
}

// Paired, parted or lapsed meanwhile: the part about the phone is drawn anew, what is in the form stays.
async function redraw(stage) {
  const answer = await fetch(location.href);
  if (!answer.ok) return;
  const drawn = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("sensor");
  sensor.replaceChildren(...drawn.childNodes);
  sensor.dataset.stage = stage;
}

function put(degrees, since) {
  if (!field || !instrument) return;
  field.value = String(Math.abs(degrees));
  instrument.value = "phone";
  takenSince = since;
  typedByHand = false;
  show("given-by").textContent = `${Math.abs(degrees)}° from the phone, held. Save it, or hold again.`;
}

function wordsOf(live) {
  if (live.stage === "silent") return "The phone is silent: is its screen on?";
  if (!live.zeroed) return "Reading. Bring the limb to zero and press zero.";
  if (live.upright) return `The axis stands ${live.lean}° from level: gravity cannot tell this turn.`;
  return live.held === null ? "Moving." : `Held: ${Math.abs(live.held)}°.`;
}

async function tell(live) {
  if (isPaired(live.stage) !== isPaired(sensor.dataset.stage) || (live.stage === "none" && sensor.dataset.stage === "waiting")) await redraw(live.stage);
  sensor.dataset.stage = live.stage;
  latest = live;
  const state = show("state");
  if (!state) return;
  show("degrees").textContent = live.degrees === null ? "–" : Math.abs(live.degrees);
  show("take").disabled = live.held === null;
  sensor.classList.toggle("is-held", live.held !== null);
  const words = wordsOf(live);
  if (state.textContent !== words) state.textContent = words;
  if (live.held !== null && !live.at_zero && live.since > takenSince && !typedByHand) put(live.held, live.since);
}

async function look() {
  if (!document.hidden) {
    try {
      await tell(await ask("now"));
    } catch {
      if (show("state")) show("state").textContent = "No answer from the program.";
    }
  }
  setTimeout(look, EVERY_MS);
}

function hand() {
  typedByHand = field.value !== "";
  instrument.value = "";
  show("given-by").textContent = typedByHand ? "The angle was typed." : "";
}

const refused = (error) => { show("state").textContent = error.message; };
document.addEventListener("input", (event) => {
  if (event.target.matches("[name=value], [data-for=field-value]")) queueMicrotask(hand);
});
document.addEventListener("click", (event) => {
  const at = (selector) => event.target.closest(selector);
  if (at("[data-for=field-value]")) hand();
  else if (at("#zero")) {
    takenSince = -Infinity;
    ask("zero", new FormData()).then(tell, refused);
  } else if (at("#take") && latest?.held !== null) put(latest.held, latest.since);
});
document.addEventListener("change", (event) => {
  if (event.target.matches("[name=turn]")) {
    const body = new FormData();
    body.append("turn", event.target.value);
    ask("turn", body).then(tell, refused);
  } else if (event.target.matches("#do")) event.target.form.requestSubmit();
});
if (sensor.dataset.stage !== "none") look();
