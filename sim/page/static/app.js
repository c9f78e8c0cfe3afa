// One page: the state of the open file, and the parts that show it.
import { ask, newest, pieces, Refused } from "./ask.js";
import { bars } from "./bars.js";
import { behind } from "./behind.js";
import { bench } from "./bench.js";
import { blocks, h, marked } from "./dom.js";
import { fields } from "./fields.js";
import { map } from "./map.js";
import { tank } from "./tank.js";
import { form } from "./work.js";

const $ = (id) => document.getElementById(id);
const main = $("main"), notice = $("notice");
let state = null, choice = { kind: "pull", tie_on: "", speed: 0, programme: "" }, parts = null, swimming = null, scales = null;

function tell(text) { notice.textContent = text; }

// one edit at a time: each is of the revision that the one before it has made
let turn = Promise.resolve();
function inTurn(call) {
  const mine = turn.then(call);
  turn = mine.catch(() => {});
  return mine;
}

const take = (call) => inTurn(async () => {
  try {
    const next = await call();
    tell("");
    show(next);
    return true;
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    if (problem.state) show(problem.state);
    tell(said(problem));
    return false;
  }
});

const said = (problem) => [problem.message, ...problem.problems.map((one) => one.message)].join(" ");

function show(next) {
  const fresh = !state || state.revision !== next.revision || state.file !== next.file;
  state = next;
  if (!state.file) { starts(); return; }
  if (!parts) build();
  if (fresh) { swimming?.abort(); parts.tank.hold(); parts.behind.stop(); }
  if (fresh && state.drawing) { // asked for before anything is drawn, so that both go on at once
    settle();
    const swum = swim();
    if (state.compiled) swum.then(surely);
  }
  document.title = `${state.name ?? state.file} - drytank`;
  $("name").textContent = state.name ?? state.file;
  steps();
  if (state.drawing) {
    verdict(state.rest);
    parts.bench.show(state.drawing);
    if (fresh) chooser();
  } else $("verdict").textContent = "Mend what is marked, and the bench goes on.";
  parts.fields.show(state.fields, state.problems);
  if (parts.text.value !== state.text && document.activeElement !== parts.text) parts.text.value = state.text;
  if (!state.drawing) return;
  if (state.changed_outside) outside();
  if (state.restored && !build.told) { build.told = true; tell("Unsaved work from last time is back. Save it, or step back."); }
}

function verdict({ headline: [first, ...rest], sure }) {
  $("verdict").replaceChildren(h("strong", {}, marked(first)), " ", h("span", {}, marked(rest.join(" "))));
  $("verdict").setAttribute("aria-busy", String(!sure));
}

// what is known of it at rest, in full, once it swims
const surely = newest(async () => {
  const answer = await ask("rest").catch(() => null);
  if (!answer || answer.revision !== state.revision) return;
  state.rest = answer.rest;
  if (!parts.bench.holding()) verdict(state.rest);
  const open = [...parts.rest.querySelectorAll(":scope > details")].map((fold) => fold.open);
  parts.rest.replaceChildren(...blocks([{ type: "fold", title: "Weights, balance, what would turn the verdict", blocks: state.rest.weights.blocks }, { type: "fold", title: "How it lies", blocks: state.rest.lies.blocks }]));
  [...parts.rest.children].forEach((fold, k) => { fold.open = open[k] ?? false; });
});

// made once: a button that is replaced while it is pressed would lose the press
const buttons = {
  undo: h("button", { type: "button", onclick: () => take(() => ask("step", { revision: state.revision })) }, "Undo"),
  redo: h("button", { type: "button", onclick: () => take(() => ask("step", { revision: state.revision, forth: true })) }, "Redo"),
  save: h("button", { type: "button", onclick: () => take(() => ask("save", { revision: state.revision })) }, "Save"),
};

