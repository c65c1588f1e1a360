// The listening room: a needle swept through its range, and questions told blind. What is true of a question comes with the verdict.

import { Clips } from "./clips.js";

const $ = (id) => document.getElementById(id);
const made = (tag, text, attributes = {}) => Object.assign(document.createElement(tag), { textContent: text }, attributes);
const checked = (name) => document.querySelector(`[name=${name}]:checked`).value;

const player = new Clips();
const swept = new Map(); // what a step is: its sound, on its way or here
let asked = null; // the question that waits or was answered last
let asking = false;

function trouble(text) {
  $("trouble").hidden = !text;
  $("trouble").textContent = text ?? "";
}

async function answered(path, what) {
  let answer;
  try {
    answer = await fetch(path, what && { method: "POST", body: JSON.stringify(what) });
  } catch {
    throw new Error("The program does not answer. Has it ended? Start it again, and load this page anew.");
  }
  if (!answer.ok) throw new Error((await answer.text()).trim());
  return answer;
}

// Some words, and clips decoded.
async function sound(path, what) {
  const all = await (await answered(path, { ...what, engine: $("engine").value, rate_hz: player.rate() })).arrayBuffer();
  const length = new DataView(all).getUint32(0, true);
  const words = JSON.parse(new TextDecoder().decode(new Uint8Array(all, 4, length)));
  const clips = [];
  let at = 4 + length;
  for (const bytes of words.bytes) {
    clips.push(await player.decoded(all.slice(at, at + bytes)));
    at += bytes;
  }
  return { words, clips };
}

// Does what a button asks for; what goes wrong is said.
const guarded = (work) => async (event) => {
  trouble();
  try {
    await work(event);
  } catch (error) {
    trouble(error.message);
  }
};

function mark(button) {
  document.querySelectorAll("[data-sounds]").forEach((other) => delete other.dataset.sounds);
  if (button) button.dataset.sounds = "";
}

// The sweep.

function step(clicks) {
  const what = { screw: checked("screw"), at: checked("at"), clicks };
  const key = JSON.stringify([what, $("engine").value]);
  if (!swept.has(key)) {
    const coming = sound("/listening/step", what);
    coming.catch(() => swept.delete(key));
    swept.set(key, coming);
  }
  return swept.get(key);
}

async function hearSteps(buttons) {
  const turn = player.pressed();
  for (const [number, button] of buttons.entries()) {
    const coming = step(Number(button.value));
    const { words, clips } = await coming;
    if (!player.current(turn)) return;
    if (number + 1 < buttons.length) step(Number(buttons[number + 1].value)).catch(() => {});
    $("saying").textContent = words.words;
    mark(button);
    if (!(await player.play(clips[0], turn, number > 0))) return;
  }
  mark();
}

// The questions.

async function hear(numbers) {
  const { clips, buttons } = asked;
  const turn = player.pressed();
  for (const [place, number] of numbers.entries()) {
    mark(buttons[number]);
    if (!(await player.play(clips[number], turn, place > 0))) return;
  }
  mark();
}
const hearAll = () => hear([...asked.clips.keys()]);

async function ask() {
  if (asking) return;
  asking = true;
  $("ask").disabled = true;
  try {
    const turn = player.pressed();
    $("verdict").textContent = "";
    $("question").textContent = "The engine is brought there …";
    const { words, clips } = await sound("/listening/question", { drill: $("drill").value || null });
    const names = clips.length > 1 ? ["A", "B"] : ["it"];
    const buttons = names.map((name, number) => made("button", `Play ${name}`, { type: "button", onclick: guarded(() => hear([number])) }));
    const both = clips.length > 1 ? [made("button", "Play both", { type: "button", onclick: guarded(hearAll) })] : [];
    const answers = words.answers.map(({ answer, words: text }, number) => {
      const button = made("button", text, { type: "button", value: answer, onclick: guarded(() => say(number)) });
      button.prepend(made("kbd", String(number + 1)), " ");
      return button;
    });
    asked = { id: words.question, clips, buttons, answers, done: false };
    $("question").textContent = words.words;
    $("plays").replaceChildren(...buttons, ...both);
    $("answers").replaceChildren(...answers);
    $("plays").hidden = $("answers").hidden = false;
    $("ask").textContent = "Next question";
    // Space plays again from here.
    (both[0] ?? buttons[0]).focus({ preventScroll: true });
    if (player.current(turn)) hearAll().catch((error) => trouble(error.message));
  } catch (error) {
    $("question").textContent = "";
    throw error;
  } finally {
    asking = false;
    $("ask").disabled = false;
  }
}

