// The tank: poses that the solver computed, drawn as they go by; it interpolates, and knows no physics.
import { blocks, h } from "./dom.js";
import { dot, drawn, matrix, plus, ready, sized, turned } from "./swimmer.js";

const TAU = 2 * Math.PI, LEAST = { distance: 0.02, angle: 0.1, turns: 0.1 }; // m, rad: less is drawn as the little that it is
// a table of whole numbers between the least and largest of each column
export function unpacked(table) {
  const text = atob(table.data), rows = [];
  for (let row = 0, at = 0; row < table.rows; row += 1) {
    rows.push(table.low.map((low, k) => {
      if (table.step[k] === 0) return low;
      let whole = text.charCodeAt(at++);
      if (table.bits === 16) whole += 256 * text.charCodeAt(at++);
      return low + table.step[k] * whole;
    }));
  }
  return rows;
}

function between(rows, at) {
  const k = Math.max(0, Math.min(Math.floor(at), rows.length - 1)), next = rows[Math.min(k + 1, rows.length - 1)];
  const part = Math.max(0, Math.min(at - k, 1));
  return rows[k].map((value, column) => value + part * (next[column] - value));
}

// one run, ready to be drawn
export function readied(replay) {
  const design = replay.designs[0], motion = design.motions[0];
  const bodies = design.bodies.map((body) => ready(unpacked(body.vertices), unpacked(body.faces).map((face) => face.map(Math.round))));
  const poses = unpacked(motion.poses), line = motion.line ? unpacked(motion.line) : null;
  const series = { depth: [], nose: [], roll: [], yaw: [] };
  for (const pose of poses) {
    const m = matrix(pose.slice(3, 7)), nose = [m[0][0], m[1][0], m[2][0]], left = [m[0][1], m[1][1], m[2][1]];
    const middle = plus(pose.slice(0, 3), turned(m, design.middle));
    series.depth.push(-middle[2]);
    series.nose.push(Math.asin(Math.max(-1, Math.min(1, nose[2]))));
    series.roll.push(Math.atan2(left[2], m[2][2])); // right side down is positive
    series.yaw.push(Math.atan2(nose[1], nose[0]));
  }
  for (const name of ["roll", "yaw"]) unwrap(series[name]);
  const mean = series.yaw.reduce((a, b) => a + b, 0) / series.yaw.length;
  series.yaw = series.yaw.map((angle) => angle - mean);
  const run = { design, motion, bodies, poses, line, series, seconds: motion.seconds, rate: (poses.length - 1) / motion.seconds };
  return { ...run, shown: shown(run) };
}

const wrapped = (angle) => angle - TAU * Math.round(angle / TAU);

function unwrap(angles) {
  for (let k = 1; k < angles.length; k += 1) {
    angles[k] -= TAU * Math.round((angles[k] - angles[k - 1]) / TAU);
  }
}

const TRACK = 64, WORDS = 15; // px of one curve with its words, and of these
const PAUSE = 24, READ_EVERY = 200; // ms between two pictures, on top of the wait for one; between two readings of the numbers
const SHOWN = [["depth", "distance", "depth"], ["nose", "angle", "nose up"], ["roll", "angle", "roll"], ["yaw", "angle", "swing of the nose"]];
// round and round is told in turns
const shown = (run) => SHOWN.map(([name, kind, text]) => {
  const round = (name === "yaw" || name === "roll") && Math.max(...run.series[name]) - Math.min(...run.series[name]) > 1.5 * TAU;
  return round ? [name, "turns", name === "yaw" ? "turned round" : "rolled round"] : [name, kind, text];
});

const BESIDE = ", before this change";

