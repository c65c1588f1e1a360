// Plays the blocks that come over the line. It holds no more than it needs: so much that at the worst moment of late something was to
// spare, since whoever waits until it runs dry hears it run dry. And it follows the program's clock by playing a little faster or slower,
// too little to hear.

const BLOCK_S = 0.016, MARGIN_S = 0.028, MOST_S = 0.072, SPARE_S = 0.016, LATE_S = 0.008, OVER_S = 0.015;
// The worst is forgotten so fast: the buffer grows shorter by so much a second while nothing comes late.
const FORGET = 0.0004;

class Player extends AudioWorkletProcessor {
  constructor({ processorOptions }) {
    super();
    // The loudspeaker asks for several blocks of its own at once, and then for none.
    this.least = (Math.min(0.032, BLOCK_S + processorOptions.burst_s)) * sampleRate;
    this.samples = new Float32Array(1 << 16);
    this.mask = this.samples.length - 1;
    this.from = 0; // read place, with its part of a sample
    this.to = 0;
    this.target = this.least + MARGIN_S * sampleRate;
    this.playing = false;
    this.due = false; // sound is meant to flow
    this.underruns = 0;
    this.last = 0;
    this.mean = this.target;
    this.low = Infinity; // the least that was held in this second,
    this.spare = SPARE_S * sampleRate; // and of late
    this.marks = []; // [place, input] of blocks that answer another input than the one before
    this.n = 0;
    this.energy = 0;
    this.count = 0;
    this.told = 0;
    this.weighed = 0;
    this.port.onmessage = ({ data }) => this.take(data);
  }

  // A block, or word that no more come for now.
  take(buffer) {
    if (!buffer) return (this.due = false);
    const head = new DataView(buffer), n = head.getUint32(4, true), block = new Int16Array(buffer, 12);
    if (n !== this.n) {
      this.n = n;
      this.marks.push([this.to, n]);
    }
    if (this.to + block.length - this.from > this.mask) this.from = this.to; // absurdly late: begin anew
    for (let i = 0; i < block.length; i++) this.samples[(this.to + i) & this.mask] = block[i] / 32767;
    this.to += block.length;
    this.due = head.getUint32(8, true) > 0; // no more for a while: to run dry then is no fault
  }

  // The sample at the read place's part of one after `place`.
  at(place) {
    const a = this.samples[place & this.mask], b = this.samples[(place + 1) & this.mask];
    return a + (b - a) * (this.from - Math.floor(this.from));
  }

  // How much is held from now on.
  weigh() {
    this.weighed = currentTime;
    this.spare = Math.min(this.low, this.spare + FORGET * sampleRate);
    this.low = Infinity;
    const most = MOST_S * sampleRate, target = Math.max(this.least, Math.min(most, this.target + SPARE_S * sampleRate - this.spare));
    this.spare += target - this.target;
    this.target = target;
  }

  process(_, [[out]]) {
    let held = this.to - this.from;
    if (!this.playing && held >= this.target + out.length) {
      this.playing = true;
      this.mean = held;
    }
    if (this.playing) {
      this.mean += (held - this.mean) * 0.02;
      // What lies far over the target is let go, so that no delay stays: one place fades into the later one.
      const jump = this.mean > this.target + OVER_S * sampleRate ? Math.max(0, Math.floor(Math.min(held, this.mean) - this.target)) : 0;
      const rate = 1 + Math.max(-0.01, Math.min(0.01, (0.2 * (this.mean - this.target)) / sampleRate));
      for (let i = 0; i < out.length; i++) {
        const at = Math.floor(this.from);
        if (at + 1 >= this.to) {
          // Dry: the rest dies away.
          this.playing = false;
          if (this.due) {
            this.underruns++;
            this.spare = -LATE_S * sampleRate;
          }
          this.due = false;
          for (let k = i; k < out.length; k++) out[k] = this.last *= 0.98;
          break;
        }
        let sample = this.at(at);
        if (jump) sample += ((this.at(at + jump) - sample) * i) / out.length;
        out[i] = this.last = sample;
        this.from += rate;
      }
      if (jump && this.playing) {
        this.from += jump;
        this.mean -= jump;
      }
    } else {
      for (let i = 0; i < out.length; i++) out[i] = this.last *= 0.98;
    }
    if (this.playing && this.due) this.low = Math.min(this.low, this.to - this.from);
    for (const sample of out) this.energy += sample * sample;
    this.count += out.length;
    while (this.marks.length && this.marks[0][0] <= this.from) this.port.postMessage({ played: this.marks.shift()[1] });
    if (currentTime - this.weighed > 1) this.weigh();
    if (currentTime - this.told > 0.2) {
      this.told = currentTime;
      held = this.to - this.from;
      this.port.postMessage({ underruns: this.underruns, rms: Math.sqrt(this.energy / this.count), held_ms: (1e3 * held) / sampleRate });
      this.energy = this.count = 0;
    }
    return true;
  }
}

registerProcessor("player", Player);
