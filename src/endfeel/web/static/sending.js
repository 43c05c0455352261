// What is sent to the program: one thing after the other, what waits in order and each entry once.
import * as waiting from "./waiting.js";
import { here } from "./visit.js";

const AT_ONCE = 25;
export const PATIENCE = 10_000;
export const visitId = () => here()?.dataset.visit;
export const isShell = () => document.body.dataset.shell !== undefined;
// Whether the program is away, and whom to tell that it went, and that something arrived.
export const program = { away: false, lost: () => {}, arrived: () => {} };

// In a clinic what somebody recorded is sent in their name alone; the bare page does not know who it was, this tab does.
if (!isShell()) sessionStorage.setItem("who", document.body.dataset.who ?? "");
export const who = sessionStorage.getItem("who") ?? "";
export const own = (entry) => (entry.who ?? "") === who;

// The session is over: what was recorded waits here, and the page goes to the way in, so that nobody reads on.
export function signedOut() {
  location.assign(`/sign-in?${new URLSearchParams({ to: location.pathname })}`);
}

// One thing is asked for after the other; the answer to the last shows all.
let turn = Promise.resolve();
let busy = 0;
export function inTurn(act) {
  busy += 1;
  return turn = turn.then(act).catch((error) => { console.error(error); return null; }).finally(() => { busy -= 1; });
}

export const isSending = () => busy > 0;

// ---- sending what waits, in order ---------------------------------------------------------------------------------

const heard = new Map();
let draining = null;
let none = false;  // nothing waits in the store, as far as this page knows

// The answer about this entry; nothing when the program cannot be reached. It is kept here and sent at the same time.
export function sent(entry) {
  const answer = new Promise((done) => heard.set(entry.id, { entry, done }));
  const kept = waiting.add(entry).then((n) => { entry.n = n; });
  if (none && !draining && !program.away) {
    none = false;
    drain([entry], kept);
  } else kept.then(() => drain());
  return answer;
}

export function drain(first = null, kept = null) {
  return draining ??= inTurn(() => send(first, kept)).finally(() => {
    draining = null;
    if (heard.size && !program.away) drain();
  });
}

async function send(first, kept) {
  const answers = [];
  for (let fresh = first; ; fresh = null) {
    const entries = fresh ?? (await waiting.all()).filter((one) => !one.faults && own(one));
    if (!entries.length) break;
    const { visit } = entries[0];
    const end = entries.findIndex((one) => one.visit !== visit);
    const batch = entries.slice(0, end < 0 ? AT_ONCE : Math.min(end, AT_ONCE));
    const answer = await post(visit, batch);
    await kept;
    if (!answer) {
      program.lost();
      for (const id of heard.keys()) hear(id, null);
      return null;
    }
    for (const { id } of batch) hear(id, answer);
    const back = new Map(answer.refused.map((one) => [one.id, one.faults]));
    await waiting.remove(batch.filter((one) => !back.has(one.id) || one.what === "undo").map((one) => one.n));
    for (const one of batch) if (back.has(one.id) && one.what !== "undo") await waiting.change({ ...one, faults: back.get(one.id) });
    answers.push({ ...answer, visit });
    if (program.away) program.arrived();
  }
  none = true;
  // What is in the store no longer was sent by another window of this browser.
  for (const [id, { entry }] of heard) if (entry.n) hear(id, { refused: [], saved: id });
  return answers;
}

function hear(id, answer) {
  heard.get(id)?.done(answer);
  heard.delete(id);
}

async function post(visit, batch) {
  const entries = batch.map(({ id, what, fields }) => ({ id, what, fields }));
  const { minutes, urgency } = here()?.dataset ?? {};
  const whole = !program.away && !isShell() && visit === visitId();
  const body = JSON.stringify({ entries, was: urgency ?? "", minutes: Number(minutes) || 20, whole });
  try {
    const answer = await fetch(`/visits/${visit}/arrivals`, {
      method: "POST", body, headers: { "Content-Type": "application/json", "HX-Request": "true" }, signal: AbortSignal.timeout(PATIENCE),
    });
    if (answer.ok) return await told(answer);
    if (answer.status === 401) signedOut();
    const faults = { 403: ["This is not for you to record: the person is not assigned to you."], 404: ["There is no such visit in these records."] }[answer.status];
    if (!faults) return null;
    return { kept: [], refused: batch.map((one) => ({ id: one.id, faults })), saved: "" };
  } catch {
    return null;
  }
}

// First a line: what is kept and what safety says, at once. Then, when it is worked out, the whole visit (`rest`).
async function told(answer) {
  const reader = answer.body.getReader();
  const words = new TextDecoder();
  let text = "";
  const more = async () => {
    const { done, value } = await reader.read();
    text += words.decode(value, { stream: !done });
    return !done;
  };
  while (!text.includes("\n") && await more());
  const end = text.includes("\n") ? text.indexOf("\n") : text.length;
  const rest = (async () => {
    while (await more());
    return text.slice(end + 1);
  })();
  return { ...JSON.parse(text.slice(0, end)), rest: rest.catch(() => "") };
}

// What waited when the page was opened goes first.
export async function begin() {
  none = !(await waiting.all()).some((one) => !one.faults && own(one));
  return !none;
}
