// A lure in its water as seen by an eye beside or above it: projected and shaded, in as few strokes as it takes.
const TAU = 2 * Math.PI, TONES = 32;

export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const plus = (a, b, k = 1) => [a[0] + k * b[0], a[1] + k * b[1], a[2] + k * b[2]];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
export const matrix = ([w, x, y, z]) => [
  [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
  [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
  [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
];
export const turned = (m, v) => [dot(m[0], v), dot(m[1], v), dot(m[2], v)];
const back = (m, v) => [m[0][0] * v[0] + m[1][0] * v[1] + m[2][0] * v[2], m[0][1] * v[0] + m[1][1] * v[1] + m[2][1] * v[2], m[0][2] * v[0] + m[1][2] * v[1] + m[2][2] * v[2]];

// a body with the way that each of its faces looks
export function ready(points, faces) {
  const looks = faces.map(([i, j, k]) => {
    const way = cross(plus(points[j], points[i], -1), plus(points[k], points[i], -1)), size = Math.hypot(...way) || 1;
    return way.map((one) => one / size);
  });
  return { points, faces, looks };
}

export function sized(canvas, high) {
  const ratio = Math.min(devicePixelRatio || 1, 2), wide = Math.max(canvas.clientWidth, 200);
  if (canvas.width !== Math.round(wide * ratio) || canvas.height !== Math.round(high * ratio)) {
    canvas.width = Math.round(wide * ratio);
    canvas.height = Math.round(high * ratio);
    canvas.style.height = `${high}px`;
  }
  const pen = canvas.getContext("2d");
  pen.setTransform(ratio, 0, 0, ratio, 0, 0);
  return [pen, wide, high];
}

// run: as it swims; pose: where it is and how it lies; line: points of the line in the world; ghost: another run and its pose
export function drawn(canvas, view, { run, pose, line }, ghost) {
  const [pen, wide, high] = sized(canvas, Math.max(170, canvas.clientWidth * 0.5));
  const middle = plus(pose.slice(0, 3), turned(matrix(pose.slice(3, 7)), run.design.middle));
  const spin = view === "side" ? 0 : 0.75, tilt = view === "side" ? 0 : 0.42;
  const right = [Math.cos(spin), Math.sin(spin), 0], away = cross([0, 0, 1], right);
  const up = [-away[0] * -Math.sin(tilt), -away[1] * -Math.sin(tilt), Math.cos(tilt)];
  const scale = wide / (run.design.length * (view === "side" ? 2.6 : 2.3));
  const own = [dot(middle, right), dot(middle, up)];
  const eye = { pen, scale, toward: cross(right, up), at: (p) => [wide / 2 + (dot(p, right) - own[0]) * scale, high / 2 - (dot(p, up) - own[1]) * scale] };
  pen.clearRect(0, 0, wide, high);
  surface(eye, run.design.length, middle, wide, high, tilt);
  if (line) stroked(eye, line, "#8c2f39", 1.5);
  if (ghost) figure(eye, ghost.run, ghost.pose, middle, 0.28);
  figure(eye, run, pose, null, 1);
}

function surface({ pen, at, scale }, length, middle, wide, high, tilt) {
  const y = high / 2 + middle[2] * scale * Math.cos(tilt);
  pen.fillStyle = "#cfe3ec";
  pen.fillRect(0, Math.max(y, 0), wide, high - Math.max(y, 0));
  if (y > -4 && y < high) { pen.strokeStyle = "#1b6285"; pen.lineWidth = 2; pen.beginPath(); pen.moveTo(0, y); pen.lineTo(wide, y); pen.stroke(); }
  // marks in the water that go by, so that speed and depth can be seen
  const gap = length * 0.8;
  pen.fillStyle = "#9dbccb";
  pen.beginPath();
  for (let x = Math.floor(middle[0] / gap) - 3; x <= Math.floor(middle[0] / gap) + 4; x += 1) {
    for (let z = Math.floor(middle[2] / gap) - 2; z <= Math.min(Math.floor(middle[2] / gap) + 2, -1); z += 1) {
      const p = at([x * gap, middle[1], z * gap]);
      pen.moveTo(p[0] + 1.6, p[1]); pen.arc(p[0], p[1], 1.6, 0, TAU);
    }
  }
  pen.fill();
}

function stroked({ pen, at }, points, style, width) {
  pen.strokeStyle = style; pen.lineWidth = width; pen.beginPath();
  through(pen, points.map(at));
  pen.stroke();
}

function through(pen, points) {
  points.forEach(([x, y], k) => { if (k) pen.lineTo(x, y); else pen.moveTo(x, y); });
}

function figure(eye, run, pose, beside, ink) {
  const { pen, at, toward, scale } = eye, m = matrix(pose.slice(3, 7)), own = pose.slice(0, 3);
  // a ghost swims beside the present one: same way along, its own depth
  const origin = beside ? [beside[0] - turned(m, run.design.middle)[0], own[1], own[2]] : own;
  const placed = (p) => plus(origin, turned(m, p)), near = (points) => points.reduce((sum, p) => sum + dot(p, toward), 0) / points.length;
  const parts = [
    ...run.bodies.map((body) => solid(eye, body, m, body.points.map(placed), ink)),
    ...run.design.plates.map((rim) => {
      const world = rim.map(placed);
      return { near: near(world), draw: () => {
        pen.beginPath(); through(pen, world.map(at)); pen.closePath();
        pen.fillStyle = `rgba(120, 150, 165, ${0.65 * ink})`; pen.fill();
        pen.strokeStyle = `rgba(29, 43, 51, ${0.6 * ink})`; pen.lineWidth = 0.6; pen.stroke();
      } };
    }),
  ];
  for (const part of parts.sort((a, b) => a.near - b.near)) part.draw();
  for (const ends of run.design.wires) stroked(eye, ends.map(placed), `rgba(93, 106, 112, ${ink})`, 1.6);
  pen.strokeStyle = `rgba(93, 106, 112, ${ink})`; pen.lineWidth = 1.6;
  for (const hook of run.design.hooks) {
    const p = at(placed(hook.at)), r = Math.max(3, hook.size * 0.3 * scale);
    pen.beginPath(); pen.arc(p[0], p[1] + r, r, -0.5 * Math.PI, 0.8 * Math.PI); pen.stroke();
  }
}

// the faces that look this way, by their tone: as many strokes as there are tones
function solid({ pen, at, toward }, { faces, looks }, m, world, ink) {
  const hither = back(m, toward), tones = [], flat = world.map(at);
  let near = 0, count = 0;
  faces.forEach((face, k) => {
    const facing = dot(looks[k], hither);
    if (facing <= 0) return;
    const light = 0.62 + 0.32 * dot(looks[k], m[2]) + 0.06 * facing;
    (tones[Math.round(light * TONES)] ??= []).push(face);
    near += dot(world[face[0]], toward);
    count += 1;
  });
  return { near: near / Math.max(count, 1), draw: () => {
    pen.lineWidth = 0.6;
    tones.forEach((own, tone) => {
      const light = tone / TONES;
      pen.beginPath();
      for (const face of own) { through(pen, face.map((k) => flat[k])); pen.closePath(); }
      pen.fillStyle = pen.strokeStyle = `rgba(${Math.round(240 * light)}, ${Math.round(214 * light)}, ${Math.round(160 * light)}, ${ink})`;
      pen.fill(); pen.stroke();
    });
  } };
}
