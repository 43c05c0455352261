// Recording at the couch. Every finding is first kept in this browser, then sent; the program keeps each id once, so that
// nothing is lost and nothing doubled, whenever the connection or the program goes. What is kept and what safety says
// come first, the rest of the page after them.
import * as waiting from "./waiting.js";
import { openForm, offerTests, ready } from "./without.js";

const AT_ONCE = 25;
const ASK_EVERY = 2000;
const PATIENCE = 10_000;
let away = false;
let draining = null;
const here = () => document.getElementById("visit");
const visitId = () => here()?.dataset.visit;
const mine = (entry) => entry.visit === visitId() && own(entry);

// In a clinic what somebody recorded is sent in their name alone; the bare page does not know who it was, this tab does.
const isShell = () => document.body.dataset.shell !== undefined;
if (!isShell()) sessionStorage.setItem("who", document.body.dataset.who ?? "");
const who = sessionStorage.getItem("who") ?? "";
const own = (entry) => (entry.who ?? "") === who;

// The session is over: what was recorded waits here, and the page goes to the way in, so that nobody reads on.
function signedOut() {
  location.assign(`/sign-in?${new URLSearchParams({ to: location.pathname })}`);
}

// ---- keeping ------------------------------------------------------------------------------------------------------

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!here() || !form.dataset.keep) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  keep(form, Object.fromEntries(new FormData(form, event.submitter)));
}, true);
document.addEventListener("htmx:before:request", (event) => {
  if (!away || event.target.dataset?.takesBack === undefined) return;
  event.preventDefault();
  takeBack(new FormData(event.target).get("entry"));
});

let acts = 0;
async function keep(form, { entry_id: id, minutes, was, ...fields }) {
  acts += 1;
  const entry = { id: id || waiting.newId(), visit: visitId(), what: form.dataset.keep, fields, who, name: fields.line ?? form.dataset.name };
  release(form);
  entry.n = await waiting.add(entry);
  const answer = await sent(entry);
  if (!answer) return goOn(form, entry);
  if (answer.refused.some((one) => one.id === entry.id)) return giveBack(form, entry, { minutes, was });
  tellKept(answer);
  here().dataset.mark = answer.mark;
  if (form.dataset.then) here().dataset.then = form.dataset.then;
  const address = `/visits/${entry.visit}?minutes=${here().dataset.minutes}`;
  history.replaceState(history.state, "", address);
  return refresh(`${address}&${new URLSearchParams({ saved: answer.saved, was: was ?? "" })}`);
}

// What waits leaves its form: the line is free for the next, a test is not pressed twice before the next one stands there.
function release(form) {
  if (form.dataset.keep !== "lines") form.inert = true;
  else {
    form.elements.line.value = "";
    form.elements.entry_id.value = waiting.newId();
  }
}

// Refused: the program shows it again with its faults beside it. When something else is begun by then, it lies by below
// the line, to be put right or dropped.
async function giveBack(form, entry, more) {
  const mineIs = acts;
  const isFree = () => mineIs === acts && (entry.what !== "lines" || !document.getElementById("line")?.value);
  const stays = (event) => { if (!isFree()) event.preventDefault(); };
  if (isFree()) {
    document.addEventListener("htmx:before:swap", stays);
    await htmx.ajax("POST", `/visits/${entry.visit}/${entry.what}`, {
      target: "#visit", swap: "outerHTML", source: here(), values: { ...entry.fields, entry_id: entry.id, ...more },
    });
    document.removeEventListener("htmx:before:swap", stays);
    if (document.querySelector("#visit [id^=fault-]")) await waiting.remove([entry.n]);
  }
  form.inert = false;
  show();
}

// The whole visit, from the program. What is asked for while it is on the way is asked for once more after it.
let showing = null;
let wanted = "";
function refresh(address) {
  wanted = address;
  return showing ??= (async () => {
    while (wanted) {
      const now = wanted;
      wanted = "";
      await htmx.ajax("GET", now, { target: "#visit", swap: "outerHTML", source: here() });
    }
  })().finally(() => { showing = null; });
}

// The answer about this entry; nothing when the program cannot be reached.
async function sent(entry) {
  for (;;) {
    const answers = await drain();
    if (!answers) return null;
    const mineIs = answers.find((one) => one.ids.has(entry.id));
    if (mineIs) return mineIs;
    if (!(await waiting.all()).some((one) => one.id === entry.id && !one.faults)) return null;
  }
}

