// The debrief: the verdict, the checks with their margins, the path over the map of clean settings, what was noticed when, and the same
// engine once more to listen to. The sentences are the program's.

const SVG = "http://www.w3.org/2000/svg";
const made = (tag, text, attributes = {}) => Object.assign(document.createElement(tag), { textContent: text }, attributes);
const drawn = (tag, attributes, text) => {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  if (text !== undefined) element.textContent = text;
  return element;
};
const GROUNDS = { clean: ["C", "clean"], lean: ["h", "high end lean, hot or knocking"], "lean-low": ["l", "low end lean"], rich: ["r", "rich"], "idle-speed": ["i", "only the idle's speed"], dies: ["x", "dies"] };
const clock = (s) => `${Math.floor(s / 60)}:${String(Math.floor(s % 60)).padStart(2, "0")}`;

export class Debrief {
  #place; #hands; #parts = {}; #whole = false; #ended = undefined;

  constructor(place, hands) {
    this.#place = place;
    this.#hands = hands;
  }

  #lay() {
    const sheet = (name, ...parts) => {
      const section = made("section", "", { className: `sheet ${name}` });
      section.append(...parts);
      return section;
    };
    const parts = (this.#parts = { verdict: made("h1", ""), opening: made("div", ""), failed: made("div", ""), margins: made("div", ""), map: made("div", ""), times: made("div", ""), rest: made("div", ""), progress: made("div", "", { id: "progress" }), made: made("p", "", { className: "quiet" }) });
    const listen = made("div", "", { className: "buttons" });
    for (const [setting, name] of [["found", "As you found it"], ["left", "As you left it"], ["clean", "At its clean setting"]]) {
      const button = made("button", name, { type: "button" });
      button.dataset.hear = setting;
      button.addEventListener("click", () => this.#hands.hear(setting));
      listen.append(button);
    }
    const again = made("button", "Another engine", { type: "button", className: "main", id: "again" });
    again.addEventListener("click", this.#hands.again);
    this.#place.replaceChildren(
      sheet("verdict", parts.verdict, parts.opening, parts.failed, made("p", "The same engine once more: idle, a burst, the return, a snap.", { className: "quiet" }), listen, again),
      sheet("checks", made("h2", "The checks"), parts.margins),
      sheet("map", made("h2", "Your path over the map"), parts.map, parts.made),
      sheet("times", made("h2", "What you noticed, and what it meant there"), parts.times),
      sheet("rest", parts.rest),
      sheet("learner", made("h2", "Your progress"), parts.progress),
    );
    this.#whole = false;
  }

  show(told) {
    if (this.#ended !== told.took_s + told.verdict) {
      this.#ended = told.took_s + told.verdict;
      this.#lay();
    }
    const parts = this.#parts, lines = (all) => all.map(({ text, failed }) => made("p", text, { className: failed ? "alarm" : "" }));
    parts.verdict.textContent = told.verdict;
    this.#place.dataset.ended = told.ended;
    parts.opening.replaceChildren(...lines(told.opening));
    const failed = told.sections.find(({ heading }) => heading === "What failed");
    parts.failed.replaceChildren(...lines(failed?.lines ?? []));
    parts.margins.replaceChildren(...told.margins.map((margin) => this.#margin(margin)));
    parts.margins.parentElement.hidden = !told.margins.length;
    parts.map.replaceChildren(...(told.map ? [this.#map(told.map), this.#legend()] : []));
    parts.map.parentElement.hidden = !told.map;
    parts.made.textContent = told.made < 1 ? `being drawn: ${Math.floor(100 * told.made)} % done` : "";
    parts.times.replaceChildren(this.#times(told.noticed, told.took_s), this.#signs(told.noticed));
    const apart = ["What failed", "The checks", "What you noticed, and what it meant there", "The map"];
    parts.rest.replaceChildren(...told.sections.filter(({ heading }) => !apart.includes(heading)).flatMap(({ heading, lines: all }) => [made("h2", heading), ...lines(all)]));
    if (told.made >= 1 && !this.#whole) {
      this.#whole = true;
      this.#hands.figures().then((text) => {
        const image = made("img", "", { alt: "", src: `/progress.svg?${Date.now()}` });
        image.addEventListener("error", () => image.remove());
        parts.progress.replaceChildren(made("pre", text, { tabIndex: 0 }), image);
      });
    }
  }

  // A check as a bar: its limit at the middle, what is inside to the right.
  #margin({ name, pass, text, margin }) {
    const row = made("div", "", { className: pass ? "margin" : "margin failed" });
    const head = made("p", "", { className: "what" });
    head.append(made("b", pass ? "passed" : "failed"), ` ${name}`);
    row.append(head);
    if (margin !== null) {
      const svg = drawn("svg", { viewBox: "-50 0 100 8", class: "bar", role: "img", "aria-label": `${pass ? "inside" : "outside"} its limits by ${Math.round(Math.abs(100 * margin))} percent of their size` });
      const long = Math.max(-48, Math.min(48, 50 * margin));
      svg.append(drawn("rect", { x: Math.min(0, long), y: 1.5, width: Math.abs(long), height: 5, class: "length" }), drawn("line", { x1: 0, x2: 0, y1: 0, y2: 8, class: "limit" }));
      row.append(svg);
    }
    row.append(made("p", text, { className: "quiet" }));
    return row;
  }

  #map({ fields, stops, field_turns }) {
    const highs = fields.map(({ high }) => high), lows = fields.map(({ low }) => low);
    const [left, right, low, top] = [Math.min(...highs), Math.max(...highs), Math.min(...lows), Math.max(...lows)];
    const x = (high) => 70 + 40 * (high - left), y = (at) => 20 + 40 * (top - at);
    const svg = drawn("svg", { viewBox: `0 0 ${x(right) + 60} ${y(low) + 100}`, role: "img", "aria-label": "Map of clean settings: high-speed needle from lean to rich to the right, low-speed needle from lean to rich upwards, with your path" });
    for (const { high, low, ground } of fields) {
      svg.append(drawn("rect", { x: x(high), y: y(low), width: 40, height: 40, class: `ground ${ground ?? "none"}` }));
      if (ground) svg.append(drawn("text", { x: x(high) + 6, y: y(low) + 15, class: "letter" }, GROUNDS[ground][0]));
    }
    const centre = (place) => `${x(place.high) + 20},${y(place.low) + 20}`;
    svg.append(drawn("rect", { x: x(0) + 2, y: y(0) + 2, width: 36, height: 36, class: "true" }));
    svg.append(drawn("polyline", { points: stops.map(centre).join(" "), class: "path" }));
    stops.forEach((stop, number) => {
      const last = stops.findLastIndex(({ high, low }) => high === stop.high && low === stop.low);
      if (last !== number) return;
      const [cx, cy] = centre(stop).split(",");
      svg.append(drawn("circle", { cx, cy, r: 11, class: number === stops.length - 1 ? "stop last" : "stop" }));
      svg.append(drawn("text", { x: cx, y: Number(cy) + 5, class: "number" }, number));
    });
    svg.append(drawn("text", { x: x(left), y: y(low) + 64, class: "axis" }, "lean"), drawn("text", { x: x(right) + 40, y: y(low) + 64, class: "axis far" }, "rich"), drawn("text", { x: (x(left) + x(right) + 40) / 2, y: y(low) + 64, class: "axis mid" }, "high-speed needle"));
    svg.append(drawn("text", { x: (x(left) + x(right) + 40) / 2, y: y(low) + 88, class: "axis mid" }, `a field is 1/${Math.round(1 / field_turns)} turn; the frame: the true setting`));
    const side = `rotate(-90) translate(${-(y(top) + y(low) + 40) / 2} 36)`;
    svg.append(drawn("text", { transform: side, class: "axis mid" }, "lean · low-speed needle · rich"));
    return svg;
  }

  #legend() {
    const list = made("ul", "", { className: "legend" });
    for (const [ground, [letter, words]] of Object.entries(GROUNDS)) {
      const entry = made("li", "");
      entry.append(made("span", letter, { className: `ground ${ground}` }), ` ${words}`);
      list.append(entry);
    }
    return list;
  }

  #times(noticed, took) {
    const svg = drawn("svg", { viewBox: "0 0 640 62", class: "timeline", role: "img", "aria-label": "When each sign was noticed; the list tells them" });
    const x = (s) => 20 + (600 * s) / Math.max(took, 1);
    svg.append(drawn("line", { x1: 20, x2: 620, y1: 30, y2: 30, class: "limit" }));
    const step = took > 1800 ? 600 : took > 600 ? 300 : 60;
    for (let s = 0; s <= took; s += step) svg.append(drawn("line", { x1: x(s), x2: x(s), y1: 30, y2: 38, class: "limit" }), drawn("text", { x: x(s), y: 54, class: "axis mid" }, clock(s)));
    noticed.forEach(({ clock_s, misled }, number) => {
      const [cx, cy] = [x(clock_s), 18 - 6 * (number % 2)];
      svg.append(misled ? drawn("path", { d: `M${cx} ${cy - 8} l8 14 h-16 z`, class: "sign misled" }) : drawn("circle", { cx, cy, r: 6, class: "sign" }));
    });
    return svg;
  }

  #signs(noticed) {
    const list = made("ul", "", { className: "signs" });
    list.append(...(noticed.length ? noticed : [{ text: "nothing that tells rich from lean: run it, open it, pinch it, and listen", misled: false }]).map(({ text, misled }) => made("li", text, { className: misled ? "misled" : "" })));
    return list;
  }
}