function steps() {
  if (!buttons.undo.isConnected) $("steps").replaceChildren(...Object.values(buttons));
  buttons.undo.disabled = !state.can_undo;
  buttons.redo.disabled = !state.can_redo;
  buttons.save.disabled = !state.unsaved;
  buttons.save.classList.toggle("first", state.unsaved);
  const label = state.unsaved ? "Save" : "Saved";
  if (buttons.save.textContent !== label) buttons.save.textContent = label;
}

function outside() {
  notice.replaceChildren(`${state.file} was changed outside this page. `,
    h("button", { type: "button", onclick: () => take(() => ask("settle", { revision: state.revision, take: true })) }, "Take the file's"),
    h("button", { type: "button", onclick: () => take(() => ask("settle", { revision: state.revision })) }, "Keep mine"));
}

function starts() {
  $("name").textContent = "drytank";
  $("verdict").textContent = "Open a design, or start from one.";
  const file = h("input", { type: "text", value: "mylure.toml", autocomplete: "off", spellcheck: "false" });
  const begin = async (start, own) => { if (await take(() => ask("begin", { ...start, asks: undefined, own, file: file.value }))) scrollTo(0, 0); };
  const tile = (start) => h("button", { type: "button", onclick: () => begin(start) }, h("strong", {}, start.name.replaceAll("_", " ")), h("span", { class: "quiet" }, start.does));
  const own = (start) => h("details", { class: "form", "data-start": start.name }, h("summary", {}, h("span", {}, start.name, h("span", { class: "does" }, start.does))), numbers(start, begin));
  const of = (...kinds) => state.starts.filter((start) => kinds.includes(start.kind));
  const [asked, plain] = [of("start").filter((start) => start.asks?.length), of("start").filter((start) => !start.asks?.length)];
  main.replaceChildren(
    h("section", {}, h("h2", {}, `Designs in ${state.folder || "this folder"}`), h("div", { class: "starts" }, of("file").map(tile)), of("file").length ? null : h("p", { class: "quiet" }, "None yet.")),
    h("section", {}, h("h2", {}, "Start from"), h("label", {}, "name of the new file", file), asked.map(own), h("div", { class: "starts" }, [...plain, ...of("demo")].map(tile))));
}

// the maker's own numbers for a start, as far as they are known
function numbers(start, begin) {
  const inputs = start.asks.map((one) => [one, h("input", { type: "text", id: `own-${start.name}-${one.key}`, placeholder: `such as ${one.example}`, autocomplete: "off", spellcheck: "false" })]);
  const filled = (event) => { event.preventDefault(); begin(start, Object.fromEntries(inputs.map(([one, node]) => [one.key, node.value]))); };
  return h("form", { onsubmit: filled }, h("p", { class: "quiet" }, "Your own numbers, as far as you know them. Empty sizes are the example's; what is weighed or measured and empty is left out. All empty: the example."),
    h("div", { class: "inputs" }, inputs.map(([one, node]) => h("div", {}, h("label", { for: node.id }, one.label), node, h("span", { class: "why" }, one.help)))), h("button", { type: "submit", class: "first" }, "Begin"));
}

function build() {
  const room = (id) => h("section", { id, "aria-label": id });
  const rooms = Object.fromEntries(["bench", "tank", "bars", "map", "fields", "studies", "water", "hand", "paper", "file"].map((id) => [id, room(id)]));
  main.replaceChildren(questions(), rooms.bench, rooms.tank, rooms.bars, rooms.map, rooms.fields, rooms.studies, rooms.water, rooms.hand, rooms.paper, rooms.file);
  const views = h("div"), rest = h("div", { class: "words" });
  rooms.bench.append(views, rest);
  const text = h("textarea", { spellcheck: "false", "aria-label": "The design file" });
  text.addEventListener("change", () => take(() => ask("text", { text: text.value, revision: state.revision })));
  rooms.file.append(h("h2", {}, "The file"), h("p", { class: "quiet" }, "What is saved is this text. Change it here, or in any editor."), text);
  parts = {
    bench: bench(views, { trying, change, held: () => parts.tank.hold(), letGo: asItWas }),
    fields: fields(rooms.fields, { typed }),
    tank: tank(rooms.tank),
    behind: behind([
      bars(rooms.bars, { scale: (kind) => scales[kind], write, tie: () => choice.tie_on, swim: (tie, speed) => { choice = { kind: "pull", tie_on: tie, speed, programme: "" }; chooser(); swim(); go($("tank")); } }),
      map(rooms.map, { blocks, change, drawing: () => state.drawing, pace: () => write("speed", choice.speed) }),
    ]),
    text, rest,
  };
  inTurn(() => forms({ studies: rooms.studies, water: rooms.water, bench: rooms.hand, paper: rooms.paper })).catch((problem) => tell(said(problem)));
}