function tellKept(answer) {
  say(answer.said, answer.saved);
  const strip = document.getElementById("safety");
  if (strip && answer.safety) strip.outerHTML = answer.safety;
  if (answer.risen) say(`${answer.said} Safety has changed: look above.`, answer.saved, true);
}

// ---- sending what waits, in order ---------------------------------------------------------------------------------

function drain() {
  return draining ??= send().finally(() => { draining = null; });
}

async function send() {
  const answers = [];
  for (;;) {
    const entries = (await waiting.all()).filter((one) => !one.faults && own(one));
    if (!entries.length) break;
    const { visit } = entries[0];
    const end = entries.findIndex((one) => one.visit !== visit);
    const batch = entries.slice(0, end < 0 ? AT_ONCE : Math.min(end, AT_ONCE));
    const answer = await post(visit, batch);
    if (!answer) {
      lost();
      return null;
    }
    const back = new Map(answer.refused.map((one) => [one.id, one.faults]));
    await waiting.remove(batch.filter((one) => !back.has(one.id) || one.what === "undo").map((one) => one.n));
    for (const one of batch) if (back.has(one.id) && one.what !== "undo") await waiting.change({ ...one, faults: back.get(one.id) });
    answers.push({ ...answer, visit, ids: new Set(batch.map((one) => one.id)) });
    if (away) show();
  }
  return answers;
}

async function post(visit, batch) {
  const entries = batch.map(({ id, what, fields }) => ({ id, what, fields }));
  const { minutes, urgency } = here()?.dataset ?? {};
  const body = JSON.stringify({ entries, was: urgency ?? "", minutes: Number(minutes) || 20 });
  try {
    const answer = await fetch(`/visits/${visit}/arrivals`, {
      method: "POST", body, headers: { "Content-Type": "application/json", "HX-Request": "true" }, signal: AbortSignal.timeout(PATIENCE),
    });
    if (answer.ok) return await answer.json();
    if (answer.status === 401) signedOut();
    const faults = { 403: ["This is not for you to record: the person is not assigned to you."], 404: ["There is no such visit in these records."] }[answer.status];
    if (!faults) return null;
    return { kept: [], refused: batch.map((one) => ({ id: one.id, faults })), said: "", saved: "", safety: "", risen: false };
  } catch {
    return null;
  }
}

// ---- without connection -------------------------------------------------------------------------------------------

function lost() {
  away = true;
  document.documentElement.classList.add("away");
  show();
}

async function found() {
  const answers = (await waiting.all()).some(own) ? await drain() : [];
  if (!answers) return;
  away = false;
  document.documentElement.classList.remove("away");
  const arrived = answers.filter((one) => one.visit === visitId()).reduce((sum, one) => sum + one.kept.length, 0);
  await show();
  if (isShell()) {
    if (!(await waiting.all()).some(mine)) location.reload();
    return;
  }
  say(arrived ? `Connected again. ${arrived === 1 ? "What waited has" : `All ${arrived} that waited have`} arrived.` : "Connected again.");
  await around(answers.at(-1)?.saved ?? "");
  if (!isBusy()) plainAgain();
}

// After a form that could not be sent: what was entered waits, the next test of the plan stands in front.
async function goOn(form, entry) {
  await show();
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
  if (!entry) await waiting.add({ id: waiting.newId(), visit: visitId(), what: "undo", fields: { entry: id }, who, name: "take back" });
  else await waiting.remove([entry.n]);
  // It may have arrived without our hearing of it: its taking back waits, too.
  if (entry) await waiting.add({ id: waiting.newId(), visit: entry.visit, what: "undo", fields: { entry: id }, who, name: "take back" });
  await show();
  say("Taken back.");
}

// ---- what waits, and what came back -------------------------------------------------------------------------------

async function show() {
  const entries = (await waiting.all()).filter((one) => one.what !== "undo" && own(one));
  const open = entries.filter((one) => !one.faults);
  const box = document.getElementById("waiting");
  const count = open.length === 1 ? "1 finding waits" : `${open.length} findings wait`;
  const lead = away ? `No connection to the program. Go on recording: it is kept in this browser. ${open.length ? `${count} here.` : "Nothing waits."}`
    : open.length ? `${count} in this browser; on the way now.` : "";
  box.hidden = !lead;
  if (box.firstElementChild.textContent !== lead) box.firstElementChild.textContent = lead;
  const list = box.querySelector("ol");
  list.replaceChildren(...open.filter(mine).map((one) => row(one, [["Take back", () => takeBack(one.id)]])));
  box.querySelector("details").hidden = !list.children.length;
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
  show();
}

