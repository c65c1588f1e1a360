// A demonstration: a recorded practice passes in the program, and this page shows it: what was seen, heard and done, and what was true. It
// can be begun, halted and hurried from here; nothing else.

import { Line } from "./line.js";
import { Sound } from "./sound.js";
import { Smoke } from "./smoke.js";
import { drawEngine } from "./engine.js";

const $ = (id) => document.getElementById(id);
const made = (tag, text, attributes = {}) => Object.assign(document.createElement(tag), { textContent: text }, attributes);
// Writes only what has changed, so that nothing is read out twice.
const write = (element, text) => element.textContent !== text && (element.textContent = text);
const ratio = (value) => (value === null ? "–" : value.toFixed(2));
// As far off as the scale reaches to either side, turns.
const REACH_TURNS = 0.75;

let paused = false, over = false, n = 0, spoken = "";
const sound = new Sound(() => {});
const smoke = new Smoke($("smoke"));
drawEngine($("engine"));

function show(where) {
  document.body.dataset.at = where;
  for (const sheet of ["start", "show"]) $(sheet).hidden = sheet !== where;
  $(where).focus({ preventScroll: true });
}

function end(sheet, told) {
  sheet.dataset.stands = told.stands;
  write(sheet.querySelector("[data-off]"), told.off);
  write(sheet.querySelector("[data-phi]"), ratio(told.equivalence_ratio));
  write(sheet.querySelector("[data-right]"), ratio(told.right));
  sheet.querySelector(".at").style.setProperty("--off", Math.max(-1, Math.min(1, told.off_turns / REACH_TURNS)));
}

const line = new Line(sound.rate(), {
  open(open, words) {
    document.body.classList.toggle("cut", !open);
    if (!open) sound.cut();
    $("line").textContent = words;
  },
  sound: (buffer) => sound.block(buffer),
  welcome(told) {
    $("rules").textContent = told.rules;
    $("dangers").replaceChildren(...told.dangers.flatMap(([what, why]) => [made("dt", what), made("dd", why)]));
  },
  card(card) {
    $("summary").textContent = `${card.scenario}: ${card.summary}`;
    $("engine-card").textContent = card.engine;
    $("weather").textContent = card.weather;
    $("about").textContent = `${card.scenario}, seed ${card.seed}: ${card.engine}; ${card.weather}`;
    $("begin").disabled = false;
  },
  run(run) {
    if (run.begun && document.body.dataset.at === "start") show("show");
    over = run.over;
    write($("clock"), run.clock);
    write($("length"), run.length);
    write($("verdict"), run.verdict ?? "");
    $("again").hidden = !over;
    $("pause").disabled = over;
    document.querySelectorAll("[data-times]").forEach((button) => button.setAttribute("aria-pressed", String(Number(button.dataset.times) === run.times)));
  },
  state(state) {
    paused = state.paused;
    $("pause").setAttribute("aria-pressed", String(paused));
    write($("pause"), paused ? "Go on" : "Pause");
    write($("runs"), state.running ? "The engine runs" : "The engine stands");
    write($("doing"), state.doing ? `${state.doing}${state.quick ? ", quickly" : ""}` : "");
    document.querySelector(".opening").style.setProperty("--open", state.throttle);
    smoke.see(state.quick ? 0 : state.opacity_percent / 100, state.quick ? 0 : state.puff_mg_per_s, state.running, state.throttle);
  },
  bench(told) {
    const now = told.captions.map(({ text, alarm }) => made("li", text, { className: alarm ? "alarm" : "" }));
    $("now").replaceChildren(...now, ...told.compared.map((text) => made("li", text, { className: "compared" })));
    write($("following"), told.following ?? "");
    const words = [...told.captions.map(({ text }) => text), ...told.compared].join("; ");
    if (words !== spoken) $("speak").textContent = spoken = words;
    $("book").replaceChildren(...told.notebook.reverse().map(({ clock, kind, text }) => {
      const entry = made("li", "", { className: kind });
      entry.append(made("time", clock), made("span", text));
      return entry;
    }));
  },
  truth(truth) {
    end($("high"), truth.high);
    end($("low"), truth.low);
    write($("idle"), truth.idle_off);
    write($("rpm"), String(Math.round(truth.rpm / 100) * 100).replace(/\B(?=(\d{3})+$)/g, " "));
    write($("metered"), ratio(truth.metered));
    write($("cylinder"), ratio(truth.cylinder));
    write($("film"), truth.film_mg.toFixed(1));
    write($("crown"), truth.crown_c.toFixed(0));
    write($("head"), truth.head_c.toFixed(0));
    write($("fault"), truth.at_fault.join(", ") || "nothing");
    write($("lean"), truth.too_lean ? "Too lean under load, at this moment" : "");
  },
});

function picture(now) {
  if (!paused && !over && document.body.dataset.at === "show") smoke.draw(now);
  requestAnimationFrame(picture);
}
requestAnimationFrame(picture);

async function begin() {
  const opening = sound.open();
  line.ask({ ask: "begin", n: ++n });
  show("show");
  if (!(await opening)) {
    $("trouble").textContent = "This machine gives no sound; what is heard stands in words.";
    $("trouble").hidden = false;
  }
}
const pause = () => over || line.ask({ ask: "pause", paused: !paused });
const pace = (times) => line.ask({ ask: "pace", times });
function mute() {
  sound.mute(!sound.muted);
  $("mute").setAttribute("aria-pressed", String(sound.muted));
}

$("begin").addEventListener("click", begin);
$("again").addEventListener("click", begin);
$("pause").addEventListener("click", pause);
$("mute").addEventListener("click", mute);
$("volume").addEventListener("input", () => sound.volume($("volume").valueAsNumber / 100));
document.querySelectorAll("[data-times]").forEach((button) => button.addEventListener("click", () => pace(Number(button.dataset.times))));
addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.repeat || !$("single").checked) return;
  if (document.body.dataset.at !== "show" || (event.key === " " && event.target.closest("button, input"))) return;
  const does = { " ": pause, z: pause, 1: () => pace(1), 4: () => pace(4), x: mute }[event.key.toLowerCase()];
  if (!does) return;
  event.preventDefault();
  does();
});

// What a test of the page measures.
window.needlebench = { sound: sound.figures };
