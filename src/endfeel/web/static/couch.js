// Recording at the couch. Every finding is first kept in this browser, then sent; the program keeps each id once, so that
// nothing is lost and nothing doubled, whenever the connection or the program goes. What is kept and what safety says
// come first, the rest of the page after them.
import { PATIENCE, begin, drain, inTurn, isSending, isShell, own, program, sent, signedOut, visitId, who } from "./sending.js";
import * as waiting from "./waiting.js";
import { openForm, offerTests, ready } from "./without.js";
import { calm, here, isTouched, keyOf as frontOf, put, putSafety, putSaid } from "./visit.js";

const ASK_EVERY = 2000;
const mine = (entry) => entry.visit === visitId() && own(entry);

// ---- keeping ------------------------------------------------------------------------------------------------------

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!here() || !(form.dataset.keep || form.dataset.act !== undefined)) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  const given = new FormData(form, event.submitter);
  if (form.dataset.keep) keep(form, Object.fromEntries(given));
  else show(form.action, { body: new URLSearchParams(given), from: form });
}, true);

let acts = 0;
const takenBack = new Set();
async function keep(form, { entry_id: id, minutes, was, ...fields }) {
  const what = form.dataset.keep;
  const mineIs = acts += 1;
  if (what === "undo") {
    fields.entry ||= document.querySelector("form:has(#undo) [name=entry]")?.value ?? "";
    if (takenBack.has(fields.entry)) return undefined;
    takenBack.add(fields.entry);
    if (program.away) return takeBack(fields.entry);
  }
  const entry = { id: id || waiting.newId(), visit: visitId(), what, fields, who, name: fields.line ?? form.dataset.name ?? "take back" };
  if (what !== "undo") {
    release(form);
    undoIs(entry.id);
  }
  const answer = await sent(entry);
  if (!answer) return what === "undo" ? willTakeBack() : goOn(form, entry);
  if (what !== "undo" && answer.refused.some((one) => one.id === entry.id)) return giveBack(form, entry, { minutes, was });
  here().dataset.mark = answer.mark ?? "";
  await calm();
  if (answer.told) tellKept(answer);
  const then = form.dataset.then;
  const address = `/visits/${entry.visit}?minutes=${here().dataset.minutes}`;
  const visit = await answer.rest;
  if (mineIs !== acts) owed = true;
  else if (visit) await putIn(visit, { then, replace: address }, mineIs);
  else await show(`${address}&${new URLSearchParams({ saved: answer.saved, was: was ?? "" })}`, { then, replace: address });
  return undefined;
}

// What waits leaves its form: the line is free for the next, a test is not pressed twice before the next one stands there.
function release(form) {
  if (form.dataset.keep !== "lines") form.inert = true;
  else {
    form.elements.line.value = "";
    form.elements.entry_id.value = waiting.newId();
    document.getElementById("offers")?.replaceChildren();
  }
}

// Undo takes back what was pressed last here, from the moment on in which it was pressed.
function undoIs(entry) {
  const button = document.getElementById("undo");
  if (!button) return;
  button.disabled = false;
  button.form.elements.entry.value = entry;
}

// Refused: the program shows it again with its faults beside it. When something else is begun by then, it lies by below
// the line, to be put right or dropped.
async function giveBack(form, entry, more) {
  const mineIs = acts;
  if (entry.what !== "lines" || !document.getElementById("line")?.value) {
    const body = new URLSearchParams({ ...entry.fields, entry_id: entry.id, ...more });
    await show(`/visits/${entry.visit}/${entry.what}`, { body, from: form.closest("#visit") ? form : document.querySelector("form.line") });
    if (mineIs === acts - 1 && document.querySelector("#visit [id^=fault-]")) await waiting.remove([entry.n]);
  }
  form.inert = false;
  list();
}

// ---- the whole visit, from the program; the answer to what was done last shows all ---------------------------------

let owed = false;
function show(address, { body, ...how } = {}) {
  const mineIs = acts += 1;
  return inTurn(async () => {
    const given = { method: body ? "POST" : "GET", body, headers: { "HX-Request": "true" }, signal: AbortSignal.timeout(PATIENCE) };
    const answer = await fetch(address, given).catch(() => null);
    if (answer?.status === 401) return signedOut();
    const text = await answer?.text().catch(() => null);
    if (!text) {
      lost();
      return say("No answer from the program. What you entered is still here; findings and lines can go on.", "", true);
    }
    if (mineIs !== acts) owed = true;
    else if (await putIn(text, { replace: answer.headers.get("HX-Replace-Url"), ...how }, mineIs)) return;
    else if (mineIs === acts) {
      putSaid(text, true);
      if (owed) around();
    }
  });
}