async function drop(entry) {
  await waiting.remove([entry.n]);
  show();
}

function say(words, entry = "", alarm = false) {
  const said = document.createElement("div");
  said.className = alarm ? "said alarm" : "said";
  if (alarm) said.setAttribute("role", "alert");
  const text = document.createElement("span");
  text.textContent = words;
  said.append(text);
  if (entry && away) {
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

const isBusy = () => draining || showing || document.querySelector(".htmx-request");

async function ask() {
  if (!visitId() || (document.hidden && !away) || isBusy()) return;
  const before = here().dataset.mark;
  try {
    const answer = await fetch(`/visits/${visitId()}/mark`, { signal: AbortSignal.timeout(PATIENCE) });
    if (answer.status === 401) return signedOut();
    if (!answer.ok) return;
    const { mark } = await answer.json();
    if (away) await found();
    else if (before !== undefined && mark !== before && before === here()?.dataset.mark && !isBusy()) await around("", true);
  } catch {
    lost();
  }
}

// Everything but what is in hand is shown anew: the test in front, a typed line and a begun treatment stay as they are.
const IN_HAND = ["found-here", "safety", "meaning", "reasons", "findings"];
async function around(saved, byOthers = false) {
  const form = document.querySelector("form.record");
  const asked = new URLSearchParams({ minutes: here().dataset.minutes, saved });
  if (form) for (const [name, key] of [["do", "procedure"], ["side", "side"], ["level", "level"]]) asked.set(name, new FormData(form).get(key) ?? "");
  const begun = acts;
  const known = new Set([...document.querySelectorAll("#findings [data-entry]")].map((one) => one.dataset.entry));
  const answer = await fetch(`/visits/${visitId()}?${asked}`, { headers: { "HX-Request": "true" } }).catch(() => null);
  const text = answer?.ok ? await answer.text() : "";
  if (!text || begun !== acts) return;  // something was recorded here meanwhile; its own answer shows all
  const fresh = new DOMParser().parseFromString(text, "text/html");
  for (const id of IN_HAND) {
    const [old, now] = [document.getElementById(id), fresh.getElementById(id)];
    if (!old || !now || old.contains(document.activeElement) && id !== "safety") continue;
    old.replaceWith(document.adoptNode(now));
    htmx.process(now);
  }
  const now = fresh.getElementById("visit");
  if (now) for (const name of ["mark", "urgency", "key"]) here().dataset[name] = now.dataset[name];
  document.dispatchEvent(new CustomEvent("endfeel:shown"));
  const names = [...document.querySelectorAll("#findings [data-entry]")].filter((one) => !known.has(one.dataset.entry)).map((one) => one.dataset.name);
  if (byOthers) say(names.length ? `From another device: ${names.join("; ")}.` : "Changed on another device.");
}

// A form made in this browser gives way to the program's own once it is there again, unless something is entered in it.
function plainAgain() {
  const form = document.querySelector("form.record[data-without]");
  const untouched = !form || ![...form.elements].some((one) => one.name && one.type !== "hidden" && one.type !== "submit" && (one.type === "radio" ? one.checked !== one.defaultChecked : one.value !== one.defaultValue));
  if (document.querySelector("[data-without]") && untouched) refresh(`/visits/${visitId()}?minutes=${here().dataset.minutes}`);
}

// ---- links while away ---------------------------------------------------------------------------------------------

document.addEventListener("click", (event) => {
  const link = event.target.closest?.("a");
  if (!away || !link || !here()?.contains(link)) return;
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
  if (away && event.target.id === "q") offerTests("", event.target.value, visitId());
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
  if (isShell()) {
    const [, id] = location.pathname.match(/^\/visits\/([\w-]+)/) ?? [];
    here().dataset.visit = id ?? "";
    lost();
    ready().then(() => openForm(null, visitId()));
  }
  show();
  waiting.all().then((entries) => { if (entries.some((one) => !one.faults && own(one))) found(); });
  setInterval(ask, ASK_EVERY);
  window.addEventListener("online", ask);
  window.addEventListener("offline", lost);
  document.addEventListener("htmx:after:swap", () => show());
  if ("serviceWorker" in navigator) addEventListener("load", () => navigator.serviceWorker.register("/offline-worker.js").catch(() => {}));
  setTimeout(ready, 1500);
}
