// What lies on the bench besides screws, throttle and smoke: words, dials, cards, the notebook and the forms.

import { STEPS } from "./screws.js";

const $ = (id) => document.getElementById(id);
const made = (tag, text, attributes = {}) => Object.assign(document.createElement(tag), { textContent: text }, attributes);
const STRIP_S = 20;
const KEYS = [
  ["Space", "full throttle, while held"], ["1 … 9, 0", "so many tenths of throttle, 0 is full, while held"], ["k", "keep the throttle there, or let it go"],
  ["h", "take the high-speed needle"], ["l", "take the low-speed needle"], ["t", "take the idle stop"],
  ["i or ←", "turn it in: a needle leaner, the stop faster"], ["o or →", "turn it out: a needle richer, the stop slower"], ["c", "the next step: 1/24, 1/12, 1/8, 1/4"],
  ["e", "start or stop"], ["w", "warm up"], ["d", "drive two laps"], ["f", "fill the tank"],
  ["r", "open slowly to full: where does it stutter?"], ["b", "burst: full, shut, and listen to its return"],
  ["a", "snap: idle a while, then full at once"], ["p", "pinch the fuel line at idle: how long does it run on?"],
  ["g", "temperature gun"], ["v", "look it over"], ["u", "pull the plug"], ["m", "put a part right that is no matter of needles"],
  ["j", "say how both ends stand, before a turn"], ["s", "sign off"], ["q", "leave"],
  ["n", "write a line in the notebook"], ["y", "stopwatch"], [">", "ten seconds on"],
  ["x", "mute"], ["z", "pause"], ["?", "these keys"],
];

