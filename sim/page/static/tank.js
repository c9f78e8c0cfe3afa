// The tank: poses that the solver computed, drawn as they go by; it interpolates and projects, and knows no physics.
import { blocks, h } from "./dom.js";

const TAU = 2 * Math.PI, LEAST = { distance: 0.02, angle: 0.1, turns: 0.1 }; // m, rad: less is drawn as the little that it is
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const plus = (a, b, k = 1) => [a[0] + k * b[0], a[1] + k * b[1], a[2] + k * b[2]];
const minus = (a, b) => plus(a, b, -1);
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const matrix = ([w, x, y, z]) => [
  [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
  [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
  [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
];
const turned = (m, v) => [dot(m[0], v), dot(m[1], v), dot(m[2], v)];

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
  const bodies = design.bodies.map((body) => ({ points: unpacked(body.vertices), faces: unpacked(body.faces).map((f) => f.map(Math.round)) }));
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
  return { design, motion, bodies, poses, line, series, seconds: motion.seconds, rate: (poses.length - 1) / motion.seconds };
}

const wrapped = (angle) => angle - TAU * Math.round(angle / TAU);

function unwrap(angles) {
  for (let k = 1; k < angles.length; k += 1) {
    angles[k] -= TAU * Math.round((angles[k] - angles[k - 1]) / TAU);
  }
}

const TRACK = 58; // px of one curve
const SHOWN = [["depth", "distance", "depth"], ["nose", "angle", "nose up"], ["roll", "angle", "roll"], ["yaw", "angle", "swing of the nose"]];
// round and round is told in turns
const shown = (run) => SHOWN.map(([name, kind, text]) => {
  const round = (name === "yaw" || name === "roll") && Math.max(...run.series[name]) - Math.min(...run.series[name]) > 1.5 * TAU;
  return round ? [name, "turns", name === "yaw" ? "turned round" : "rolled round"] : [name, kind, text];
});

export function tank(room, hooks) {
  let now = null, ghost = null, scales = null, clock = 0, last = 0, playing = !matchMedia("(prefers-reduced-motion: reduce)").matches;
  const panes = [["side", "from its side"], ["space", "in space"]].map(([view, name]) => {
    const canvas = h("canvas", { role: "img", "aria-label": `The lure swimming, seen ${name}` });
    return { view, canvas, figure: h("figure", {}, canvas, h("figcaption", {}, name)) };
  });
  const chart = h("canvas", { role: "img", "aria-label": "Depth, nose, roll and swing against time" });
  const read = h("dl", { class: "now" }), words = h("div", { class: "words", "aria-live": "polite" });
  const play = h("button", { type: "button", onclick: () => { playing = !playing; label(); } });
  const seek = h("input", { type: "range", min: 0, max: 1000, value: 0, "aria-label": "Time of the run", oninput: () => { clock = now ? (seek.value / 1000) * now.seconds : 0; playing = false; label(); paint(); } });
  const chooser = h("div", { class: "chooser" });
  const difference = h("div", { class: "words" });
  const label = () => { play.textContent = playing ? "Hold still" : "Swim"; };
  label();
  room.replaceChildren(h("h2", {}, "Tank"), chooser, h("div", { class: "panes" }, panes.map((pane) => pane.figure)),
    h("div", { class: "chooser" }, play, seek), read, chart, words, difference);
  requestAnimationFrame(frame);

  function show(replay, said, given) {
    now = readied(replay);
    scales = given;
    if (clock > now.seconds) clock = 0;
    words.replaceChildren(...blocks(said.blocks));
    compare();
    paint();
    drawChart();
    room.dataset.swims = String(Number(room.dataset.swims ?? 0) + 1);
  }

  function pin() {
    ghost = ghost ? null : now && { ...now, words: words.firstChild?.textContent ?? "" };
    compare();
    paint();
    return ghost !== null;
  }

  // what differs between the pinned run and the present one, from the later half of each
  function compare() {
    difference.replaceChildren();
    if (!ghost || !now) return;
    const rows = shown(now).map(([name, kind, text]) => [text, later(ghost, name), later(now, name)].map((value, k) => (k ? `${write(kind, value.mean)} \u00b1 ${write(kind, value.swing)}` : value)));
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

  function frame(time) {
    const step = Math.min((time - last) / 1000, 0.1);
    last = time;
    if (now && playing && room.isConnected && !document.hidden) {
      clock = (clock + step) % now.seconds;
      seek.value = String(Math.round((clock / now.seconds) * 1000));
      paint();
    }
    requestAnimationFrame(frame);
  }

  function paint() {
    if (!now) return;
    for (const pane of panes) drawPane(pane);
    const k = Math.min(Math.round(clock * now.rate), now.poses.length - 1);
    read.replaceChildren(...shown(now).map(([name, kind, text]) => h("div", {}, h("dt", {}, text), h("dd", {}, write(kind, name === "roll" && kind === "angle" ? wrapped(now.series[name][k]) : now.series[name][k])))),
      h("div", {}, h("dt", {}, "line pull"), h("dd", {}, write("force", between(now.poses, clock * now.rate)[7] ?? 0))));
    cursor();
  }

  function sized(canvas, high) {
    const ratio = Math.min(devicePixelRatio || 1, 2), wide = Math.max(canvas.clientWidth, 200);
    if (canvas.width !== Math.round(wide * ratio) || canvas.height !== Math.round(high * ratio)) {
      canvas.width = Math.round(wide * ratio);
      canvas.height = Math.round(high * ratio);
      canvas.style.height = `${high}px`;
    }
    const pen = canvas.getContext("2d", { willReadFrequently: canvas === chart });
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    return [pen, wide, high];
  }

  function drawPane({ view, canvas }) {
    const [pen, wide, high] = sized(canvas, Math.max(170, canvas.clientWidth * 0.5));
    const pose = between(now.poses, clock * now.rate), m = matrix(pose.slice(3, 7));
    const middle = plus(pose.slice(0, 3), turned(m, now.design.middle));
    const spin = view === "side" ? 0 : 0.75, tilt = view === "side" ? 0 : 0.42;
    const right = [Math.cos(spin), Math.sin(spin), 0], away = cross([0, 0, 1], right);
    const up = [-away[0] * -Math.sin(tilt), -away[1] * -Math.sin(tilt), Math.cos(tilt)];
    const toward = cross(right, up);
    const scale = wide / (now.design.length * (view === "side" ? 2.6 : 2.3));
    const at = (p) => { const d = minus(p, middle); return [wide / 2 + dot(d, right) * scale, high / 2 - dot(d, up) * scale]; };
    pen.clearRect(0, 0, wide, high);
    surface(pen, at, middle, wide, high, tilt, scale);
    lineTo(pen, at, pose, m);
    if (ghost) figure(pen, at, toward, ghost, between(ghost.poses, Math.min(clock, ghost.seconds) * ghost.rate), middle, 0.28);
    figure(pen, at, toward, now, pose, null, 1);
  }

  function surface(pen, at, middle, wide, high, tilt, scale) {
    const y = high / 2 - (0 - middle[2]) * scale * Math.cos(tilt);
    pen.fillStyle = "#cfe3ec";
    pen.fillRect(0, Math.max(y, 0), wide, high - Math.max(y, 0));
    if (y > -4 && y < high) { pen.strokeStyle = "#1b6285"; pen.lineWidth = 2; pen.beginPath(); pen.moveTo(0, y); pen.lineTo(wide, y); pen.stroke(); }
    // marks in the water that go by, so that speed and depth can be seen
    pen.fillStyle = "#9dbccb";
    const gap = now.design.length * 0.8;
    for (let x = Math.floor(middle[0] / gap) - 3; x <= Math.floor(middle[0] / gap) + 4; x += 1) {
      for (let z = Math.floor(middle[2] / gap) - 2; z <= Math.min(Math.floor(middle[2] / gap) + 2, -1); z += 1) {
        const p = at([x * gap, middle[1], z * gap]);
        pen.beginPath(); pen.arc(p[0], p[1], 1.6, 0, TAU); pen.fill();
      }
    }
  }

  function lineTo(pen, at, pose, m) {
    if (!now.line || !now.motion.tie_at) return;
    const row = between(now.line, (clock * now.rate) / now.motion.line_every), tie = plus(pose.slice(0, 3), turned(m, now.motion.tie_at));
    const tip = row.slice(0, 3), shares = row.slice(3), points = [tie];
    shares.forEach((share, k) => { if (share > 0) points.push([tie[0] + share * (tip[0] - tie[0]), tie[1] + share * (tip[1] - tie[1]), tie[2] * (1 - (k + 1) / shares.length)]); });
    points.push(tip);
    pen.strokeStyle = "#8c2f39"; pen.lineWidth = 1.5; pen.beginPath();
    points.forEach((p, k) => { const q = at(p); if (k) pen.lineTo(q[0], q[1]); else pen.moveTo(q[0], q[1]); });
    pen.stroke();
  }

  function figure(pen, at, toward, run, pose, beside, ink) {
    const m = matrix(pose.slice(3, 7)), own = pose.slice(0, 3);
    // a ghost swims beside the present one: same way along, its own depth
    const origin = beside ? [beside[0] + own[0] - plus(own, turned(m, run.design.middle))[0], own[1], own[2]] : own;
    const placed = (p) => plus(origin, turned(m, p));
    const faces = [];
    for (const body of run.bodies) {
      const world = body.points.map(placed);
      for (const face of body.faces) {
        const [a, b, c] = face.map((k) => world[k]), normal = cross(minus(b, a), minus(c, a)), size = Math.hypot(...normal) || 1;
        if (dot(normal, toward) <= 0) continue;
        const light = 0.62 + 0.32 * (normal[2] / size) + 0.06 * (dot(normal, toward) / size);
        faces.push({ depth: dot(plus(plus(a, b), c), toward) / 3, points: [a, b, c], fill: `rgba(${Math.round(240 * light)}, ${Math.round(214 * light)}, ${Math.round(160 * light)}, ${ink})` });
      }
    }
    for (const rim of run.design.plates) {
      const world = rim.map(placed);
      faces.push({ depth: world.reduce((sum, p) => sum + dot(p, toward), 0) / world.length, points: world, fill: `rgba(120, 150, 165, ${0.65 * ink})`, edge: `rgba(29, 43, 51, ${0.6 * ink})` });
    }
    faces.sort((a, b) => a.depth - b.depth);
    for (const face of faces) {
      pen.beginPath();
      face.points.forEach((p, k) => { const q = at(p); if (k) pen.lineTo(q[0], q[1]); else pen.moveTo(q[0], q[1]); });
      pen.closePath();
      pen.fillStyle = face.fill; pen.fill();
      pen.strokeStyle = face.edge ?? face.fill; pen.lineWidth = 0.6; pen.stroke();
    }
    pen.strokeStyle = `rgba(93, 106, 112, ${ink})`; pen.lineWidth = 1.6;
    for (const ends of run.design.wires) { const [p, q] = ends.map((end) => at(placed(end))); pen.beginPath(); pen.moveTo(...p); pen.lineTo(...q); pen.stroke(); }
    for (const hook of run.design.hooks) {
      const p = at(placed(hook.at)), r = Math.max(3, (hook.size * 0.3 * (pen.canvas.clientWidth || 300)) / (run.design.length * 2.6));
      pen.beginPath(); pen.arc(p[0], p[1] + r, r, -0.5 * Math.PI, 0.8 * Math.PI); pen.stroke();
    }
  }

  let plotted = null;
  function drawChart() {
    const [pen, wide, high] = sized(chart, SHOWN.length * TRACK);
    pen.clearRect(0, 0, wide, high);
    pen.font = "12px system-ui, sans-serif";
    plotted = { wide, high };
    shown(now).forEach(([name, kind, text], k) => {
      const top = k * TRACK + 4, values = now.series[name], low = Math.min(...values), most = Math.max(...values), middle = (low + most) / 2, span = Math.max(most - low, LEAST[kind]);
      pen.strokeStyle = "#d8d3c4"; pen.strokeRect(0.5, top, wide - 1, 46);
      pen.strokeStyle = "#1b6285"; pen.lineWidth = 1.4; pen.beginPath();
      const down = name === "depth" ? 1 : -1;
      values.forEach((value, i) => { const x = (i / (values.length - 1)) * wide, y = top + 23 + down * 40 * ((value - middle) / span); if (i) pen.lineTo(x, y); else pen.moveTo(x, y); });
      pen.stroke();
      const said = `${text}: ${write(kind, low)} to ${write(kind, most)}`;
      pen.fillStyle = "rgba(251, 250, 246, 0.85)"; pen.fillRect(2, top + 1, pen.measureText(said).width + 8, 16);
      pen.fillStyle = "#1d2b33"; pen.fillText(said, 6, top + 13);
    });
    plotted.image = pen.getImageData(0, 0, chart.width, chart.height);
  }

  function cursor() {
    if (!plotted?.image) return;
    const pen = chart.getContext("2d");
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.putImageData(plotted.image, 0, 0);
    const x = (clock / now.seconds) * chart.width;
    pen.strokeStyle = "#b0500c"; pen.lineWidth = 2; pen.beginPath(); pen.moveTo(x, 0); pen.lineTo(x, chart.height); pen.stroke();
  }

  return { show, pin, chooser, empty: (text) => { words.replaceChildren(h("p", { class: "quiet" }, text)); } };
}
