// The bench: the lure from three sides to one scale, on its waterline, with handles for what a maker decides.
import { h, s } from "./dom.js";

const NAMES = { side: "from its left side", top: "from above", front: "from ahead" };
const MM = 1000, ROOM = 9, STEP = 0.0005, FINE = 0.0001; // mm for a metre, mm round the lure, m for a key
const DOT = 5, REACH = 18, LINE = 0.9, GAP = 10, TALLEST = 320; // px: a ring, how near to it is on it, a line, between views, a view

const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const plus = (a, b, k = 1) => [a[0] + k * b[0], a[1] + k * b[1], a[2] + k * b[2]];

// What a handle at a point means to the file: metres and radians by path.
export function moved(handle, point) {
  const length = (value) => ({ value, dimension: "length" });
  if (handle.does === "place") {
    const own = handle.from ? plus(point, handle.from, -1) : point;
    const all = { back: -own[0], up: own[2], left: own[1] };
    const was = handle.from ? plus(handle.at, handle.from, -1) : handle.at;
    const before = { back: -was[0], up: was[2], left: was[1] };
    return Object.fromEntries(Object.entries(handle.moves)
      .filter(([key]) => Math.abs(all[key] - before[key]) > 1e-7)
      .map(([key, path]) => [path, length(all[key])]));
  }
  if (handle.does === "size") {
    const value = dot(plus(point, handle.from, -1), handle.along) / handle.per;
    return { [handle.path]: length(Math.max(value, 0.0002)) };
  }
  const arm = plus(point, handle.root, -1);
  return {
    [handle.moves.angle]: { value: Math.atan2(-arm[2], handle.way * arm[0]), dimension: "angle" },
    [handle.moves.length]: length(Math.max(Math.hypot(arm[0], arm[2]), 0.001)),
  };
}

// A handle can be moved in a view only if the view shows what it changes.
function shows(handle, name) {
  if (handle.only) return handle.only === name;
  if (handle.does === "tip") return name === "side";
  if (handle.does === "size") return name === (Math.abs(handle.along[1]) > 0.5 ? "top" : "side");
  return true;
}

