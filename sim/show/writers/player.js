"use strict";
// The replay: draws poses that were computed beforehand. It knows no physics; it only interpolates and projects.
// Vectors are [x, y, z], quaternions [w, x, y, z]. World: x away from the angler, y left, z up, water at z = 0.
(() => {
  const player = document.getElementById("player");
  const source = document.getElementById("replay-data");
  if (!player || !source) return;
  const designs = JSON.parse(source.textContent).designs;
  const find = (role) => player.querySelector(`[data-role="${role}"]`);
  const all = (role) => [...player.querySelectorAll(`[data-role="${role}"]`)];

  const INK = "#1d2b33", QUIET = "#5a6670", PAPER = "#fbfaf6", WATER = "#dcebf1", DEEP = "#c3dbe6";
  const SURFACE = "#1b6285", LINE = "#8c2f39", TRAIL = "#b0500c", FLOOR = "#cdb486";
  const TONES = ["#f7edd3", "#efe0bb", "#e3cfa0", "#cdb486", "#a99a78", "#7c8277", "#566a6c", "#3b545c"];
  const PLATE = "rgba(120, 150, 165, 0.55)";
  const ARROWS = ["#8c2f39", "#6b3d12", "#1b6285", "#3d5a1e", "#5b3f8c", "#444b52", "#0f5f5a", "#7a4b00"];
  const VIEWS = {
    side: { right: [1, 0, 0], up: [0, 0, 1] },
    end: { right: [0, -1, 0], up: [0, 0, 1] },
    top: { right: [1, 0, 0], up: [0, 1, 0] },
  };
  const CLOSE = { side: [2.1, 1.25], end: [1.1, 1.1], top: [1.8, 0.9] }; // lengths of the lure that fit into a view

  // ---- vectors ---------------------------------------------------------------------------------------
  const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
  const plus = (a, b, k = 1) => [a[0] + k * b[0], a[1] + k * b[1], a[2] + k * b[2]];
  const minus = (a, b) => plus(a, b, -1);
  const size = (a) => Math.hypot(a[0], a[1], a[2]);
  const matrix = ([w, x, y, z]) => [
    [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
    [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
    [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
  ];
  const turned = (m, v) => [dot(m[0], v), dot(m[1], v), dot(m[2], v)];

  // ---- data ------------------------------------------------------------------------------------------
  function unpacked(table) {
    const text = atob(table.data);
    const columns = table.low.length;
    const rows = [];
    for (let row = 0, at = 0; row < table.rows; row += 1) {
      const values = new Float64Array(columns);
      for (let k = 0; k < columns; k += 1) {
        if (table.step[k] === 0) {
          values[k] = table.low[k];
          continue;
        }
        let whole = text.charCodeAt(at);
        at += 1;
        if (table.bits === 16) {
          whole += 256 * text.charCodeAt(at);
          at += 1;
        }
        values[k] = table.low[k] + table.step[k] * whole;
      }
      rows.push(values);
    }
    return rows;
  }

  function between(rows, at) {
    const k = Math.max(0, Math.min(Math.floor(at), rows.length - 1));
    const next = rows[Math.min(k + 1, rows.length - 1)];
    const part = Math.max(0, Math.min(at - k, 1));
    return Array.from(rows[k], (value, column) => value + part * (next[column] - value));
  }

  for (const design of designs) {
    for (const body of design.bodies) prepare(body);
  }

  function prepare(body) {
    body.points = unpacked(body.vertices);
    body.corners = unpacked(body.faces).map((row) => Array.from(row, Math.round));
    body.shade = unpacked(body.tones).map((row) => Math.round(row[0]));
    body.edges = new Map();
    body.corners.forEach((face, index) => {
      for (let k = 0; k < 3; k += 1) {
        const a = face[k], b = face[(k + 1) % 3];
        const key = Math.min(a, b) * 65536 + Math.max(a, b);
        if (!body.edges.has(key)) body.edges.set(key, { a, b, faces: [] });
        body.edges.get(key).faces.push(index);
      }
    });
  }

  const opened = new WeakMap();
  function tables(motion) {
    if (!opened.has(motion)) {
      opened.set(motion, {
        poses: unpacked(motion.poses),
        line: motion.line ? unpacked(motion.line) : null,
        forces: motion.forces.map((force) => unpacked(force.newton)),
      });
    }
    return opened.get(motion);
  }

  // Everything about one design at one moment of one motion.
  function moment(design, motion, time) {
    const { poses, line, forces } = tables(motion);
    const rate = (poses.length - 1) / motion.seconds;
    const at = Math.min(time, motion.seconds) * rate;
    const row = between(poses, at);
    const norm = Math.hypot(row[3], row[4], row[5], row[6]);
    const axes = matrix(row.slice(3, 7).map((value) => value / norm));
    const origin = row.slice(0, 3);
    const world = (point) => plus(origin, turned(axes, point));
    const k = Math.min(Math.floor(at), poses.length - 2);
    const velocity = [0, 1, 2].map((c) => (poses[k + 1][c] - poses[k][c]) * rate);
    return {
      axes, origin, world, velocity,
      tension: row[7],
      middle: world(design.middle),
      line: line ? lineShape(world(motion.tie_at), between(line, at / motion.line_every)) : [],
      forces: motion.forces.map((force, index) => ({
        name: force.name,
        at: world(force.at),
        newton: between(forces[index], at / motion.force_every),
      })),
      trail: (seconds) => {
        const first = seconds === null ? 0 : Math.max(0, Math.floor(at - seconds * rate));
        const step = Math.max(1, Math.floor((at - first) / 400));
        const points = [];
        for (let i = first; i < at; i += step) points.push(centre(design, poses[i]));
        points.push(world(design.middle));
        return points;
      },
    };
  }

  function centre(design, row) {
    const norm = Math.hypot(row[3], row[4], row[5], row[6]);
    return plus([row[0], row[1], row[2]], turned(matrix([3, 4, 5, 6].map((k) => row[k] / norm)), design.middle));
  }

  // From the lure up to the rod tip, which comes first in a row.
  function lineShape(tie, row) {
    const points = [tie];
    for (let k = row.length - 3; k >= 0; k -= 3) points.push(row.slice(k, k + 3));
    return points;
  }

  // ---- drawing ---------------------------------------------------------------------------------------
  class Sheet {
    constructor(canvas) {
      this.canvas = canvas;
      this.pen = canvas.getContext("2d");
      this.view = VIEWS[canvas.dataset.view];
      this.kind = canvas.dataset.view;
    }

    // Fit the canvas to its place on the page, at the screen's own fineness.
    fit() {
      const fine = Math.min(window.devicePixelRatio || 1, 2);
      this.width = this.canvas.clientWidth;
      this.height = this.canvas.clientHeight;
      const wide = Math.round(this.width * fine), tall = Math.round(this.height * fine);
      if (this.canvas.width !== wide || this.canvas.height !== tall) {
        this.canvas.width = wide;
        this.canvas.height = tall;
      }
      this.pen.setTransform(fine, 0, 0, fine, 0, 0);
    }

    // Look at a world point, so many pixels to the metre; `flip` looks from the other side.
    look(at, scale, flip) {
      const sign = flip ? -1 : 1;
      this.right = this.view.right.map((value) => sign * value);
      this.up = this.kind === "top" ? this.view.up.map((value) => sign * value) : this.view.up;
      this.toward = cross(this.right, this.up);
      this.at = at;
      this.scale = scale;
    }

    place(point) {
      const away = minus(point, this.at);
      return [
        this.width / 2 + this.scale * dot(away, this.right),
        this.height / 2 - this.scale * dot(away, this.up),
      ];
    }

    path(points, close = false) {
      this.pen.beginPath();
      points.forEach(([x, y], k) => (k ? this.pen.lineTo(x, y) : this.pen.moveTo(x, y)));
      if (close) this.pen.closePath();
    }

    stroke(points, colour, width, dashes = []) {
      this.path(points);
      this.pen.strokeStyle = colour;
      this.pen.lineWidth = width;
      this.pen.setLineDash(dashes);
      this.pen.stroke();
      this.pen.setLineDash([]);
    }

    label(text, x, y, colour = INK) {
      const { pen } = this;
      pen.font = "12px system-ui, sans-serif";
      const wide = pen.measureText(text).width;
      const left = Math.max(3, Math.min(x, this.width - wide - 3));
      const base = Math.max(13, Math.min(y, this.height - 5));
      pen.fillStyle = "rgba(251, 250, 246, 0.86)";
      pen.fillRect(left - 2, base - 11, wide + 4, 15);
      pen.fillStyle = colour;
      pen.fillText(text, left, base);
    }

    water(floor) {
      const { pen, width, height } = this;
      if (this.kind === "top") {
        pen.fillStyle = WATER;
        pen.fillRect(0, 0, width, height);
        this.grid(this.right, this.up);
        return;
      }
      pen.fillStyle = PAPER;
      pen.fillRect(0, 0, width, height);
      const level = this.place([this.at[0], this.at[1], 0])[1];
      const shade = pen.createLinearGradient(0, level, 0, level + Math.max(height, this.scale));
      shade.addColorStop(0, WATER);
      shade.addColorStop(1, DEEP);
      pen.fillStyle = shade;
      pen.fillRect(0, Math.max(0, level), width, height);
      this.grid(this.right, [0, 0, 1]);
      if (level > -2 && level < height + 2) this.stroke([[0, level], [width, level]], SURFACE, 2);
      const ground = this.place([this.at[0], this.at[1], floor])[1];
      if (ground < height) {
        pen.fillStyle = FLOOR;
        pen.fillRect(0, Math.max(0, ground), width, height);
      }
    }

    // Small crosses that stand still in the water, and a bar that says how far apart they are.
    grid(across, upward) {
      const step = nice(70 / this.scale);
      const x0 = dot(this.at, across), y0 = dot(this.at, upward);
      const half = this.width / 2 / this.scale, tall = this.height / 2 / this.scale;
      this.pen.beginPath();
      for (let x = Math.ceil((x0 - half) / step) * step; x <= x0 + half; x += step) {
        for (let y = Math.ceil((y0 - tall) / step) * step; y <= y0 + tall; y += step) {
          if (this.kind !== "top" && y > step / 2) continue;
          const px = this.width / 2 + (x - x0) * this.scale, py = this.height / 2 - (y - y0) * this.scale;
          this.pen.moveTo(px - 3, py);
          this.pen.lineTo(px + 3, py);
          this.pen.moveTo(px, py - 3);
          this.pen.lineTo(px, py + 3);
        }
      }
      this.pen.strokeStyle = "rgba(27, 98, 133, 0.35)";
      this.pen.lineWidth = 1;
      this.pen.stroke();
      this.step = step;
    }

    ruler() {
      const wide = this.step * this.scale, y = this.height - 9;
      this.stroke([[8, y - 4], [8, y], [8 + wide, y], [8 + wide, y - 4]], INK, 1.5);
      this.label(distance(this.step), 14 + wide, this.height - 6);
    }

    // The lure; `grow` draws it larger than it is, about its middle.
    lure(design, now, grow) {
      const show = (point) => {
        const at = now.world(point);
        return this.place(plus(now.middle, minus(at, now.middle), grow));
      };
      const deep = (point) => dot(turned(now.axes, point), this.toward);
      const pieces = [];
      for (const body of design.bodies) {
        pieces.push({ depth: deep(mean(body.points)), draw: () => this.body(body, show) });
      }
      for (const rim of design.plates) {
        pieces.push({
          depth: deep(mean(rim)),
          draw: () => {
            this.path(rim.map(show), true);
            this.pen.fillStyle = PLATE;
            this.pen.fill();
            this.pen.strokeStyle = INK;
            this.pen.lineWidth = 1.2;
            this.pen.stroke();
          },
        });
      }
      for (const ends of design.wires) {
        pieces.push({ depth: deep(mean(ends)), draw: () => this.stroke(ends.map(show), INK, 2) });
      }
      for (const hook of design.hooks) {
        pieces.push({ depth: deep(hook.at), draw: () => this.hook(hook, show(hook.at), now, grow) });
      }
      pieces.sort((a, b) => a.depth - b.depth);
      for (const piece of pieces) piece.draw();
    }

    body(body, show) {
      const { pen } = this;
      const at = body.points.map(show);
      const facing = body.corners.map(([a, b, c]) => {
        const [ax, ay] = at[a], [bx, by] = at[b], [cx, cy] = at[c];
        return (bx - ax) * (cy - ay) - (by - ay) * (cx - ax) < 0;
      });
      const fill = (wanted, colour) => {
        pen.beginPath();
        body.corners.forEach((face, k) => {
          if (!facing[k] || !wanted(body.shade[k])) return;
          pen.moveTo(...at[face[0]]);
          pen.lineTo(...at[face[1]]);
          pen.lineTo(...at[face[2]]);
          pen.closePath();
        });
        pen.fillStyle = colour;
        pen.fill();
      };
      // each tone over all that is darker, so that no paper shows through the seams
      for (let tone = TONES.length - 1; tone >= 0; tone -= 1) fill((own) => own <= tone, TONES[tone]);
      pen.beginPath();
      for (const { a, b, faces } of body.edges.values()) {
        if (faces.length !== 2 || facing[faces[0]] === facing[faces[1]]) continue;
        pen.moveTo(...at[a]);
        pen.lineTo(...at[b]);
      }
      pen.strokeStyle = INK;
      pen.lineWidth = 1.4;
      pen.lineCap = "round";
      pen.stroke();
    }

    // A hook that hangs from its hanger and trails behind when pulled. Drawn so; the sums take its weight there.
    hook(hook, [x, y], now, grow) {
      const hang = plus([0, 0, -1], now.velocity, -2);
      const length = size(hang) || 1;
      let dx = dot(hang, this.right) / length, dy = -dot(hang, this.up) / length;
      const seen = Math.hypot(dx, dy);
      const long = hook.size * this.scale * grow * 0.7 * Math.max(seen, 0.25);
      if (seen < 1e-3) [dx, dy] = [0, 1];
      else [dx, dy] = [dx / seen, dy / seen];
      const wide = hook.size * this.scale * grow * 0.28;
      const point = (along, across) => [x + dx * along - dy * across, y + dy * along + dx * across];
      this.stroke([[x, y], point(long, 0)], QUIET, 1.6);
      for (const side of hook.points === 1 ? [1] : [-1, 1]) {
        const bow = [0, 0.25, 0.5, 0.75, 1].map((t) => {
          const turn = Math.PI * t;
          return point(long + 0.35 * wide * Math.sin(turn) - 0.8 * wide * t, (side * wide * (1 - Math.cos(turn))) / 2);
        });
        this.stroke(bow, QUIET, 1.6);
      }
    }

    arrows(now, longest) {
      const { pen } = this;
      const reach = 0.32 * Math.min(this.width, this.height);
      now.forces.forEach((force, index) => {
        const [x, y] = this.place(force.at);
        const px = (dot(force.newton, this.right) / longest) * reach;
        const py = (-dot(force.newton, this.up) / longest) * reach;
        const long = Math.hypot(px, py);
        const colour = ARROWS[index % ARROWS.length];
        if (long < 4) return;
        const [ux, uy] = [px / long, py / long], head = Math.min(8, long * 0.6);
        this.stroke([[x, y], [x + px - ux * head, y + py - uy * head]], colour, 2.4);
        this.path(
          [
            [x + px, y + py],
            [x + px - ux * head - uy * head * 0.5, y + py - uy * head + ux * head * 0.5],
            [x + px - ux * head + uy * head * 0.5, y + py - uy * head - ux * head * 0.5],
          ],
          true,
        );
        pen.fillStyle = colour;
        pen.fill();
        this.label(String(index + 1), x + px + 7 * ux - 3, y + py + 9 * uy + 4, colour);
      });
    }
  }

  const mean = (points) => {
    let sum = [0, 0, 0];
    for (const point of points) sum = plus(sum, point);
    return sum.map((value) => value / points.length);
  };

  // The roundest step that is at least so long: 1, 2 or 5 times a power of ten.
  function nice(least) {
    const power = 10 ** Math.floor(Math.log10(least));
    return [1, 2, 5, 10].map((k) => k * power).find((step) => step >= least);
  }

  // ---- words -----------------------------------------------------------------------------------------
  const units = JSON.parse(player.dataset.units);
  const figure = (value, places) => {
    const text = value.toFixed(places);
    return Number(text) === 0 ? text.replace("-", "") : text;
  };
  function distance(metres) {
    const far = metres * units.distance.factor;
    if (Math.abs(far) >= 1) return `${figure(far, far === Math.round(far) ? 0 : 2)} ${units.distance.unit}`;
    const near = metres * units.short.factor;
    return `${figure(near, Math.abs(near) < 5 && near !== Math.round(near) ? 1 : 0)} ${units.short.unit}`;
  }
  const newton = (force) => `${figure(force * units.force.factor, units.force.places)} ${units.force.unit}`;
  const degrees = (value) => `${figure((value * 180) / Math.PI, 0)}°`;

  function readout(motion, now, time) {
    const nose = Math.asin(Math.max(-1, Math.min(1, now.axes[2][0])));
    const roll = Math.atan2(now.axes[2][1], now.axes[2][2]);
    const deep = -now.middle[2];
    const said = [
      deep >= 0 ? `${distance(deep)} deep` : `${distance(-deep)} up`,
      `nose ${degrees(Math.abs(nose))} ${nose < 0 ? "down" : "up"}`,
      `roll ${degrees(Math.abs(roll))} ${roll < 0 ? "left" : "right"}`,
    ];
    if (motion.line) said.push(now.tension > 0 ? `line ${newton(now.tension)}` : "line slack");
    if (time >= motion.seconds) said.push("ended");
    return said.join(" · ");
  }

  // ---- the player ------------------------------------------------------------------------------------
  const choice = find("motion"), play = find("play"), scrub = find("scrub"), pace = find("pace");
  const zoom = find("zoom"), trail = find("trail"), arrows = find("forces"), clock = find("clock");
  const panels = all("panel").map((panel, k) => ({
    design: designs[k],
    sheets: [...panel.querySelectorAll("canvas")].map((canvas) => new Sheet(canvas)),
    readout: panel.querySelector('[data-role="readout"]'),
    legend: panel.querySelector('[data-role="legend"]'),
    note: panel.querySelector('[data-role="note"]'),
  }));
  const motions = () => panels.map(({ design }) => design.motions[Number(choice.value)]);
  const seconds = () => Math.max(...motions().map((motion) => motion.seconds));
  let time = 0, playing = false, before = null;

  function whole(sheet, design, motion) {
    const { poses, line } = tables(motion);
    const points = [];
    for (let k = 0; k < poses.length; k += Math.max(1, Math.floor(poses.length / 200))) {
      points.push(centre(design, poses[k]));
    }
    if (line) points.push(Array.from(line[0].slice(0, 3)));
    points.push([points[0][0], points[0][1], 0]);
    const spread = (axis) => {
      const values = points.map((point) => dot(point, axis));
      return [Math.min(...values), Math.max(...values)];
    };
    const [left, right] = spread(sheet.right), [low, high] = spread(sheet.up);
    const wide = Math.max(right - left, 2 * design.length), tall = Math.max(high - low, 2 * design.length);
    const scale = Math.min((0.84 * sheet.width) / wide, (0.74 * sheet.height) / tall);
    return { at: plus(sheet.right.map((v) => (v * (left + right)) / 2), sheet.up, (low + high) / 2), scale };
  }

  function drawPanel(panel, motion) {
    const { design } = panel;
    const now = moment(design, motion, time);
    const flip = motion.kind === "drop"; // let go with its nose away from the angler: show it to the left
    const longest = motion.forces.length
      ? Math.max(...tables(motion).forces.map((rows) => strong(rows)))
      : 1;
    let enlarged = 1;
    for (const sheet of panel.sheets) {
      sheet.fit();
      if (!sheet.width || !sheet.height) continue;
      let grow = 1;
      const [wide, tall] = CLOSE[sheet.kind].map((times) => times * design.length);
      sheet.look(now.middle, Math.min(sheet.width / wide, sheet.height / tall), flip);
      if (zoom.value === "whole") {
        const fit = whole(sheet, design, motion);
        sheet.look(fit.at, fit.scale, flip);
        grow = Math.max(1, 34 / (design.length * fit.scale));
        enlarged = Math.max(enlarged, grow);
      }
      sheet.water(design.floor);
      if (trail.checked) {
        sheet.stroke(now.trail(zoom.value === "whole" ? null : 1.5).map((p) => sheet.place(p)), TRAIL, 1.8, [5, 3]);
      }
      if (now.line.length) {
        const taut = now.tension > 0;
        sheet.stroke(now.line.map((p) => sheet.place(p)), LINE, 1.5, taut ? [] : [3, 4]);
      }
      sheet.lure(design, now, grow);
      if (now.line.length) {
        const [x, y] = sheet.place(plus(now.middle, minus(now.line[0], now.middle), grow));
        sheet.pen.beginPath();
        sheet.pen.arc(x, y, 3, 0, 2 * Math.PI);
        sheet.pen.fillStyle = PAPER;
        sheet.pen.fill();
        sheet.pen.strokeStyle = LINE;
        sheet.pen.lineWidth = 1.5;
        sheet.pen.stroke();
      }
      if (arrows.checked && zoom.value !== "whole") sheet.arrows(now, longest);
      sheet.ruler();
    }
    panel.readout.textContent = readout(motion, now, time);
    panel.note.textContent = enlarged > 1.05 ? `Lure drawn up to ${figure(enlarged, 0)} times its size.` : "";
    legend(panel, now);
  }

  // The greatest force of a source, a start's short jerk left out.
  const strongest = new WeakMap();
  function strong(rows) {
    if (!strongest.has(rows)) {
      const sizes = [...rows].map(size).sort((a, b) => a - b);
      strongest.set(rows, Math.max(sizes[Math.floor(0.98 * (sizes.length - 1))], 1e-9));
    }
    return strongest.get(rows);
  }

  // One entry for each arrow: its number, what it is, how strong it is now.
  function legend(panel, now) {
    panel.legend.hidden = !arrows.checked;
    if (!arrows.checked) return;
    if (zoom.value === "whole") {
      panel.legend.replaceChildren(entry("", "Arrows are drawn in the close view.", INK));
      return;
    }
    panel.legend.replaceChildren(
      ...now.forces.map((force, k) =>
        entry(String(k + 1), `${force.name} ${newton(size(force.newton))}`, ARROWS[k % ARROWS.length]),
      ),
    );
  }

  function entry(number, text, colour) {
    const item = document.createElement("li"), mark = document.createElement("b");
    mark.textContent = number ? `${number} ` : "";
    mark.style.color = colour;
    item.append(mark, text);
    return item;
  }

  function draw() {
    motions().forEach((motion, k) => drawPanel(panels[k], motion));
    scrub.value = String(Math.round(1000 * time));
    const said = `${figure(time, 2)} s of ${figure(seconds(), 1)} s`;
    scrub.setAttribute("aria-valuetext", said);
    clock.textContent = said;
  }

  function tick(stamp) {
    if (!playing) return;
    if (before !== null) time += ((stamp - before) / 1000) * Number(pace.value);
    before = stamp;
    if (time >= seconds()) {
      time = seconds();
      setPlaying(false);
    }
    draw();
    if (playing) requestAnimationFrame(tick);
  }

  function setPlaying(on) {
    playing = on;
    play.textContent = on ? "Stop" : "Play";
    play.setAttribute("aria-pressed", String(on));
    before = null;
    if (!on) return;
    if (time >= seconds()) time = 0;
    requestAnimationFrame(tick);
  }

  function goTo(moment_) {
    time = Math.max(0, Math.min(moment_, seconds()));
    draw();
  }

  function choose() {
    scrub.max = String(10 * Math.ceil(100 * seconds())); // a whole number of the control's steps
    setPlaying(false);
    goTo(0);
  }

  play.addEventListener("click", () => setPlaying(!playing));
  scrub.addEventListener("input", () => {
    setPlaying(false);
    goTo(Number(scrub.value) / 1000);
  });
  choice.addEventListener("change", choose);
  for (const control of [zoom, trail, arrows]) control.addEventListener("change", draw);
  window.addEventListener("resize", draw);

  player.addEventListener("keydown", (event) => {
    const own = event.target.matches("select, input[type=range]");
    const steps = { ArrowLeft: -0.05, ArrowRight: 0.05 };
    if (event.key === " " && !event.target.matches("select, button, input[type=checkbox]")) {
      setPlaying(!playing);
    } else if (!own && event.key in steps) {
      setPlaying(false);
      goTo(time + steps[event.key] * (event.shiftKey ? 10 : 1));
    } else if (!own && (event.key === "Home" || event.key === "End")) {
      setPlaying(false);
      goTo(event.key === "Home" ? 0 : seconds());
    } else {
      return;
    }
    event.preventDefault();
  });

  // A finger or the mouse drawn across a picture moves through time; a tap plays or stops.
  for (const canvas of player.querySelectorAll("canvas")) {
    let from = null;
    canvas.addEventListener("pointerdown", (event) => {
      from = { x: event.clientX, time, moved: false };
      canvas.setPointerCapture(event.pointerId);
    });
    canvas.addEventListener("pointermove", (event) => {
      if (from === null) return;
      const way = event.clientX - from.x;
      if (Math.abs(way) < 6 && !from.moved) return;
      from.moved = true;
      setPlaying(false);
      goTo(from.time + (way / canvas.clientWidth) * Math.min(seconds(), 4));
    });
    canvas.addEventListener("pointerup", () => {
      if (from !== null && !from.moved) setPlaying(!playing);
      from = null;
    });
    canvas.addEventListener("pointercancel", () => {
      from = null;
    });
  }

  player.hidden = false;
  choose();
})();
