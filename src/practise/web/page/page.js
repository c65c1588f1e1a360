// The page: which of its three sheets is open, what is sent to the program, and what its messages do. The practice itself runs in the
// program; nothing of it is known here but what it says.

import { Line } from "./line.js";
import { Sound } from "./sound.js";
import { Screws } from "./screws.js";
import { Throttle } from "./throttle.js";
import { Smoke } from "./smoke.js";
import { drawEngine } from "./engine.js";
import { Bench, clock } from "./bench.js";
import { Debrief } from "./debrief.js";

const $ = (id) => document.getElementById(id);
const made = (tag, text, attributes = {}) => Object.assign(document.createElement(tag), { textContent: text }, attributes);

let at = "start", welcome = null, paused = false, n = 0;
const asked = new Map(); // number of an input: when it was made
const figures = { picture_ms: [], sound_ms: [] };
const keep = (list, value) => list.push(value) > 500 && list.shift();

const sound = new Sound((input) => asked.has(input) && keep(figures.sound_ms, performance.now() - asked.get(input)));
const smoke = new Smoke($("smoke"));
drawEngine($("engine"));
const bench = new Bench();

function input() {
  n += 1;
  asked.set(n, performance.now());
  asked.delete(n - 500);
  return n;
}
const ask = (what) => line.ask(what);
const act = (...actions) => ask({ ask: "do", actions, n: input() });

const throttle = new Throttle($("throttle"), $("keep"), (position) => ask({ ask: "throttle", position, n: input() }));
const screws = new Screws($("screws"), (screw, turns) => act({ do: "turn", screw, turns }), (inward) => sound.click(inward));
const debrief = new Debrief($("debrief"), {
  hear: async (setting) => { await sound.open(); ask({ ask: "hear", setting }); },
  again: () => show("start"),
  figures: () => fetch("/progress").then((answer) => answer.text()),
});

function show(where) {
  at = where;
  document.body.dataset.at = where;
  for (const sheet of ["start", "bench", "debrief"]) $(sheet).hidden = sheet !== where;
  $("say").classList.remove("on");
  if (where === "start") prepare();
  $(where).focus({ preventScroll: true });
  scrollTo(0, 0);
}

let saying = 0;
function say(text) {
  $("say").textContent = text;
  $("say").classList.add("on");
  clearTimeout(saying);
  saying = setTimeout(() => $("say").classList.remove("on"), 8000);
}

function prepare() {
  if (!welcome) return;
  const chosen = $("scenario").value, seed = $("seed").value.trim();
  $("summary").textContent = welcome.scenarios.find(({ name }) => name === chosen)?.summary ?? "";
  $("begin").disabled = true;
  bench.clear();
  const same = /^\d*$/.test(seed) ? seed && { seed: Number(seed) } : { class: seed };
  ask({ ask: "prepare", scenario: chosen, level: new FormData($("choose")).get("level"), ...same });
}

const line = new Line(sound.rate(), {
  open(open, words) {
    document.body.classList.toggle("cut", !open);
    if (!open) sound.cut();
    $("line").textContent = words;
  },
  sound: (buffer) => sound.block(buffer),
  welcome(told) {
    const first = !welcome;
    welcome = told;
    if (!first && at !== "start") {
      if (!told.begun) show("start");
      return;
    }
    $("task").textContent = told.task;
    $("rules").textContent = told.rules;
    $("dangers").replaceChildren(...told.dangers.flatMap(([what, why]) => [made("dt", what), made("dd", why)]));
    $("scenario").replaceChildren(...told.scenarios.map(({ name }) => made("option", name, { value: name })));
    $("scenario").value = told.scenario;
    document.querySelector(`[name=level][value=${told.level}]`).checked = true;
    bench.routines(told.routines, act);
    bench.parts(told.parts);
    prepare();
  },
  card(card) {
    bench.card(card);
    $("begin").disabled = false;
    $("about").textContent = at === "start" ? "" : `${card.scenario}, ${card.level.replace("-", " ")}, seed ${card.seed}${card.class_code ? `, class code ${card.class_code}` : ""}`;
    if (at === "start" && $("seed").value && card.class_code) {
      // A code says situation and level, too.
      $("scenario").value = card.scenario;
      $("summary").textContent = card.summary;
      document.querySelector(`[name=level][value=${card.level}]`).checked = true;
    }
    document.body.dataset.level = card.level;
  },
  state(state) {
    paused = state.paused;
    // The next start is not one at a throttle that was kept for the last.
    if (bench.running && !state.running) throttle.keep(false);
    bench.state(state);
    throttle.show(state.throttle);
    smoke.see(state.quick ? 0 : state.opacity_percent / 100, state.quick ? 0 : state.puff_mg_per_s, state.running, state.throttle);
    $("clock").textContent = clock(state.clock_s);
    $("clock-word").textContent = paused ? "paused at" : "";
    $("pause").setAttribute("aria-pressed", String(paused));
    pictured = state.n;
  },
  bench(told) {
    bench.show(told);
    screws.show(told.screws);
  },
  debrief(told) {
    if (at === "bench") {
      throttle.keep(false);
      document.querySelectorAll("dialog[open]").forEach((dialog) => dialog.close());
      show("debrief");
    }
    debrief.show(told);
  },
  say: ({ text }) => say(text),
  trouble({ text }) {
    $("trouble").textContent = text;
    $("trouble").hidden = false;
  },
});