// what a maker comes with, and where its answer stands
function questions() {
  const form = (name) => () => { const node = document.querySelector(`[data-form=${name}]`); node.open = true; go(node); node.querySelector("input, select, button")?.focus({ preventScroll: true }); };
  const kind = (name) => () => { if (choice.kind !== name) { choice.kind = name; chooser(); swim(); } go($("tank")); };
  const fold = () => { const node = document.querySelector("#bench details"); node.open = true; go(node); };
  const all = [["My sizes", () => go($("fields"))], ["Does it float?", fold], ["Which eye?", () => go($("bars"))], ["How fast does it sink?", kind("drop")],
    ["How far does it fly?", kind("cast")], ["What to change?", form("remedy")], ["Why did it do that?", form("explain")]];
  return h("nav", { id: "questions", "aria-label": "Questions" }, all.map(([text, act]) => h("button", { type: "button", onclick: act }, text)));
}
const go = (node) => node.scrollIntoView({ behavior: matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth", block: "start" });

function write(kind, value, unit = true) {
  const scale = scales[kind];
  return `${(value * scale.factor).toFixed(scale.digits)}${unit ? ` ${scale.unit}` : ""}`;
}

// ---- edits ---------------------------------------------------------------------------------------------

const trying = newest(async (moved) => {
  parts.behind.stop(false);
  try {
    const answer = await ask("attempt", { moved });
    if (!parts.bench.holding()) return;
    verdict(answer.rest);
    parts.bench.show(answer.drawing);
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    $("verdict").textContent = said(problem);
  }
});

function asItWas() {
  verdict(state.rest);
  parts.bench.show(state.drawing);
  parts.tank.hold(false);
}

async function change(moved, id, view) {
  const done = await take(() => ask("edit", { moved: typeof moved === "function" ? moved() : moved, revision: state.revision }));
  if (!done) asItWas();
  if (id) parts.bench.focus(id, view);
}

const typed = (path, text, faulty) => inTurn(async () => {
  try {
    show(await ask("edit", { changes: { [path]: text }, revision: state.revision }));
    tell("");
    return true;
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    if (problem.state) show(problem.state);
    const own = problem.problems.filter((one) => one.path === path).map((one) => one.message);
    faulty(own.length ? own.join(" ") : [problem.message, ...problem.problems.map((one) => `${one.path}: ${one.message}`)].join(" "));
    return false;
  }
});

// ---- the tank ------------------------------------------------------------------------------------------

// what was chosen, as far as the lure has it
function settle() {
  if (!state.tie_ons.includes(choice.tie_on)) choice.tie_on = state.tie_ons[0] ?? "";
  if (!state.tie_ons.length) choice.kind = "drop";
  if (choice.programme && !state.programmes.includes(choice.programme)) choice.programme = "";
  if (!choice.speed) choice.speed = state.speeds[Math.floor(state.speeds.length / 2)] ?? 0.6;
}

let choosing = "";
function chooser() {
  const next = JSON.stringify([choice, state.tie_ons, state.programmes, scales]);
  if (next === choosing) return; // what is being held stays
  choosing = next;
  const pick = (label, name, values, words = (v) => v) => h("label", {}, label, h("select", { onchange: (e) => { choice[name] = e.target.value; swim(); chooser(); } }, values.map((value) => h("option", { value, selected: value === choice[name] }, words(value)))));
  const shown = h("output", {}, scales ? write("speed", choice.speed) : "");
  const speed = h("input", { type: "range", min: 0.1, max: 2, step: 0.05, value: choice.speed, "aria-label": "line speed",
    oninput: (e) => { choice.speed = Number(e.target.value); if (scales) shown.textContent = write("speed", choice.speed); swimSoon(); } });
  const pinned = h("button", { type: "button", "aria-pressed": String(parts.tank.pinned()), onclick: () => pinned.setAttribute("aria-pressed", String(parts.tank.pin())) }, "Pin this one");
  const kinds = { pull: "pulled", drop: "let go", cast: "cast" };
  parts.tank.chooser.replaceChildren(...[
    pick("it is", "kind", state.tie_ons.length ? Object.keys(kinds) : ["drop"], (kind) => kinds[kind]),
    choice.kind === "pull" && pick("from", "tie_on", state.tie_ons),
    choice.kind === "pull" && state.programmes.length > 0 && pick("how", "programme", ["", ...state.programmes], (name) => name.replaceAll("_", " ") || "steadily"),
    choice.kind === "pull" && !choice.programme && h("label", {}, h("span", {}, "line speed ", shown), speed), pinned].filter(Boolean));
}

function swim() {
  swimming?.abort();
  parts.tank.hold();
  parts.behind.stop(false);
  return swimNow();
}
const swimNow = newest(async () => {
  swimming = new AbortController();
  try {
    const first = !state.compiled;
    if (first) await compiled();
    for await (const piece of pieces("swim", { ...choice }, swimming.signal)) {
      if (piece.revision !== state.revision) return;
      if (piece.words) parts.tank.say(piece.words);
      else swum(piece);
    }
    if (first) surely();
    if (state.tie_ons.length) parts.behind.fill(state.revision, { tie_on: choice.tie_on, speed: choice.speed });
  } catch (problem) {
    if (problem.name === "AbortError") return;
    if (!(problem instanceof Refused)) throw problem;
    parts.tank.empty(said(problem));
  }
});
// on the first start: what is there is shown, and what follows is said
async function compiled() {
  let lies = false;
  for await (const so of pieces("compiling", {}, swimming.signal)) {
    parts.tank.empty(so.words);
    if (so.lies && !lies) take(() => ask("state"));
    lies = so.lies;
    if (so.compiled) state.compiled = true;
  }
}
function swum({ replay, goes_on, scales: given }) {
  state.compiled = true;
  const first = !scales;
  scales = given;
  if (first) chooser();
  parts.tank.show(replay, given, goes_on);
}
let soon = 0;
function swimSoon() { clearTimeout(soon); soon = setTimeout(swim, 120); }

// ---- short forms of commands -----------------------------------------------------------------------------

async function forms(rooms) {
  const titles = { studies: "How sure, why, what to change", water: "At the water", bench: "At the bench", paper: "On paper" };
  const hooks = {
    take: async (number, proposal) => ((await take(() => ask("take", { number, proposal }))) ? state.revision : null),
    back: async (revision) => state.revision === revision && take(() => ask("step", { revision })),
  };
  const { forms: all } = await ask("forms");
  for (const [place, title] of Object.entries(titles)) rooms[place].append(h("h2", {}, title), ...all.filter((one) => one.place === place).map((one) => form(one, hooks)));
}

window.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || /^(INPUT|TEXTAREA|SELECT)$/.test(event.target.tagName)) return;
  const key = event.key.toLowerCase();
  if (key === "z" && state?.file) { event.preventDefault(); take(() => ask("step", { revision: state.revision, forth: event.shiftKey })); }
  if (key === "s" && state?.unsaved) { event.preventDefault(); take(() => ask("save", { revision: state.revision })); }
});
window.addEventListener("pagehide", () => { swimming?.abort(); parts?.behind.stop(); });
window.addEventListener("focus", () => { if (state?.file) ask("state").then((next) => { if (next.revision !== state.revision || next.changed_outside) show(next); }).catch(() => {}); });

take(() => ask("state"));
