// Where the eye could sit, over the lure seen from its side: what it does there; a place that is pressed is chosen.
import { h, s } from "./dom.js";

const MM = 1000, ROOM = 3;

export function map(room, hooks) {
  const svg = s("svg", { class: "view map", role: "group" }), said = h("p", { role: "status" });
  const key = h("p", { class: "key" }), words = h("div", { class: "words" });
  let cells = new Map(), shape = "", at = null, latest = null;
  room.replaceChildren(h("h2", {}, "Where to put the eye"), said, svg, key, words);

  function show({ map: found, of, found: count, done }) {
    latest = found;
    const next = JSON.stringify([found.paths, found.back, found.up, hooks.drawing().handles]);
    if (next !== shape) { shape = next; draw(found); }
    for (const cell of found.cells) {
      const node = cells.get(`${cell.column} ${cell.row}`);
      if (node.dataset.known) continue;
      node.dataset.known = "true";
      node.setAttribute("class", `place do-${cell.does}`);
      node.setAttribute("aria-label", `${cell.said} Put the eye here.`);
      node.removeAttribute("aria-disabled");
      node.querySelector("text").textContent = cell.letter;
      node.querySelector("title").textContent = cell.said;
    }
    if (!at) said.textContent = done ? `${found.tie_on} at ${hooks.pace()}: press a place to put the eye there.` : `${found.tie_on} at ${hooks.pace()}: ${count} of ${of} pulls are done.`;
    key.replaceChildren(...found.key.map((kind) => h("span", {}, h("b", { class: `chip do-${kind.does}` }, kind.letter), kind.word)));
    words.replaceChildren(...hooks.blocks(found.said));
  }

  function draw(found) {
    const view = hooks.drawing().views.side, flat = (p) => [p[0] * MM, -p[1] * MM];
    const place = (back, up) => [-back * view.right[0] * MM, -up * MM];
    const wide = MM * step(found.back), high = MM * step(found.up);
    const loops = [...view.bodies.flat(), ...view.plates].map((loop) => loop.map(flat));
    const corners = [place(found.back[0], found.up[0]), place(found.back.at(-1), found.up.at(-1))];
    const xs = corners.map((p) => p[0]), [first, last] = [Math.min(...xs) - 0.7 * wide, Math.max(...xs) + 0.7 * wide];
    const ys = [...loops.flat().filter((p) => p[0] > first && p[0] < last), ...corners].map((p) => p[1]);
    const low = [first, Math.min(...ys) - high / 2 - ROOM];
    const size = [last - first, Math.max(...ys) + high / 2 + ROOM - low[1]];
    svg.setAttribute("viewBox", [...low, ...size].join(" "));
    svg.setAttribute("aria-label", `What it does, over where ${found.tie_on} is put; move between places with the arrow keys`);
    const thin = Math.max(...size) / 300, path = (loop) => `M${loop.map((p) => p.map((v) => v.toFixed(2)).join(" ")).join("L")}Z`;
    cells = new Map();
    const none = new Set(found.none.map(([i, j]) => `${i} ${j}`));
    found.back.forEach((back, i) => found.up.forEach((up, j) => {
      if (none.has(`${i} ${j}`)) return;
      const [x, y] = place(back, up);
      const node = s("g", { class: "place do-waiting", role: "button", tabindex: -1, "aria-disabled": "true", "aria-label": "not known yet", "data-place": `${i} ${j}` },
        s("title"), s("rect", { x: x - wide / 2, y: y - high / 2, width: wide, height: high, "stroke-width": thin }),
        s("text", { x, y: y + high * 0.16, "text-anchor": "middle" }));
      node.lastChild.style.fontSize = `${Math.min(wide, high) * 0.5}px`;
      node.addEventListener("click", () => choose(i, j));
      node.addEventListener("keydown", (event) => step_to(event, i, j));
      node.addEventListener("pointerenter", () => say(i, j));
      node.addEventListener("focus", () => say(i, j));
      node.addEventListener("pointerleave", () => { at = null; });
      node.addEventListener("blur", () => { at = null; });
      cells.set(`${i} ${j}`, node);
    }));
    const eye = hooks.drawing().handles.find((handle) => handle.id === `tie_on.${found.tie_on}.at`)?.at;
    const [x, y] = eye ? place(-eye[0], eye[2]) : [0, 0];
    svg.replaceChildren(...cells.values(), s("g", { class: "over" }, loops.map((loop) => s("path", { d: path(loop), "stroke-width": 1.6 * thin })),
      eye && s("circle", { class: "eye", cx: x, cy: y, r: Math.min(wide, high) * 0.42, "stroke-width": 3 * thin })));
    nearest(found, eye)?.setAttribute("tabindex", 0);
  }

  const step = (values) => Math.abs(values.at(-1) - values[0]) / (values.length - 1);

  function nearest(found, eye) {
    const close = (values, value) => values.reduce((best, one, k) => (Math.abs(one - value) < Math.abs(values[best] - value) ? k : best), 0);
    return cells.get(`${close(found.back, eye ? -eye[0] : 0)} ${close(found.up, eye ? eye[2] : 0)}`) ?? cells.values().next().value;
  }

  function say(i, j) {
    at = latest?.cells.find((cell) => cell.column === i && cell.row === j) ?? null;
    if (at) said.textContent = at.said;
  }

  function choose(i, j) {
    if (!cells.get(`${i} ${j}`).dataset.known) return;
    const [back, up] = latest.paths;
    hooks.change({ [back]: { value: latest.back[i], dimension: "length" }, [up]: { value: latest.up[j], dimension: "length" } });
  }

  function step_to(event, i, j) {
    if (event.key === "Enter" || event.key === " ") { event.preventDefault(); choose(i, j); return; }
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (!way) return;
    event.preventDefault();
    const mirrored = hooks.drawing().views.side.right[0] > 0 ? -1 : 1;
    const [across, upward] = [mirrored * way[0], way[1]];
    let [k, l] = [i + across, j + upward];
    while (latest.back[k] !== undefined && latest.up[l] !== undefined && !cells.has(`${k} ${l}`)) { k += across; l += upward; } // over what is no place
    const next = cells.get(`${k} ${l}`);
    if (!next) return;
    for (const node of cells.values()) node.setAttribute("tabindex", -1);
    next.setAttribute("tabindex", 0);
    next.focus();
  }

  function stop(clear) {
    said.textContent = "";
    if (!clear) return;
    shape = ""; at = null;
    svg.replaceChildren(); key.replaceChildren(); words.replaceChildren();
  }

  return { show, stop };
}
