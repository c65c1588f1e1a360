// The loudspeaker: the engine's blocks through a worklet, and the clicks of the screws. The first press of a button opens it, as
// browsers ask for.

import { Loudness } from "/loudness.js";

export class Sound extends Loudness {
  context = null;
  figures = { underruns: 0, rms: 0, held_ms: 0, blocks: 0, first_ms: null };
  #node = null; #clicks = null; #played; #opened = 0;

  // `played` is told the number of an input once its sound is heard.
  constructor(played) {
    super();
    this.#played = played;
  }

  // Samples per second of this machine's loudspeaker; made silent, since nothing was pressed yet.
  rate() {
    try {
      this.context = new AudioContext({ latencyHint: "interactive" });
      return this.context.sampleRate;
    } catch {
      return 48000;
    }
  }

  // Opens the loudspeaker; false if this machine has none.
  async open() {
    const { context } = this;
    this.#opened = performance.now();
    this.figures.first_ms = null;
    if (!context) return false;
    try {
      await Promise.race([context.resume(), new Promise((_, no) => setTimeout(no, 3000))]);
      if (this.#node) return true;
      await context.audioWorklet.addModule("/worklet.js");
    } catch {
      return false;
    }
    const out = this.through(context);
    this.#clicks = new GainNode(context, { gain: 0.5 });
    this.#clicks.connect(out);
    this.#node = new AudioWorkletNode(context, "player", {
      numberOfInputs: 0,
      outputChannelCount: [1],
      processorOptions: { burst_s: context.baseLatency || 0.01 },
    });
    this.#node.connect(out);
    this.#node.port.onmessage = ({ data }) => {
      if (data.played !== undefined) return this.#played(data.played);
      if (data.rms > 1e-4) this.figures.first_ms ??= performance.now() - this.#opened;
      Object.assign(this.figures, data);
    };
    return true;
  }

  block(buffer) {
    this.figures.blocks++;
    this.#node?.port.postMessage(buffer, [buffer]);
  }

  // No block comes for now, the line being cut: what lies ready is played, and to run dry then is no fault.
  cut() {
    this.#node?.port.postMessage(null);
  }

  // A screw's click: a short knock, higher on the way in.
  click(inward) {
    if (!this.#clicks) return;
    const { context } = this, now = context.currentTime;
    const tone = new OscillatorNode(context, { type: "triangle", frequency: inward ? 1900 : 1500 });
    const knock = new GainNode(context, { gain: 0.5 });
    knock.gain.exponentialRampToValueAtTime(1e-4, now + 0.03);
    tone.connect(knock).connect(this.#clicks);
    tone.start(now);
    tone.stop(now + 0.04);
  }
}
