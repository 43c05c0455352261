// Takes the microphone's sound in blocks of 16-bit samples. Runs at the rate of its context (16 kHz).
class Blocks extends AudioWorkletProcessor {
  constructor() {
    super();
    this.block = new Int16Array(1600);
    this.filled = 0;
  }
  process(inputs) {
    const channel = inputs[0]?.[0];
    if (!channel) return true;
    for (const sample of channel) {
      this.block[this.filled++] = Math.max(-32768, Math.min(32767, Math.round(sample * 32767)));
      if (this.filled === this.block.length) {
        this.port.postMessage(this.block.slice().buffer);
        this.filled = 0;
      }
    }
    return true;
  }
}
registerProcessor("blocks", Blocks);