// Puts the visit in, unless something was done meanwhile whose own answer shows all. Tells whether it was a visit.
async function putIn(text, { replace = "", push = "", ...how } = {}, mineIs = acts) {
  await calm();
  if (mineIs !== acts) return owed = true;
  if (!put(text, how)) return false;
  owed = false;
  takenBack.clear();
  if (push) history.pushState({}, "", push);
  else if (replace) history.replaceState(history.state, "", replace);
  list();
  return true;
}

document.addEventListener("click", (event) => {
  const link = event.target.closest?.("a[data-front]");
  if (!link || !here() || event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
  event.preventDefault();
  const address = link.pathname + link.search;
  show(address, { from: link, then: link.dataset.front, [link.dataset.front ? "push" : "replace"]: address });
});
addEventListener("popstate", (event) => { if (here() && !isShell() && !location.hash && !event.state?.htmx) show(location.pathname + location.search); });

function tellKept(answer) {
  putSaid(answer.told, true);
  if (answer.saved) undoIs(answer.saved);
  putSafety(answer.safety);
}

// ---- without connection -------------------------------------------------------------------------------------------

function lost() {
  program.away = true;
  document.documentElement.classList.add("away");
  list();
}

async function found() {
  const answers = (await waiting.all()).some(own) ? await drain() : [];
  if (!answers) return;
  program.away = false;
  document.documentElement.classList.remove("away");
  const arrived = answers.filter((one) => one.visit === visitId()).reduce((sum, one) => sum + one.kept.length, 0);
  await list();
  if (isShell()) {
    if (!(await waiting.all()).some(mine)) location.reload();
    return;
  }
  say(arrived ? `Connected again. ${arrived === 1 ? "What waited has" : `All ${arrived} that waited have`} arrived.` : "Connected again.");
  await around();
}

// After a form that could not be sent: what was entered waits, the next test of the plan stands in front.
async function goOn(form, entry) {
  await list();
  say(`Kept in this browser: ${entry.name}.`, entry.id);
  if (entry.what === "lines") return document.getElementById("line").focus();
  const waits = (await waiting.all()).filter(mine).map((one) => keyOf(one.fields));
  const next = [...document.querySelectorAll(".steps a.row")].map((one) => Object.fromEntries(new URL(one.href).searchParams))
    .find((one) => !waits.includes(keyOf({ procedure: one.do, side: one.side, level: one.level })));
  openForm(next ? { procedure: next.do, side: next.side, level: next.level } : null, visitId());
}

const keyOf = ({ procedure, side, level }) => [procedure, side ?? "", level ?? ""].join("|");

async function takeBack(id) {
  const entry = (await waiting.all()).find((one) => one.id === id);
  if (entry) await waiting.remove([entry.n]);
  // It may have arrived without our hearing of it: its taking back waits, too.
  await waiting.add({ id: waiting.newId(), visit: visitId(), what: "undo", fields: { entry: id }, who, name: "take back" });
  if (!entry) return willTakeBack();
  await list();
  return say("Taken back.");
}

async function willTakeBack() {
  await list();
  say("To be taken back as soon as the program answers again.");
}

// ---- what waits, and what came back -------------------------------------------------------------------------------

async function list() {
  const entries = (await waiting.all()).filter((one) => one.what !== "undo" && own(one));
  const open = entries.filter((one) => !one.faults);
  const box = document.getElementById("waiting");
  const count = open.length === 1 ? "1 finding waits" : `${open.length} findings wait`;
  const lead = program.away ? `No connection to the program. Go on recording: it is kept in this browser. ${open.length ? `${count} here.` : "Nothing waits."}`
    : open.length ? `${count} in this browser; on the way now.` : "";
  box.hidden = !lead;
  if (box.firstElementChild.textContent !== lead) box.firstElementChild.textContent = lead;
  const rows = box.querySelector("ol");
  rows.replaceChildren(...open.filter(mine).map((one) => row(one, [["Take back", () => takeBack(one.id)]])));
  box.querySelector("details").hidden = !rows.children.length;
  const back = document.getElementById("came-back");
  if (!back) return;
  const refused = entries.filter((one) => one.faults && mine(one));
  back.replaceChildren(...refused.map((one) => row(one, [["Put it right", () => putRight(one)], ["Drop it", () => drop(one)]])));
}

function row(entry, acts) {
  const item = document.createElement("li");
  const words = document.createElement("div");
  words.append(entry.name);
  for (const one of entry.faults ?? []) {
    const fault = document.createElement("p");
    fault.className = "faults";
    fault.textContent = one;
    words.append(fault);
  }
  const buttons = document.createElement("div");
  buttons.className = "actions";
  for (const [label, act] of acts) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "button small";
    button.textContent = label;
    button.setAttribute("aria-label", `${label}: ${entry.name}`);
    button.addEventListener("click", act);
    buttons.append(button);
  }
  item.append(words, buttons);
  return item;
}

