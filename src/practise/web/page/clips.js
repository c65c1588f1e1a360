// Short clips through WebAudio: one after the other, each softly begun.

import { Loudness } from "/loudness.js";

const SOFT_S = 0.06, PAUSE_MS = 450;
const later = (ms) => new Promise((done) => setTimeout(done, ms));

export class Clips extends Loudness {
  figures = { rms: 0, played: 0, first_ms: null };
  #context = null; #meter = null; #source = null; #turn = 0; #pressed = 0;

  #made() {
    if (!this.#context) {
      this.#context = new AudioContext();
      this.#meter = new AnalyserNode(this.#context, { fftSize: 2048 });
      this.#meter.connect(this.through(this.#context));
    }
    return this.#context;
  }

  // Samples per second that are worth asking for.
  rate() {
    return Math.round(Math.max(8000, Math.min(48000, this.#made().sampleRate)));
  }

  decoded(file) {
    return this.#made().decodeAudioData(file);
  }

  // A button was pressed: what is heard next answers it.
  pressed() {
    this.#pressed = performance.now();
    this.figures.first_ms = null;
    // Some browsers open a loudspeaker during the press alone.
    this.#made().resume().catch(() => {});
    this.stop();
    return this.#turn;
  }

  stop() {
    this.#turn++;
    this.#source?.stop();
    this.#source = null;
  }

  // Whether nothing was pressed since.
  current(turn) {
    return turn === this.#turn;
  }

  // Plays one clip; true once it has been heard to its end.
  async play(buffer, turn, pause = false) {
    const context = this.#made();
    if (pause) await later(PAUSE_MS);
    await Promise.race([context.resume(), later(3000)]);
    if (context.state !== "running") throw new Error("this browser gives no sound: is there a loudspeaker?");
    if (!this.current(turn)) return false;
    const source = new AudioBufferSourceNode(context, { buffer });
    const soft = new GainNode(context, { gain: 0 });
    soft.gain.linearRampToValueAtTime(1, context.currentTime + SOFT_S);
    source.connect(soft).connect(this.#meter);
    const ended = new Promise((done) => (source.onended = done));
    this.#source = source;
    source.start();
    const metered = setInterval(() => this.#look(), 40);
    await ended;
    clearInterval(metered);
    this.figures.played++;
    return this.current(turn);
  }

  #look() {
    const samples = new Float32Array(this.#meter.fftSize);
    this.#meter.getFloatTimeDomainData(samples);
    this.figures.rms = Math.sqrt(samples.reduce((sum, x) => sum + x * x, 0) / samples.length);
    if (this.figures.rms > 1e-4) this.figures.first_ms ??= performance.now() - this.#pressed;
  }
}
