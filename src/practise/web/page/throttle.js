// The throttle: it follows finger, key or gamepad, and springs back when let go, unless it is kept where it is.

const DEAD = 0.06;

export class Throttle {
  #place; #moved; #keep; #position = 0; #kept = false; #held = new Map(); #sent = 0; #pad = 0;

  // `moved(position)` is told every new place, at most once a picture.
  constructor(place, keep, moved) {
    this.#place = place;
    this.#keep = keep;
    this.#moved = moved;
    const at = (event) => {
      const box = place.getBoundingClientRect();
      return Math.min(1, Math.max(0, ((event.clientX - box.left) / box.width - 0.04) / 0.92));
    };
    place.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      place.setPointerCapture(event.pointerId);
      this.#hold("pointer", at(event));
    });
    place.addEventListener("pointermove", (event) => this.#held.has("pointer") && this.#hold("pointer", at(event)));
    for (const end of ["pointerup", "pointercancel"]) place.addEventListener(end, () => this.letGo("pointer"));
    place.addEventListener("contextmenu", (event) => event.preventDefault());
    place.addEventListener("keydown", (event) => {
      const by = { ArrowRight: 0.1, ArrowUp: 0.1, ArrowLeft: -0.1, ArrowDown: -0.1 }[event.key];
      if (!by) return;
      event.preventDefault();
      this.#hold("arrow", Math.min(1, Math.max(0, this.#position + by)));
    });
    place.addEventListener("keyup", (event) => event.key.startsWith("Arrow") && this.letGo("arrow"));
    place.addEventListener("blur", () => this.letGo("arrow"));
    keep.addEventListener("click", () => this.keep(!this.#kept));
    addEventListener("blur", () => this.release());
    addEventListener("gamepadconnected", () => this.#poll());
  }

  // A key of the whole page goes down: Space is full, digits are tenths; whether it was one.
  down(key) {
    const position = key === " " ? 1 : /^[0-9]$/.test(key) ? (Number(key) || 10) / 10 : null;
    if (position === null) return false;
    this.#hold(key, position);
    return true;
  }

  #hold(by, position) {
    this.#held.set(by, position);
    this.#go(position);
  }

  letGo(by) {
    if (!this.#held.delete(by) || this.#kept) return;
    const rest = [...this.#held.values()];
    this.#go(rest.length ? rest[rest.length - 1] : 0);
  }

  // Nobody looks at the page any more: what is let go now is never told.
  release() {
    this.#held.clear();
    if (!this.#kept) this.#go(0);
  }

  keep(kept) {
    this.#kept = kept;
    this.#keep.setAttribute("aria-pressed", String(kept));
    this.#keep.textContent = kept ? "Let it go" : "Keep it there";
    if (!kept && !this.#held.size) this.#go(0);
  }

  #go(position) {
    this.#position = Math.round(100 * position) / 100;
    if (this.#sent !== this.#position) {
      this.#sent = this.#position;
      this.#moved(this.#position);
    }
  }

  #poll() {
    const pads = navigator.getGamepads().filter(Boolean);
    if (!pads.length) return this.letGo("pad");
    const trigger = Math.max(...pads.map((pad) => pad.buttons[7]?.value ?? 0), ...pads.map((pad) => -(pad.axes[1] ?? 0)));
    const position = trigger < DEAD ? 0 : Math.min(1, trigger);
    if (position !== this.#pad) {
      this.#pad = position;
      if (position) this.#hold("pad", position);
      else this.letGo("pad");
    }
    requestAnimationFrame(() => this.#poll());
  }

  // Where it stands by what the program says.
  show(throttle) {
    this.#place.style.setProperty("--open", String(throttle));
    const percent = String(Math.round(100 * throttle));
    this.#place.setAttribute("aria-valuenow", percent);
    this.#place.setAttribute("aria-valuetext", `${percent} % open`);
  }
}