async function putRight(entry) {
  await waiting.remove([entry.n]);
  if (entry.what === "lines") {
    const line = document.getElementById("line");
    line.value = entry.fields.line;
    line.focus();
  } else openForm(entry.fields, entry.visit);
  list();
}

async function drop(entry) {
  await waiting.remove([entry.n]);
  list();
}

function say(words, entry = "", alarm = false) {
  const said = document.createElement("div");
  said.className = alarm ? "said alarm" : "said";
  if (alarm) said.setAttribute("role", "alert");
  const text = document.createElement("span");
  text.textContent = words;
  said.append(text);
  if (entry && program.away) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "button small";
    button.textContent = "Undo this";
    button.addEventListener("click", () => takeBack(entry));
    said.append(button);
  }
  document.getElementById("said").replaceChildren(said);
}

// ---- another device, and whether the program is there -------------------------------------------------------------

const isBusy = () => isSending() || document.querySelector(".htmx-request");

async function ask() {
  if (!visitId() || (document.hidden && !program.away) || isBusy()) return;
  const before = here().dataset.mark;
  try {
    const answer = await fetch(`/visits/${visitId()}/mark`, { signal: AbortSignal.timeout(PATIENCE) });
    if (answer.status === 401) return signedOut();
    if (!answer.ok) return;
    const { mark } = await answer.json();
    if (program.away) await found();
    else if (before !== undefined && mark !== before && before === here()?.dataset.mark && !isBusy()) await around(true);
  } catch {
    lost();
  }
}

// Everything is shown anew; the test in front, what is pressed in it and a half-typed line stay as they are.
function around(byOthers = false) {
  const begun = acts;
  return inTurn(async () => {
    const form = document.querySelector("form.record");
    const asked = new URLSearchParams({ minutes: here().dataset.minutes });
    if (form && (form.dataset.without === undefined || isTouched(form))) {
      const [procedure, side, level, retest] = frontOf(form).split("|");
      for (const [name, value] of Object.entries({ do: procedure, side, level, retest: retest === "yes" })) asked.set(name, value);
    }
    const known = new Set([...document.querySelectorAll("#findings [data-entry]")].map((one) => one.dataset.entry));
    const address = `/visits/${visitId()}?${asked}`;
    const answer = await fetch(address, { headers: { "HX-Request": "true" }, signal: AbortSignal.timeout(PATIENCE) }).catch(() => null);
    const text = answer?.ok ? await answer.text() : "";
    if (!text || begun !== acts || !(await putIn(text)) || begun !== acts || !byOthers) return;
    const names = [...document.querySelectorAll("#findings [data-entry]")].filter((one) => !known.has(one.dataset.entry)).map((one) => one.dataset.name);
    say(names.length ? `From another device: ${names.join("; ")}.` : "Changed on another device.");
  });
}

// ---- links while away ---------------------------------------------------------------------------------------------

document.addEventListener("click", (event) => {
  const link = event.target.closest?.("a");
  if (!program.away || !link || !here()?.contains(link)) return;
  const to = new URL(link.href);
  if (to.searchParams.has("do")) {
    event.preventDefault();
    event.stopImmediatePropagation();
    openForm({ procedure: to.searchParams.get("do"), side: to.searchParams.get("side"), level: to.searchParams.get("level") }, visitId());
  } else if (to.pathname.endsWith("/procedures")) {
    event.preventDefault();
    event.stopImmediatePropagation();
    offerTests(to.searchParams.get("region"), "", visitId());
  }
}, true);
document.addEventListener("input", (event) => {
  if (program.away && event.target.id === "q") offerTests("", event.target.value, visitId());
});
document.addEventListener("htmx:error", (event) => {
  if (!here()) return;
  event.stopImmediatePropagation();
  lost();
  const target = event.detail?.ctx?.target;
  if (target && target.id !== "visit") return; // an offer or a fold that did not come takes no word from what was kept
  say("No answer from the program. What you entered is still here; findings and lines can go on.", "", true);
}, true);

if (here()) {
  Object.assign(program, { lost, arrived: list });
  if (isShell()) {
    const [, id] = location.pathname.match(/^\/visits\/([\w-]+)/) ?? [];
    here().dataset.visit = id ?? "";
    lost();
    ready().then(() => openForm(null, visitId()));
  }
  list();
  begin().then((some) => { if (some) found(); });
  setInterval(ask, ASK_EVERY);
  window.addEventListener("online", ask);
  window.addEventListener("offline", lost);
  if ("serviceWorker" in navigator) addEventListener("load", () => navigator.serviceWorker.register("/offline-worker.js").catch(() => {}));
  setTimeout(ready, 1500);
}
