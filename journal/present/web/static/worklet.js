// Sound from the microphone as 16 kHz, 16 bits, a tenth of a second at a time, with the moment it began.
// Where the browser does not give 16 kHz itself, a windowed sinc filter brings it down without folding.

const WANTED = 16000;
const CHUNK = 1600;
const HALF = 24; // taps on either side, at the wanted rate

class Ear extends AudioWorkletProcessor {
  constructor() {
    super();
    this.out = new Int16Array(CHUNK);
    this.filled = 0;
    this.ratio = sampleRate / WANTED;
    this.input = new Float32Array(0);
    this.at = 0; // place of the next output sample in the input
    this.began = null;
    this.last = null;
  }

  process([channels]) {
    const now = Date.now();
    if (this.last !== null && now - this.last > 1000) this.port.postMessage({ stopped: this.last, until: now });
    this.last = now;
    if (!channels?.length) return true;
    const mono = new Float32Array(channels[0].length);
    for (const channel of channels) for (let n = 0; n < mono.length; n += 1) mono[n] += channel[n] / channels.length;
    for (const sample of this.ratio === 1 ? mono : this.brought(mono)) this.add(sample, now);
    return true;
  }

  add(sample, now) {
    if (this.filled === 0 && this.began === null) this.began = now;
    this.out[this.filled] = Math.round(Math.max(-1, Math.min(1, sample)) * 32767);
    this.filled += 1;
    if (this.filled < CHUNK) return;
    const samples = this.out.buffer;
    this.port.postMessage({ samples, at: this.began }, [samples]);
    this.out = new Int16Array(CHUNK);
    this.filled = 0;
    this.began = null;
  }

  *brought(mono) {
    const joined = new Float32Array(this.input.length + mono.length);
    joined.set(this.input);
    joined.set(mono, this.input.length);
    const reach = HALF * Math.max(1, this.ratio);
    const scale = Math.min(1, 1 / this.ratio);
    while (this.at + reach < joined.length) {
      let sum = 0;
      let weights = 0;
      for (let n = Math.max(0, Math.ceil(this.at - reach)); n <= this.at + reach; n += 1) {
        const x = (n - this.at) * scale;
        const window = 0.5 + 0.5 * Math.cos((Math.PI * (n - this.at)) / reach);
        const weight = (x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x)) * window;
        sum += joined[n] * weight;
        weights += weight;
      }
      yield sum / weights;
      this.at += this.ratio;
    }
    const drop = Math.max(0, Math.floor(this.at - reach));
    this.input = joined.slice(drop);
    this.at -= drop;
  }
}

registerProcessor("ear", Ear);