// Sixty times a second what was told last is drawn; an input counts as seen once a picture with it is on its way.
let pictured = 0, seen = 0;
function picture(now) {
  if (at === "bench") {
    smoke.draw(now);
    bench.draw();
  }
  if (pictured !== seen) {
    seen = pictured;
    if (asked.has(seen)) keep(figures.picture_ms, performance.now() - asked.get(seen));
  }
  requestAnimationFrame(picture);
}
requestAnimationFrame(picture);

$("choose").addEventListener("change", prepare);
$("choose").addEventListener("submit", async (event) => {
  event.preventDefault();
  $("trouble").hidden = true;
  const opening = sound.open();
  ask({ ask: "begin", n: input() });
  show("bench");
  $("about").textContent = bench.title();
  if (!(await opening)) say("this machine gives no sound: what is heard stands in words");
  bench.silent(!(await opening));
});

document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.dataset.do) act(JSON.parse(button.dataset.do));
  if (button.dataset.open) open(button.dataset.open);
});
$("run").addEventListener("click", () => act({ do: bench.running ? "stop" : "start" }));
$("skip").addEventListener("click", () => ask({ ask: "skip", seconds: 10 }));
$("pause").addEventListener("click", () => {
  throttle.keep(false);
  ask({ ask: "pause", paused: !paused });
});
$("mute").addEventListener("click", () => {
  sound.mute(!sound.muted);
  $("mute").setAttribute("aria-pressed", String(sound.muted));
});
$("volume").addEventListener("input", () => sound.volume($("volume").valueAsNumber / 100));
$("keys").addEventListener("click", () => open("help"));
document.querySelector(".step").addEventListener("change", (event) => screws.step(Number(event.target.value)));
$("remark").addEventListener("submit", (event) => {
  event.preventDefault();
  ask({ ask: "note", text: $("remark-text").value });
  $("remark-text").value = "";
});

function open(name) {
  throttle.release();
  if (name === "judge") bench.judgement();
  if (name === "help") {
    const middle = (list) => `${Math.round([...list].sort((a, b) => a - b)[list.length >> 1])} ms`;
    const measured = figures.sound_ms.length && figures.picture_ms.length;
    $("delays").textContent = measured
      ? `From a hand to the sound ${middle(figures.sound_ms)}, to the picture ${middle(figures.picture_ms)}; sound missed ${sound.figures.underruns} times.`
      : "";
  }
  const dialog = $(name);
  dialog.returnValue = "";
  dialog.showModal();
}
$("sign").addEventListener("close", () => $("sign").returnValue === "sign" && act({ do: "sign-off" }));
$("leave").addEventListener("close", () => $("leave").returnValue === "leave" && act({ do: "leave" }));
$("judge").addEventListener("close", () => {
  const said = bench.said();
  if ($("judge").returnValue === "say" && said.length) act(...said);
});
$("fix").addEventListener("close", () => $("fix").returnValue && act({ do: "fix", part: $("fix").returnValue }));

const keyed = new Map([...document.querySelectorAll("[data-key]")].map((button) => [button.dataset.key, button]));
const writes = (target) => target.matches("input:not([type=range], [type=radio], [type=checkbox]), select, textarea");
addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || document.querySelector("dialog[open]") || writes(event.target)) return;
  const pressed = event.key === " " && event.target.closest("button, summary, [role=slider]:not(#throttle):not(.knob), label, input");
  if (pressed || !$("single").checked) return;
  if (at === "bench" && throttle.down(event.key)) return event.preventDefault();
  if (event.repeat && event.key !== "i" && event.key !== "o") return;
  if (event.key === "?") return open("help");
  const button = keyed.get(event.key);
  if (button && button.offsetParent) return button.click();
  if (at !== "bench") return;
  if (event.key === "c") return bench.nextStep((step) => screws.step(step));
  if (event.key === "r") return bench.routine("Slow opening");
  if (event.key === "p") return bench.routine("Pinch test");
  if (event.key === "b") return bench.routine("Burst");
  if (event.key === "a") return bench.routine("Snap");
  if (event.key === "n") {
    event.preventDefault();
    return $("remark-text").focus();
  }
  if (screws.key(event.key)) event.preventDefault();
});
addEventListener("keyup", (event) => throttle.letGo(event.key));
// A button that was clicked keeps the focus, and Space would press it again where full throttle is meant; one reached by key keeps it.
document.addEventListener("click", (event) => event.detail && at === "bench" && event.target.closest("button")?.blur());
document.addEventListener("visibilitychange", () => {
  if (document.hidden && at === "bench") {
    throttle.keep(false);
    ask({ ask: "pause", paused: true });
  }
});

// What a test of the page measures.
window.needlebench = { figures, sound: sound.figures, cut: () => line.cut() };
