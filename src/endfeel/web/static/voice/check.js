// The microphone check: twelve phrases are read, and the reader sees his or her own figure. Nothing of it is kept.
import { Microphone, pushToTalk, show } from "./microphone.js";

const box = document.getElementById("voice-check");
const prompts = box.dataset.prompts.split("|");
const talk = document.getElementById("check-talk");
const phrase = document.getElementById("check-phrase");
const said = document.getElementById("check-said");
const list = document.getElementById("check-list");
const marks = { right: 0, refused: 0, wrong: 0 };
let place = 0;

const microphone = new Microphone(answer, () => { show(talk, false); said.textContent = "One moment …"; });
phrase.textContent = prompts[0];

async function begin() {
  if (place >= prompts.length) return;
  show(talk, true);
  said.textContent = `Phrase ${place + 1} of ${prompts.length}: listening …`;
  try {
    await microphone.begin({ prompt: prompts[place] });
  } catch {
    show(talk, false);
    microphone.on = false;
    said.textContent = "The microphone or the program cannot be reached.";
  }
}

function answer(got) {
  if (got.kind !== "checked") {
    show(talk, false);
    said.textContent = "The line to the program is gone; press Speak to try again.";
    return;
  }
  const mark = got.right ? "right" : got.refused ? "refused" : "wrong";
  marks[mark] += 1;
  const row = document.createElement("li");
  row.textContent = `${prompts[place]}: ${{ right: "right", refused: "not understood, nothing would be written", wrong: `heard as “${got.words}”` }[mark]}`;
  list.append(row);
  place += 1;
  const done = place === prompts.length;
  phrase.textContent = done ? "Done." : prompts[place];
  talk.disabled = done;
  said.textContent = `${marks.right} of ${place} right, ${marks.refused} not understood, ${marks.wrong} heard as something else.`
    + (done ? " That is your own figure, for this voice, this microphone and this room." : "");
}

pushToTalk(talk, begin, () => { show(talk, false); microphone.end(); });
