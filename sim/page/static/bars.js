// What it does at each speed from each tie-on point; a cell swims when it is pressed.
import { h } from "./dom.js";

export function bars(room, hooks) {
  const body = h("div", { class: "bar" }), note = h("p", { class: "quiet", role: "status" });
  room.replaceChildren(h("h2", {}, "At which speed, from which eye"), note, body);

  function show({ bar, done }) {
    const all = bar.speeds.length * bar.tie_ons.length;
    note.textContent = bar.pulls.length === all || done ? "Press a field to see it swim." : `${bar.pulls.length} of ${all} pulls are done.`;
    const found = new Map(bar.pulls.map((pull) => [`${pull.tie_on} ${pull.speed}`, pull]));
    const heads = h("div", { class: "row" }, h("span", { class: "quiet" }, hooks.scale("speed").unit), h("div", { class: "cells", tabindex: 0, role: "group", "aria-label": "line speeds" }, bar.speeds.map((speed) => h("span", { class: "pace" }, hooks.write("speed", speed, false)))));
    const best = [...bar.tie_ons].sort((a, b) => (a === hooks.tie() ? -1 : 0) - (b === hooks.tie() ? -1 : 0));
    const kept = [...body.querySelectorAll(".cells")].map((cells) => cells.scrollLeft), at = document.activeElement?.dataset?.pull;
    body.replaceChildren(heads, ...best.map((tie) => h("div", { class: "row" }, h("span", {}, tie), h("div", { class: "cells", tabindex: 0, role: "group", "aria-label": `pulled from ${tie}` }, bar.speeds.map((speed) => {
      const pull = found.get(`${tie} ${speed}`), text = pull?.word ?? "";
      return h("button", { type: "button", class: `do-${pull?.does ?? "waiting"}`, "data-pull": `${tie} ${speed}`, "aria-label": `${tie} at ${hooks.write("speed", speed)}: ${text || "not known yet"}`, disabled: !pull, onclick: () => hooks.swim(tie, speed) }, text || "\u2026");
    })))));
    body.querySelectorAll(".cells").forEach((cells, k) => { cells.scrollLeft = kept[k] ?? 0; });
    if (at) body.querySelector(`[data-pull="${CSS.escape(at)}"]`)?.focus();
  }

  function stop(clear) { note.textContent = ""; if (clear) body.replaceChildren(); }

  return { show, stop };
}
