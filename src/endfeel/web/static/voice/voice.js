// Speaking a finding on the visit page: a draft, then a yes. Nothing is sent to the record before that.
import { Microphone, pushToTalk, show } from "./microphone.js";

const box = document.getElementById("voice");
const talk = document.getElementById("voice-talk");
const said = document.getElementById("voice-said");
const keep = document.getElementById("voice-keep");
const ask = document.getElementById("voice-ask");
const aloud = document.getElementById("voice-aloud");
let waiting = "";

const microphone = new Microphone(answer, () => { show(talk, false); tell("One moment …"); });

function tell(words) {
  said.textContent = words;
}

// Where the page stands: the test in front, its level, the side. The side pressed in the form leads, else the complaint's.
function place() {
  const form = document.querySelector("#now form.record");
  const field = (name) => form?.querySelector(`input[name=${name}]:checked, input[type=hidden][name=${name}]`)?.value ?? "";
  return { front: field("procedure"), level: field("level"), side: field("side") || box.dataset.side };
}

async function begin() {
  show(talk, true);
  tell("Listening …");
  try {
    await microphone.begin(place());
  } catch (error) {
    show(talk, false);
    microphone.on = false;
    tell(error.name === "NotAllowedError" ? "The browser does not allow the microphone here. Touch and typing work as always."
      : "The microphone or the program cannot be reached. Touch and typing work as always.");
  }
}

function end() {
  show(talk, false);
  microphone.end();
}

function answer(got) {
  waiting = got.kind === "draft" || got.kind === "asked" ? got.line : got.kind === "rejected" ? got.line || "" : "";
  keep.hidden = !waiting || got.kind === "asked";
  ask.hidden = got.kind !== "asked";
  box.classList.toggle("has-draft", Boolean(waiting));
  if (got.kind === "draft") readBack(`Draft: ${got.line}. Say yes confirm, or press Keep.`, got.line);
  else if (got.kind === "asked") readBack(`${got.said} Draft: ${got.line}.`, got.said);
  else if (got.kind === "keep") record(got.line);
  else if (got.kind === "command") command(got.said);
  else if (got.kind === "lost") { show(talk, false); tell("The line to the program is gone. Press Speak to try again; touch and typing work as always."); }
  else readBack(got.said + (waiting ? ` The draft still waits: ${waiting}.` : ""), got.said);
}

function record(line) {
  const form = document.getElementById("voice-form");
  form.elements.line.value = line;
  form.elements.entry_id.value = crypto.randomUUID();
  form.elements.retest.value = document.querySelector("#now form.record input[name=retest]")?.value ?? "";
  tell(`Kept: ${line}`);
  form.requestSubmit();
}

function command(name) {
  if (name === "undo") { tell("Undo"); document.getElementById("voice-undo").requestSubmit(); }
  else if (name === "next") next();
  else if (name === "other_side") otherSide();
  else if (name === "read_back") readBack(lastSaid());
  else tell("There is no draft.");
}

// The next step of the plan that is not the test in front.
function next() {
  const now = document.querySelector("#now form.record input[name=procedure]")?.value;
  const rows = [...document.querySelectorAll(".steps a.row")];
  const row = rows.find((one) => new URL(one.href).searchParams.get("do") !== now);
  if (!row) return tell("The plan has no further test.");
  tell(`Next: ${row.querySelector("span:nth-child(2)")?.firstChild.textContent.trim() ?? ""}`);
  row.click();
}

function otherSide() {
  const pressed = document.querySelector("#now input[name=side]:checked");
  const other = [...document.querySelectorAll("#now input[name=side]")].find((one) => one !== pressed && one.value);
  const wanted = { left: "right", right: "left" }[pressed?.value || box.dataset.side];
  const radio = document.querySelector(`#now input[name=side][value=${wanted || "none"}]`) ?? other;
  if (!radio) return tell("The test in front has no side.");
  radio.click();
  readBack(`Now on the ${radio.value}.`);
}

function lastSaid() {
  return document.querySelector("#said .said")?.firstChild?.textContent?.trim() || "Nothing was saved yet on this page.";
}

// Spoken back only by a voice that lives on this machine; else shown.
function localVoice() {
  return window.speechSynthesis?.getVoices().find((one) => one.localService && one.lang.startsWith("en"));
}
function readBack(words, spoken = words) {
  tell(words);
  const voice = aloud?.checked && localVoice();
  if (!voice) return;
  const utterance = new SpeechSynthesisUtterance(spoken.replaceAll("_", " "));
  utterance.voice = voice;
  speechSynthesis.cancel();
  speechSynthesis.speak(utterance);
}
function offerAloud() {
  document.getElementById("voice-aloud-choice").hidden = !localVoice();
}
offerAloud();
window.speechSynthesis?.addEventListener?.("voiceschanged", offerAloud);

// While a draft waits, Enter says yes to it, on the talk button too; space talks.
talk.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !waiting || keep.hidden) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  microphone.send({ do: "confirm" });
}, true);
const press = pushToTalk(talk, begin, end);
box.addEventListener("click", (event) => {
  const button = event.target.closest("[data-voice], [data-voice-side]");
  if (button?.dataset.voice) microphone.send({ do: button.dataset.voice });
  else if (button) microphone.send({ do: "side", side: button.dataset.voiceSide });
});

const writes = (element) => element.matches?.("input:not([type=radio], [type=checkbox]), textarea, select, [contenteditable]");
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || writes(event.target)) return;
  if (event.key.toLowerCase() === "v" || event.key === ".") { event.preventDefault(); if (!event.repeat) press.down(); }
  else if (waiting && !keep.hidden && event.key === "Enter" && !event.target.closest("button, a, summary")) { event.preventDefault(); microphone.send({ do: "confirm" }); }
  else if (waiting && event.key === "Escape") microphone.send({ do: "again" });
});
document.addEventListener("keyup", (event) => {
  if (!writes(event.target) && (event.key.toLowerCase() === "v" || event.key === ".")) press.up();
});
