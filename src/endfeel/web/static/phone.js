// The phone's side: trade the code for a key, read the tilts ten times a second, send them, show what comes back.
const SAMPLE_MS = 100;
const SEND_MS = 200;
const NO_SENSOR_MS = 3000;
const show = (id) => document.getElementById(id);
const token = decodeURIComponent(location.hash.slice(1));
history.replaceState(null, "", location.pathname);

let key = "";
let latest = null;
let waiting = [];
let sending = false;
let timers = [];

const say = (words, alarm = false) => {
  show("say").textContent = words;
  show("say").classList.toggle("alarm", alarm);
};

async function ask(path, body) {
  const answer = await fetch(path, {
    method: "POST",
    headers: { "Content-Type": "application/json", ...(key && { Authorization: `Bearer ${key}` }) },
    body: JSON.stringify(body ?? {}),
  });
  const told = await answer.json().catch(() => ({}));
  if (!answer.ok) throw Object.assign(new Error((told.errors ?? ["No answer from the program."]).join(" ")), { status: answer.status });
  return told;
}

async function allowed() {
  const event = window.DeviceOrientationEvent;
  if (!event || !window.isSecureContext) return false;
  if (!event.requestPermission) return true;
  return (await event.requestPermission()) === "granted";
}

async function start() {
  if (!token) return say("Scan the code beside the visit: this page was opened without one.", true);
  if (!(await allowed().catch(() => false))) {
    return say("This browser does not give the sensor away: it wants a secure address (https) and your permission. The angle can be typed beside the visit.", true);
  }
  try {
    key = (await ask("/phone/claim", { token })).key;
  } catch (error) {
    return say(error.message, true);
  }
  window.addEventListener("deviceorientation", (event) => {
    if (event.beta !== null && event.gamma !== null) latest = [event.beta, event.gamma];
  });
  navigator.wakeLock?.request("screen").catch(() => {});
  show("begin").hidden = true;
  show("reading").hidden = false;
  say("Bring the limb to where zero is, then press zero.");
  timers = [setInterval(sample, SAMPLE_MS), setInterval(send, SEND_MS), setTimeout(check, NO_SENSOR_MS)];
}

// Events come only when something moves: a phone that lies still is read from where it was last.
function sample() {
  if (latest) waiting.push([performance.now() / 1000, ...latest]);
  waiting = waiting.slice(-50);
}

function check() {
  if (!latest) say("No reading from the sensor. Is the phone one that has it, and is it allowed in the browser's settings?", true);
}

async function send() {
  if (sending || !waiting.length) return;
  sending = true;
  const tilts = waiting.splice(0);
  try {
    tell(await ask("/phone/readings", { tilts }));
  } catch (error) {
    if (error.status === 409) stop(error.message);
    else say("No answer from the program. Is the phone still in the same network?", true);
  } finally {
    sending = false;
  }
}

function stop(words) {
  timers.forEach((one) => { clearInterval(one); clearTimeout(one); });
  show("reading").hidden = true;
  say(`${words[0].toUpperCase()}${words.slice(1)}`, true);
}

function tell(live) {
  show("degrees").textContent = live.degrees === null ? "–" : Math.abs(live.degrees);
  const state = show("state");
  state.classList.toggle("is-held", live.held !== null);
  if (!live.zeroed) state.textContent = "not zeroed";
  else if (live.upright) state.textContent = "axis too upright: gravity cannot tell this turn";
  else if (live.held !== null) state.textContent = `held: ${Math.abs(live.held)}°`;
  else state.textContent = "moving";
  if (live.zeroed) say("Move the limb; hold still at its end for a second.");
}

show("start").addEventListener("click", start);
show("zero").addEventListener("click", async () => {
  try {
    await send();
    tell(await ask("/phone/zero"));
    navigator.vibrate?.(60);
  } catch (error) {
    say(`${error.message[0].toUpperCase()}${error.message.slice(1)}`, true);
  }
});
