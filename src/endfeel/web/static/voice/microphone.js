// The microphone and the line to the program on this machine: begin, end, and what comes back. Sound is never kept here.
const RATE = 16000;
const QUIET_SECONDS = 1.3; // silence after speech that ends a phrase
const LONGEST_SECONDS = 12;

export class Microphone {
  constructor(onAnswer, onEnded) {
    this.onAnswer = onAnswer;
    this.onEnded = onEnded;
    this.on = false;
  }

  // Connects and asks for the microphone once; later calls return at once.
  async ready() {
    if (!this.socket || this.socket.readyState > WebSocket.OPEN) {
      this.socket = new WebSocket(`${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/voice/listen`);
      this.socket.binaryType = "arraybuffer";
      await new Promise((resolve, reject) => {
        this.socket.onerror = () => reject(new Error("no line to the program"));
        this.socket.onmessage = () => resolve(); // the first answer says that it is ready
      });
      this.socket.onmessage = (event) => this.onAnswer(JSON.parse(event.data));
      this.socket.onclose = () => this.onAnswer({ kind: "lost" });
    }
    if (!this.node) {
      this.context = new AudioContext({ sampleRate: RATE });
      await this.context.audioWorklet.addModule("/static/voice/worklet.js");
      this.node = new AudioWorkletNode(this.context, "blocks");
      this.node.port.onmessage = (event) => this.block(event.data);
    }
    if (this.track?.readyState !== "live") { // never asked for, pulled out, or taken away: asked for again
      this.source?.disconnect();
      const stream = await navigator.mediaDevices.getUserMedia({
        audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 },
      });
      [this.track] = stream.getAudioTracks();
      this.source = this.context.createMediaStreamSource(stream);
      this.source.connect(this.node);
    }
    await this.context.resume();
  }

  async begin(place) {
    this.on = true; // a key let go before the line stands ends it again
    await this.ready();
    if (!this.on) return;
    this.loudest = 0;
    this.quiet = 0;
    this.seconds = 0;
    this.send({ do: "begin", ...place });
    this.sending = true;
  }

  end() {
    this.on = false;
    if (!this.sending) return;
    this.sending = false;
    this.send({ do: "end" });
    this.onEnded();
  }

  send(what) {
    if (this.socket?.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify(what));
  }

  block(sound) {
    if (!this.sending) return;
    this.socket.send(sound);
    const samples = new Int16Array(sound);
    const level = Math.sqrt(samples.reduce((sum, one) => sum + one * one, 0) / samples.length);
    const seconds = samples.length / RATE;
    this.seconds += seconds;
    this.loudest = Math.max(this.loudest, level);
    this.quiet = this.loudest > 300 && level < this.loudest / 12 ? this.quiet + seconds : 0;
    if (this.quiet > QUIET_SECONDS || this.seconds > LONGEST_SECONDS) this.end();
  }
}

// A button that is held, or pressed once to begin and once to end.
export function pushToTalk(button, begin, end) {
  let since = 0;
  const down = () => {
    if (button.getAttribute("aria-pressed") === "true") return end();
    since = performance.now();
    begin();
  };
  const up = () => {
    if (since && performance.now() - since > 500) end();
    since = 0;
  };
  button.addEventListener("pointerdown", (event) => { event.preventDefault(); button.focus(); down(); });
  button.addEventListener("pointerup", up);
  button.addEventListener("pointercancel", up);
  button.addEventListener("keydown", (event) => {
    if (!["Enter", " "].includes(event.key)) return;
    event.preventDefault();
    event.stopPropagation();
    if (!event.repeat) down();
  });
  button.addEventListener("keyup", (event) => { if (["Enter", " "].includes(event.key)) { event.preventDefault(); up(); } });
  return { down, up };
}

export function show(button, on) {
  button.setAttribute("aria-pressed", String(on));
  button.textContent = on ? "Listening … press to end" : "Speak";
}