export const clock = (seconds) => `${String(Math.floor(seconds / 60)).padStart(2, "0")}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;

export class Bench {
  running = false;
  #card = null; #missing = []; #rows = []; #now = 0; #throttle = 0; #moved = null; #watch = null; #stopped = 0; #spoken = ""; #strip; #dials = false;

  constructor() {
    this.#strip = $("strip").getContext("2d");
    $("key-list").replaceChildren(...KEYS.flatMap(([keys, what]) => [made("dt", keys), made("dd", what)]));
    $("watch-run").addEventListener("click", () => {
      if (this.#watch === null) this.#watch = this.#now;
      else {
        this.#stopped = this.#now - this.#watch;
        this.#watch = null;
      }
      $("watch-run").textContent = this.#watch === null ? "Start" : "Stop";
    });
    // What does the hinted action may be out of sight.
    $("hint-do").addEventListener("click", () => document.querySelector(".hinted")?.scrollIntoView({ block: "center" }));
    $("captions").addEventListener("change", () => document.body.classList.toggle("no-words", !$("captions").checked));
    $("ends").replaceChildren(...["high", "low"].map((end) => this.#end(end)));
  }

  clear() {
    this.#rows = [];
    this.#moved = null;
    this.#watch = null;
    this.#stopped = 0;
    $("watch-run").textContent = "Start";
  }

  title() {
    const card = this.#card;
    return card ? `${card.scenario}, ${card.level.replace("-", " ")}, seed ${card.seed}` : "";
  }

  // Words stand in for the sound where there is none, at any level.
  silent(silent) {
    const shown = silent || this.#card?.level !== "by-ear";
    $("captions").checked = shown;
    document.body.classList.toggle("no-words", !shown);
  }

  card(card) {
    this.#card = card;
    const days = card.sign_offs > 1 ? ` It has ${card.sign_offs} sign-offs.` : "";
    $("card-summary").textContent = card.summary + days;
    $("card-engine").textContent = card.engine;
    $("card-weather").textContent = card.weather;
    $("card-recorded").textContent = card.recorded?.split(/[\\/]/).at(-1) ?? "not recorded";
    $("card-recorded").title = card.recorded ?? "";
  }

  state(state) {
    if (state.running !== this.running) {
      this.running = state.running;
      $("run").textContent = state.running ? "Stop it" : "Start it";
      $("runs").textContent = state.running ? "The engine runs" : "The engine stands";
      document.body.classList.toggle("runs", state.running);
    }
    if (state.throttle !== this.#throttle && !state.doing) this.#moved = state.clock_s;
    if (state.doing) this.#moved = null;
    this.#throttle = state.throttle;
    this.#now = state.clock_s;
    this.#dials = state.tachometer_rpm !== undefined;
    if (this.#dials && !state.quick && state.clock_s > (this.#rows.at(-1)?.[0] ?? -1)) {
      this.#rows.push([state.clock_s, state.tachometer_rpm, state.throttle]);
      while (this.#rows[0][0] < state.clock_s - STRIP_S) this.#rows.shift();
    }
    const doing = state.doing ? `${state.doing}${state.quick ? ", quickly" : ""}` : "";
    if ($("doing").textContent !== doing) $("doing").textContent = doing;
  }

  show(told) {
    $("gap").textContent = told.idle_gap_mm.toFixed(2);
    $("tank").value = told.tank_quarters;
    $("tank-word").textContent = `${told.tank_quarters}/4`;
    this.#gun = told.gun;
    this.#missing = told.missing;
    this.missing();
    $("following").textContent = told.following ?? "";
    const now = told.captions.map(({ text, alarm }) => made("li", text, { className: alarm ? "alarm" : "" }));
    now.push(...told.compared.map((text) => made("li", text, { className: "compared" })));
    $("now").replaceChildren(...now);
    $("before").replaceChildren(...told.before.map((text) => made("li", text)));
    const spoken = [...told.captions.map(({ text }) => text), ...told.compared].join("; ");
    if (spoken !== this.#spoken && $("captions").checked) $("speak").textContent = this.#spoken = spoken;
    $("hint").hidden = !told.hint;
    if ($("hint-do").textContent !== (told.hint?.text ?? "")) $("hint-do").textContent = told.hint?.text ?? "";
    $("hint-because").textContent = told.hint?.because ?? "";
    this.#point(told.hint?.action);
    // The newest on top, where it is seen.
    $("book").replaceChildren(...told.notebook.toReversed().map(({ clock, kind, text }) => {
      const entry = made("li", "", { className: kind });
      entry.append(made("time", clock), made("span", text));
      return entry;
    }));
  }

  #gun = null;

  // Marks what does the hinted action.
  #point(action) {
    document.querySelectorAll(".hinted").forEach((hinted) => hinted.classList.remove("hinted"));
    if (!action) return;
    const way = action.screw && (action.turns > 0) === (action.screw === "idle") ? "in" : "out";
    const target = {
      turn: () => $(`screw-${action.screw}`).parentElement.querySelector(`[data-way=${way}]`),
      start: () => $("run"), stop: () => $("run"),
      throttle: () => $("throttle"), hold: () => $("throttle"),
      "roll-on": () => this.#routine("Slow opening"), pinch: () => this.#routine("Pinch test"),
      judge: () => document.querySelector("[data-open=judge]"),
      fix: () => document.querySelector("[data-open=fix]"),
      "sign-off": () => document.querySelector("[data-open=sign]"),
    }[action.do] ?? (() => document.querySelector(`[data-do*='"${action.do}"']`));
    target()?.classList.add("hinted");
    if (action.screw) this.#fitting(action.turns)?.parentElement.classList.add("hinted");
  }

  // The longest step that so many turns are a number of.
  #fitting(turns) {
    const clicks = Math.abs(Math.round(24 * turns));
    return [...document.querySelectorAll("[name=step]")].findLast(({ value }) => clicks % STEPS[Number(value)] === 0);
  }

  draw() {
    const gun = this.#gun;
    $("gun").textContent = gun ? `${gun.head_c} °C${gun.cold ? " (cold)" : ""}, ${Math.round(this.#now - gun.clock_s)} s ago` : "not read yet";
    const held = this.#moved === null ? null : (this.#now - this.#moved).toFixed(1);
    $("since").textContent = held === null ? "not moved yet" : `${this.#throttle > 0 ? "open" : "shut"} for ${held} s`;
    $("watch").textContent = `${(this.#watch === null ? this.#stopped : this.#now - this.#watch).toFixed(1)} s`;
    if (this.#dials) this.#chart();
  }

  #chart() {
    const { width, height } = $("strip"), paint = this.#strip, look = getComputedStyle(document.body);
    const last = this.#rows.at(-1);
    $("rpm").textContent = last ? String(last[1]).replace(/\B(?=(\d{3})+$)/g, " ") : "0";
    paint.clearRect(0, 0, width, height);
    const top = this.#rows.some(([, rpm]) => rpm > 40000) ? 60000 : 40000;
    const x = (s) => width - ((this.#now - s) / STRIP_S) * (width - 70), y = (rpm) => height - 34 - (rpm / top) * (height - 50);
    paint.font = "26px system-ui, sans-serif";
    paint.fillStyle = paint.strokeStyle = look.getPropertyValue("--soft");
    paint.lineWidth = 1;
    for (let rpm = 0; rpm <= top; rpm += 10000) {
      paint.globalAlpha = 0.35;
      paint.beginPath();
      paint.moveTo(70, y(rpm));
      paint.lineTo(width, y(rpm));
      paint.stroke();
      paint.globalAlpha = 1;
      if (rpm % 20000 === 0) paint.fillText(`${rpm / 1000}k`, 4, y(rpm) + 7);
    }
    paint.fillText("thr.", 4, height - 6);
    paint.fillStyle = look.getPropertyValue("--brass");
    for (const [s, , throttle] of this.#rows) if (x(s) > 70) paint.fillRect(x(s) - 1, height - 2 - 24 * throttle, 3, 24 * throttle + 2);
    paint.strokeStyle = look.getPropertyValue("--steel");
    paint.lineWidth = 3;
    paint.beginPath();
    for (const [s, rpm] of this.#rows) if (x(s) > 70) paint.lineTo(x(s), y(rpm));
    paint.stroke();
  }

  routines(routines, act) {
    $("routines").replaceChildren(...routines.map(({ name, tells, actions }) => {
      const button = made("button", name, { type: "button", title: tells });
      button.dataset.routine = name;
      button.addEventListener("click", () => act(...actions));
      return button;
    }));
  }

  #routine(name) {
    return document.querySelector(`[data-routine="${name}"]`);
  }

  routine(name) {
    this.#routine(name)?.click();
  }

  parts(parts) {
    $("parts").replaceChildren(...parts.map(({ part, text, minutes, euros }) => {
      const button = made("button", `${part}: ${text}`, { type: "submit", value: part });
      button.append(made("small", `${minutes} min, ${euros} €`));
      return button;
    }));
  }

  // What the sign-off still asks for, there in the sheet although it is open already.
  missing() {
    $("missing").replaceChildren(...this.#missing.map((text) => made("li", text)));
    $("sign-no").hidden = !this.#missing.length;
    $("sign-yes").hidden = $("sign-now").hidden = this.#missing.length > 0;
    $("sign-title").textContent = this.#missing.length ? "Not signed off yet" : "Sign off?";
  }

  nextStep(step) {
    const all = [...document.querySelectorAll("[name=step]")], next = (all.findIndex((radio) => radio.checked) + 1) % STEPS.length;
    all[next].checked = true;
    step(next);
  }

  #end(end) {
    const field = made("fieldset", "");
    field.append(made("legend", `The ${end} end`));
    for (const verdict of ["rich", "right", "lean"]) {
      const label = made("label", "");
      label.append(made("input", "", { type: "radio", name: `end-${end}`, value: verdict }), ` ${verdict}`);
      field.append(label);
    }
    const sure = made("label", "how sure ", { className: "sure" });
    const range = made("input", "", { type: "range", min: 34, max: 100, value: 60, id: `sure-${end}` });
    const output = made("output", "60 %");
    range.addEventListener("input", () => (output.textContent = `${range.value} %`));
    sure.append(range, output);
    field.append(sure);
    return field;
  }

  judgement() {
    document.querySelectorAll("#ends [type=radio]").forEach((radio) => (radio.checked = false));
  }

  // What the form of the judgement says.
  said() {
    return ["high", "low"].flatMap((end) => {
      const verdict = document.querySelector(`[name=end-${end}]:checked`)?.value;
      return verdict ? [{ do: "judge", end, verdict, sure_percent: $(`sure-${end}`).valueAsNumber }] : [];
    });
  }
}
