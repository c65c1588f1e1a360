// How loud a page may be: it starts soft, is capped, and can be muted.

const LOUDEST = 0.7;

export class Loudness {
  #volume = 0.35; #muted = false; #gain = null;

  // What everything that is heard goes through, before the loudspeaker.
  through(context) {
    this.#gain = new GainNode(context, { gain: 0 });
    this.#gain.connect(context.destination);
    this.#set();
    return this.#gain;
  }

  volume(share) {
    this.#volume = share;
    this.#set();
  }

  get muted() {
    return this.#muted;
  }

  mute(muted) {
    this.#muted = muted;
    this.#set();
  }

  #set() {
    const gain = this.#muted ? 0 : LOUDEST * this.#volume * this.#volume;
    this.#gain?.gain.setTargetAtTime(gain, this.#gain.context.currentTime, 0.02);
  }
}