export function bench(room, hooks) {
  const figures = {}, boxes = {};
  let scale = 1; // px for a mm, the same in all views
  let drawing = null, held = null, waiting = null;
  const views = h("div", { class: "views" }, ["side", "front", "top"].map((name) => {
    const svg = s("svg", { class: "view", role: "group", "aria-label": `The lure ${NAMES[name]}` });
    figures[name] = svg;
    return h("figure", {}, svg, h("figcaption", {}, NAMES[name]));
  }));
  const key = h("p", { class: "key" });
  room.replaceChildren(h("h2", {}, "Bench"), views, key);

  function show(next) {
    drawing = next;
    if (!held) fit(); // under a finger nothing but the lure moves
    for (const name of Object.keys(figures)) draw(name);
    key.textContent = "Take hold of a ring and drag it, or reach it with Tab and move it with the arrow keys; with Shift, finely. "
      + "Cross: where it balances. Circle with a dot: where the water lifts.";
  }
  let width = 0;
  new ResizeObserver(() => { if (drawing && !held && views.clientWidth !== width) { width = views.clientWidth; show(drawing); } }).observe(views);

  const seen = (view) => (p) => [dot(p, view.right) * MM, -dot(p, view.up) * MM];
  const flat = (p) => [p[0] * MM, -p[1] * MM];

  // one scale for all views: from its side, from ahead beside it and from above below it, where there is room for that
  function fit() {
    for (const name of Object.keys(figures)) {
      const view = drawing.views[name];
      const every = [...view.bodies.flat(2).map(flat), ...view.plates.flat().map(flat), ...view.wires.flat().map(flat),
        ...drawing.handles.map((handle) => seen(view)(handle.at))];
      const xs = every.map((p) => p[0]), ys = every.map((p) => p[1]);
      boxes[name] = [Math.min(...xs) - ROOM, Math.min(...ys) - ROOM, Math.max(...xs) + ROOM, Math.max(...ys) + ROOM];
    }
    const wide = (name) => boxes[name][2] - boxes[name][0], high = (name) => boxes[name][3] - boxes[name][1];
    const room = Math.max(views.clientWidth, 200), beside = room > 520;
    scale = Math.min(beside ? (room - GAP) / (wide("side") + wide("front")) : room / Math.max(wide("side"), wide("front")),
      TALLEST / Math.max(high("side"), high("top")));
    for (const [name, svg] of Object.entries(figures)) {
      svg.setAttribute("viewBox", `${boxes[name][0]} ${boxes[name][1]} ${wide(name)} ${high(name)}`);
      svg.style.width = `${Math.floor(wide(name) * scale)}px`;
    }
  }

  function draw(name) {
    const view = drawing.views[name], svg = figures[name], at = seen(view), box = boxes[name], thin = LINE / scale, dots = DOT / scale;
    const path = (loop) => `M${loop.map((p) => flat(p).map((v) => v.toFixed(2)).join(" ")).join("L")}Z`;
    const parts = [
      ...view.bodies.map((loops) => s("path", { class: "body", d: loops.map(path).join(""), "stroke-width": thin })),
      ...view.plates.map((rim) => s("path", { class: "plate", d: path(rim), "stroke-width": thin })),
      ...view.wires.map((ends) => s("path", { class: "wire", d: path(ends), "stroke-width": 2 * thin })),
      ...drawing.hangs.map((part) => { const p = at(part.at); return s("circle", { class: "hang", cx: p[0], cy: p[1], r: 0.7 * dots }); }),
      ...water(name, box, thin), ...marks(at, dots, thin),
      ...drawing.handles.filter((handle) => shows(handle, name)).map((handle) => ring(handle, name, at(handle.at), dots, thin)),
    ];
    svg.replaceChildren(...parts);
  }

  // the surface as a line across the view, through the plane on which the lure floats
  function water(name, box, thin) {
    const rest = drawing.rest;
    if (!rest || rest.height === null || name === "top") return [];
    const view = drawing.views[name], middle = [0.5 * (drawing.nose_to_tail[0] + drawing.nose_to_tail[1]), 0, 0];
    const across = dot(rest.up, view.right), up = dot(rest.up, view.up);
    const level = -rest.height - (name === "front" ? dot(rest.up, middle) : 0);
    if (Math.abs(up) < 0.05) return [];
    const y = (x) => -((level * MM - across * x) / up);
    const [a, b] = [y(box[0]), y(box[2])], floor = up > 0 ? box[3] : box[1];
    return [
      s("path", { class: "under", d: `M${box[0]} ${a}L${box[2]} ${b}L${box[2]} ${floor}L${box[0]} ${floor}Z` }),
      s("path", { class: "surface", d: `M${box[0]} ${a}L${box[2]} ${b}`, "stroke-width": 2 * thin }),
    ];
  }

  function marks(at, dots, thin) {
    const g = at(drawing.gravity), b = at(drawing.buoyancy), r = dots;
    return [
      s("path", { class: "mark", d: `M${g[0] - r} ${g[1]}H${g[0] + r}M${g[0]} ${g[1] - r}V${g[1] + r}`, "stroke-width": 1.5 * thin }),
      s("circle", { class: "mark", cx: b[0], cy: b[1], r, "stroke-width": thin }),
      s("circle", { cx: b[0], cy: b[1], r: r / 4 }),
    ];
  }

  function ring(handle, name, [x, y], dots, thin) {
    const node = s("g", {
      class: `handle ${handle.kind}`, tabindex: 0, role: "button", "data-id": handle.id, "data-view": name,
      "aria-label": `${handle.label}, ${NAMES[name]}: move with the arrow keys`,
    }, s("title", {}, handle.label), s("circle", { class: "reach", cx: x, cy: y, r: REACH / scale }),
      s("circle", { class: "dot", cx: x, cy: y, r: dots, "stroke-width": 2.4 * thin }));
    node.addEventListener("pointerdown", (event) => grab(event, nearest(event, name) ?? handle, name));
    node.addEventListener("keydown", (event) => nudge(event, handle, name));
    return node;
  }

  // rings lie close together: the one whose middle is nearest to the finger is meant
  function nearest(event, name) {
    const frame = figures[name].getBoundingClientRect(), at = seen(drawing.views[name]);
    const apart = (handle) => { const p = at(handle.at); return Math.hypot((p[0] - boxes[name][0]) * scale - (event.clientX - frame.x), (p[1] - boxes[name][1]) * scale - (event.clientY - frame.y)); };
    return drawing.handles.filter((handle) => shows(handle, name)).sort((a, b) => apart(a) - apart(b))[0];
  }

  function grab(event, handle, name) {
    event.preventDefault();
    focus(handle.id, name);
    const view = drawing.views[name], per = 1 / scale / MM;
    const begun = [event.clientX, event.clientY];
    held = { handle, point: handle.at };
    hooks.held();
    const move = (e) => {
      const right = (e.clientX - begun[0]) * per, up = -(e.clientY - begun[1]) * per;
      held.point = plus(plus(handle.at, view.right, right), view.up, up);
      hooks.trying(moved(handle, held.point));
    };
    const stop = (e) => {
      window.removeEventListener("pointermove", move);
      window.removeEventListener("pointerup", stop);
      window.removeEventListener("pointercancel", stop);
      const change = moved(handle, held.point);
      held = null;
      if (e.type === "pointercancel" || !Object.keys(change).length) hooks.letGo();
      else hooks.change(change, handle.id);
    };
    window.addEventListener("pointermove", move);
    window.addEventListener("pointerup", stop);
    window.addEventListener("pointercancel", stop);
  }

  function nudge(event, handle, name) {
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (!way) return;
    event.preventDefault();
    const view = drawing.views[name], step = event.shiftKey ? FINE : STEP;
    const nudged = waiting ?? { by: [0, 0, 0] }, queued = waiting !== null;
    nudged.by = plus(plus(nudged.by, view.right, way[0] * step), view.up, way[1] * step);
    waiting = nudged;
    // presses that come while an edit is under way are one edit after it
    if (!queued) hooks.change(() => {
      waiting = null;
      const here = drawing.handles.find((other) => other.id === handle.id) ?? handle;
      return moved(here, plus(here.at, nudged.by));
    }, handle.id, name);
  }

  function focus(id, name) {
    (room.querySelector(`[data-id="${CSS.escape(id)}"][data-view="${name ?? "side"}"]`) ?? room.querySelector(`[data-id="${CSS.escape(id)}"]`))?.focus();
  }

  return { show, focus, holding: () => held !== null };
}