export function tank(room) {
  let now = null, ghost = null, scales = null, clock = 0, last = 0, told = 0, due = false, stale = false, part = false, seen = true;
  let playing = !matchMedia("(prefers-reduced-motion: reduce)").matches;
  const panes = [["side", "from its side"], ["space", "in space"]].map(([view, name]) => {
    const canvas = h("canvas", { role: "img", "aria-label": `The lure swimming, seen ${name}` }), caption = h("figcaption", {}, name);
    return { view, name, canvas, caption, figure: h("figure", {}, canvas, caption) };
  });
  const chart = h("canvas", { role: "img", "aria-label": "Depth, nose, roll and swing against time" }), cursor = h("i", { class: "cursor" });
  const read = h("dl", { class: "now" }), words = h("div", { class: "words", "aria-live": "polite" });
  const play = h("button", { type: "button", onclick: () => { playing = !playing; label(); goOn(); } });
  const seek = h("input", { type: "range", min: 0, max: 1000, value: 0, "aria-label": "Time of the run", oninput: () => { clock = now ? (seek.value / 1000) * now.seconds : 0; playing = false; label(); paint(); tell(); } });
  const chooser = h("div", { class: "chooser" });
  const difference = h("div", { class: "words" });
  const label = () => { play.textContent = playing ? "Hold still" : "Swim"; };
  label();
  room.replaceChildren(h("h2", {}, "Tank"), chooser, h("div", { class: "panes" }, panes.map((pane) => pane.figure)),
    h("div", { class: "chooser" }, play, seek), read, h("div", { class: "chart" }, chart, cursor), words, difference);
  new IntersectionObserver(([one]) => { seen = one.isIntersecting; goOn(); }).observe(room);
  document.addEventListener("visibilitychange", goOn);
  let width = 0;
  new ResizeObserver(() => { if (now && chart.clientWidth !== width) { drawChart(); paint(); } }).observe(chart);

  // goes_on: this is the beginning of a pull, and the whole of it is on its way
  function show(replay, given, goes_on = false) {
    const next = readied(replay);
    if (goes_on && !playing && clock > next.seconds) return;
    const begins = stale;
    if (part && !goes_on && ghost === now) ghost = next; // pinned before the whole of it was there
    part = goes_on;
    now = next;
    scales = given;
    if ((begins && playing) || clock > now.seconds) clock = 0;
    hold(false);
    paint();
    readings();
    if (begins) room.dataset.begun = count(room.dataset.begun);
    words.classList.toggle("old", goes_on);
    if (goes_on) return;
    drawChart();
    compare();
    room.dataset.swims = count(room.dataset.swims);
  }
  const count = (text) => String(Number(text ?? 0) + 1);

  // what is swimming was another lure: it stands still, and says so, until the new one is there
  function hold(still = true) {
    if (stale === still) return;
    stale = still;
    room.classList.toggle("stale", still);
    words.classList.toggle("old", still && now);
    for (const { name, caption } of panes) caption.textContent = still && now ? name + BESIDE : name;
    goOn();
  }

  function put(nodes) {
    words.classList.remove("old");
    words.replaceChildren(...nodes);
  }

  function pin() {
    ghost = ghost ? null : now;
    compare();
    paint();
    return ghost !== null;
  }

  // what differs between the pinned run and the present one, from the later half of each
  function compare() {
    difference.replaceChildren();
    if (!ghost || !now) return;
    const rows = now.shown.map(([name, kind, text]) => [text, later(ghost, name), later(now, name)].map((value, k) => (k ? `${write(kind, value.mean)} \u00b1 ${write(kind, value.swing)}` : value)));
    difference.append(...blocks([{ type: "table", caption: "Pinned and now: mean and swing over the later half", heads: ["", "pinned", "now"], numbers: [false, true, true], rows }]));
  }

  function later(run, name) {
    const values = run.series[name].slice(run.series[name].length >> 1);
    const mean = values.reduce((a, b) => a + b, 0) / values.length;
    return { mean, swing: Math.sqrt((2 * values.reduce((a, b) => a + (b - mean) ** 2, 0)) / values.length) };
  }

  function write(kind, value) {
    const scale = scales[kind], number = (value * scale.factor).toFixed(scale.digits);
    return `${Number(number) === 0 ? (0).toFixed(scale.digits) : number} ${scale.unit}`;
  }

  // ---- drawn only while it swims and is seen: a machine that draws by itself has other things to do

  const swims = () => now && playing && !stale && seen && !document.hidden;

  function goOn() {
    if (due || !swims()) return;
    due = true;
    last = 0;
    requestAnimationFrame(frame);
  }

  function frame(time) {
    if (!swims()) { due = false; return; }
    if (last) clock = (clock + Math.min((time - last) / 1000, 0.1)) % now.seconds;
    last = time;
    paint();
    if (time - told > READ_EVERY) { told = time; tell(); }
    setTimeout(() => requestAnimationFrame(frame), PAUSE);
  }

  function paint() {
    if (!now) return;
    const of = (run) => between(run.poses, Math.min(clock, run.seconds) * run.rate), pose = of(now), line = lineOf(pose);
    for (const { view, canvas } of panes) drawn(canvas, view, { run: now, pose, line }, ghost && { run: ghost, pose: of(ghost) });
    cursor.style.transform = `translateX(${((clock / now.seconds) * width).toFixed(1)}px)`;
  }

  // from the rod tip down to where it is tied
  function lineOf(pose) {
    if (!now.line || !now.motion.tie_at) return null;
    const row = between(now.line, (clock * now.rate) / now.motion.line_every), points = [];
    for (let k = 0; k < row.length; k += 3) points.push(row.slice(k, k + 3));
    return [...points, plus(pose.slice(0, 3), turned(matrix(pose.slice(3, 7)), now.motion.tie_at))];
  }

  // ---- in numbers

  let values = [];
  function readings() {
    values = [...now.shown.map(([, , text]) => text), "line pull"].map((text) => [text, h("dd")]);
    read.replaceChildren(...values.map(([text, value]) => h("div", {}, h("dt", {}, text), value)));
    tell();
  }

  function tell() {
    if (!now) return;
    const k = Math.min(Math.round(clock * now.rate), now.poses.length - 1);
    const texts = now.shown.map(([name, kind]) => write(kind, name === "roll" && kind === "angle" ? wrapped(now.series[name][k]) : now.series[name][k]));
    [...texts, write("force", between(now.poses, clock * now.rate)[7] ?? 0)].forEach((text, one) => { values[one][1].textContent = text; });
    seek.value = String(Math.round((clock / now.seconds) * 1000));
  }

  function drawChart() {
    const [pen, wide, high] = sized(chart, SHOWN.length * TRACK);
    width = chart.clientWidth;
    pen.clearRect(0, 0, wide, high);
    pen.font = "12px system-ui, sans-serif";
    now.shown.forEach(([name, kind, text], k) => {
      const top = k * TRACK + WORDS + 4, values = now.series[name], low = Math.min(...values), most = Math.max(...values), middle = (low + most) / 2, span = Math.max(most - low, LEAST[kind]);
      pen.strokeStyle = "#d8d3c4"; pen.lineWidth = 1; pen.fillStyle = "#ffffff"; pen.fillRect(0.5, top, wide - 1, 45); pen.strokeRect(0.5, top, wide - 1, 45);
      pen.strokeStyle = "#1b6285"; pen.lineWidth = 1.4; pen.beginPath();
      const down = name === "depth" ? 1 : -1;
      values.forEach((value, i) => { const x = (i / (values.length - 1)) * wide, y = top + 23 + down * 40 * ((value - middle) / span); if (i) pen.lineTo(x, y); else pen.moveTo(x, y); });
      pen.stroke();
      pen.fillStyle = "#1d2b33"; pen.fillText(`${text}: ${write(kind, low)} to ${write(kind, most)}`, 2, top - 4);
    });
  }

  return { show, hold, pin, pinned: () => ghost !== null, chooser, say: (said) => put(blocks(said.blocks)), empty: (text) => put([h("p", { class: "quiet" }, text)]) };
}
