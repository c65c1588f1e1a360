// The three screws: dragged round, turned by the wheel or by keys, a click at a time. What a screw shows is what the program says; the
// turn itself is only asked for.

export const STEPS = [1, 2, 3, 6]; // in clicks of 1/24 turn
const CLICK = 1 / 24;
const SVG = "http://www.w3.org/2000/svg";
export const SCREWS = [
  { name: "high", label: "High-speed needle", key: "h", less: "lean", more: "rich", inward: -1 },
  { name: "low", label: "Low-speed needle", key: "l", less: "lean", more: "rich", inward: -1 },
  { name: "idle", label: "Idle stop", key: "t", less: "slow", more: "fast", inward: 1 },
];

function drawn(tag, attributes, parent) {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  parent.append(made);
  return made;
}

function head(parent) {
  const svg = drawn("svg", { viewBox: "-60 -60 120 120", "aria-hidden": "true" }, parent);
  for (let k = 0; k < 24; k++) {
    const long = k % 6 === 0 ? 8 : k % 3 === 0 ? 6 : 3;
    drawn("line", { x1: 0, y1: -56, x2: 0, y2: -56 + long, transform: `rotate(${15 * k})`, class: k ? "tick" : "tick zero" }, svg);
  }
  const turning = drawn("g", { class: "turning" }, svg);
  drawn("circle", { r: 44, class: "rim" }, turning);
  drawn("circle", { r: 37, class: "face" }, turning);
  drawn("rect", { x: -5, y: -37, width: 10, height: 74, rx: 2, class: "slot" }, turning);
  drawn("path", { d: "M0 -44 l-5 9 h10 z", class: "pointer" }, turning);
  return turning;
}

export class Screws {
  #turn; #click; #step = 0; #parts = new Map(); #held = "high";

  // `turn(screw, turns)` asks for a turn; `click(inward)` is its sound.
  constructor(place, turn, click) {
    this.#turn = turn;
    this.#click = click;
    for (const screw of SCREWS) place.append(this.#make(screw));
  }

  #make(screw) {
    const box = document.createElement("div");
    box.className = "screw";
    const knob = document.createElement("div");
    knob.className = "knob";
    knob.id = `screw-${screw.name}`;
    knob.tabIndex = 0;
    knob.setAttribute("role", "slider");
    knob.setAttribute("aria-label", `${screw.label}: arrow left ${screw.less}er, right ${screw.more}er`);
    knob.setAttribute("aria-valuemin", "-192");
    knob.setAttribute("aria-valuemax", "192");
    const name = document.createElement("p");
    name.className = "what";
    name.textContent = screw.label;
    const turning = head(knob);
    const mark = document.createElement("p");
    mark.className = "mark";
    const hands = document.createElement("div");
    hands.className = "ways";
    for (const [word, way] of [["in", screw.inward], ["out", -screw.inward]]) {
      const button = document.createElement("button");
      button.type = "button";
      const effect = way > 0 ? `${screw.more}er` : `${screw.less}er`;
      button.textContent = word;
      button.setAttribute("aria-label", `${screw.label} ${word}, ${effect}`);
      const small = document.createElement("small");
      small.textContent = effect;
      button.append(small);
      button.dataset.way = word;
      button.addEventListener("click", () => this.#clicks(screw, way * STEPS[this.#step]));
      hands.append(button);
    }
    box.append(name, knob, mark, hands);
    this.#parts.set(screw.name, { knob, turning, mark, screw });
    this.#drag(screw, knob);
    knob.addEventListener("focus", () => (this.#held = screw.name));
    knob.addEventListener("wheel", (event) => {
      event.preventDefault();
      this.#clicks(screw, (event.deltaY > 0 ? -1 : 1) * STEPS[this.#step]);
    }, { passive: false });
    knob.addEventListener("keydown", (event) => {
      const way = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
      if (!way || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      this.#clicks(screw, way * STEPS[this.#step]);
    });
    this.show([{ screw: screw.name, turns: 0, mark: "as found", effect: null }]);
    return box;
  }

  #drag(screw, knob) {
    let last = null, rest = 0;
    const angle = (event) => {
      const box = knob.getBoundingClientRect();
      return Math.atan2(event.clientY - box.top - box.height / 2, event.clientX - box.left - box.width / 2);
    };
    knob.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      knob.setPointerCapture(event.pointerId);
      last = angle(event);
      rest = 0;
    });
    knob.addEventListener("pointermove", (event) => {
      if (last === null) return;
      const now = angle(event);
      let by = now - last;
      if (by > Math.PI) by -= 2 * Math.PI;
      if (by < -Math.PI) by += 2 * Math.PI;
      last = now;
      rest += by / (2 * Math.PI) / CLICK;
      const clicks = Math.trunc(rest);
      if (clicks) {
        rest -= clicks;
        this.#clicks(screw, clicks * screw.inward); // clockwise is in
      }
    });
    const end = () => (last = null);
    knob.addEventListener("pointerup", end);
    knob.addEventListener("pointercancel", end);
  }

  #clicks(screw, clicks) {
    this.#held = screw.name;
    this.#turn(screw.name, clicks * CLICK);
    this.#click(Math.sign(clicks) === screw.inward);
  }

  // A key of the whole page: takes a screw, or turns the one in hand.
  key(key) {
    const taken = SCREWS.find((screw) => screw.key === key);
    if (taken) this.#parts.get(taken.name).knob.focus();
    else if (key === "i" || key === "o") {
      const { screw } = this.#parts.get(this.#held);
      this.#clicks(screw, (key === "i" ? screw.inward : -screw.inward) * STEPS[this.#step]);
    } else return false;
    return true;
  }

  step(step) {
    this.#step = step;
  }

  show(turned) {
    for (const { screw, turns, mark, effect } of turned) {
      const part = this.#parts.get(screw);
      part.turning.setAttribute("transform", `rotate(${360 * turns * part.screw.inward})`);
      const words = effect ? `${mark}, ${effect}` : mark;
      part.mark.textContent = words;
      part.knob.setAttribute("aria-valuenow", String(Math.round(24 * turns)));
      part.knob.setAttribute("aria-valuetext", words);
    }
  }
}