async function say(number) {
  if (!asked || asked.done || asking) return;
  asked.done = true;
  const { id, answers, buttons } = asked;
  answers.forEach((button) => (button.disabled = true));
  const verdict = await (await answered("/listening/answer", { question: id, answer: answers[number].value })).json();
  $("verdict").textContent = verdict.words;
  $("verdict").dataset.right = verdict.right;
  answers.forEach((button) => {
    if (button.value === verdict.was) button.dataset.was = "";
  });
  const leaner = { first: 0, second: 1 }[verdict.was];
  if (leaner !== undefined) buttons.forEach((button, at) => (button.textContent += at === leaner ? ", leaner" : ", richer"));
  stand(verdict.standing);
  trouble(verdict.trouble);
}

function stand(lines) {
  $("standing").replaceChildren(
    ...lines.map((line) => {
      const row = document.createElement("tr");
      const smallest = line.smallest_step_clicks === null ? "none yet" : `${line.smallest_step_clicks.toFixed(1)}/24`;
      row.dataset.drill = line.drill;
      row.append(
        made("th", line.name, { scope: "row" }),
        made("td", line.asked ? `${line.right} of ${line.asked}` : "none yet"),
        made("td", smallest),
        made("td", `${line.step_clicks}/24`),
        made("td", `${Math.round(100 * line.share)} %`),
      );
      return row;
    }),
  );
}

// Everything else.

function mute() {
  player.mute(!player.muted);
  $("mute").setAttribute("aria-pressed", player.muted);
}

function stop() {
  player.stop();
  mark();
}

$("mute").onclick = mute;
$("volume").oninput = () => player.volume($("volume").value / 100);
$("stop").onclick = stop;
$("all").onclick = guarded(() => hearSteps([...$("steps").children]));
$("ask").onclick = guarded(ask);

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest("select")) return;
  if (event.key === "Escape") return stop();
  if (!$("single").checked || event.repeat) return;
  const does = {
    " ": () => asked && hearAll(),
    1: () => say(0), a: () => say(0), 2: () => say(1), b: () => say(1), n: ask, m: mute,
  }[event.key.toLowerCase()];
  // A button that has the focus is what the space bar presses.
  if (!does || (event.key === " " && event.target.closest("button, input, a"))) return;
  event.preventDefault();
  guarded(does)();
});

guarded(async () => {
  const room = await (await answered("/listening/room")).json();
  $("engine").replaceChildren(...room.engines.map((name) => made("option", name, { value: name, selected: name === room.engine })));
  $("drill").replaceChildren(made("option", "What I hear worst", { value: "" }), ...room.standing.map(({ drill, name }) => made("option", name, { value: drill })));
  for (const { at, words } of room.at) {
    const label = made("label", ` ${words}`);
    label.prepend(made("input", "", { type: "radio", name: "at", value: at, checked: at === "full" }));
    $("at").append(label, " ");
  }
  $("steps").replaceChildren(
    ...room.steps.map(({ clicks, words }) => {
      const button = made("button", words, { type: "button", value: String(clicks) });
      button.onclick = guarded(() => hearSteps([button]));
      return button;
    }),
  );
  $("rules").textContent = room.rules;
  stand(room.standing);
  trouble(room.trouble);
  for (const id of ["engine", "drill", "all", "ask"]) $(id).disabled = false;
})();

// For whoever looks on: the tests do.
globalThis.listening = player.figures;
