// What it does at each speed from each tie-on point; cells fill in behind, and a cell swims when it is pressed.
import { ask } from "./ask.js";
import { h } from "./dom.js";

const PAUSE = 350; // ms between two looks

export function bars(room, hooks) {
  let round = 0;
  const body = h("div", { class: "bar" }), note = h("p", { class: "quiet", role: "status" });
  room.replaceChildren(h("h2", {}, "At which speed, from which eye"), note, body);

  async function fill(revision) {
    const mine = ++round;
    for (;;) {
      let answer;
      try { answer = await ask("bar"); } catch { note.textContent = ""; return; }
      if (mine !== round || answer.revision !== revision) return;
      draw(answer);
      if (answer.done) { note.textContent = "Press a field to see it swim."; return; }
      note.textContent = `${answer.pulls.length} of ${answer.speeds.length * answer.tie_ons.length} pulls are done.`;
      await new Promise((next) => { setTimeout(next, PAUSE); });
      if (mine !== round) return;
    }
  }

  function stop() { round += 1; body.replaceChildren(); note.textContent = ""; }

  function draw(answer) {
    const found = new Map(answer.pulls.map((pull) => [`${pull.tie_on} ${pull.speed}`, pull]));
    const heads = h("div", { class: "row" }, h("span", { class: "quiet" }, hooks.scale("speed").unit), h("div", { class: "cells", tabindex: 0, role: "group", "aria-label": "line speeds" }, answer.speeds.map((speed) => h("span", { class: "pace" }, hooks.write("speed", speed, false)))));
    const best = [...answer.tie_ons].sort((a, b) => (a === hooks.tie() ? -1 : 0) - (b === hooks.tie() ? -1 : 0));
    body.replaceChildren(heads, ...best.map((tie) => h("div", { class: "row" }, h("span", {}, tie), h("div", { class: "cells", tabindex: 0, role: "group", "aria-label": `pulled from ${tie}` }, answer.speeds.map((speed) => {
      const pull = found.get(`${tie} ${speed}`);
      const text = pull ? pull.behaviour : "";
      return h("button", { type: "button", class: `do-${pull ? pull.name : "waiting"}`, "aria-label": `${tie} at ${hooks.write("speed", speed)}: ${text || "not known yet"}`, disabled: !pull, onclick: () => hooks.swim(tie, speed) }, text || "\u2026");
    })))));
  }

  return { fill, stop };
}
