// Long questions: asked of the present text, answered when ready, stopped when nobody wants them.
import { ask, Refused } from "./ask.js";
import { h } from "./dom.js";

const PAUSE = 500; // ms between two looks

// One form: fields become the words of a command; FILE stands for the present text.
export function form(name, does, inputs, words, hooks) {
  const out = h("div", { role: "status" }), stop = h("button", { type: "button", hidden: true }, "Stop");
  const controls = inputs.map((input) => ({ ...input, node: input.choices
    ? h("select", {}, input.choices.map((choice) => h("option", { value: choice }, choice)))
    : h("input", { type: "text", placeholder: input.example ?? "", autocomplete: "off" }) }));
  let number = null;
  stop.addEventListener("click", () => { if (number !== null) ask("study", { number, stop: true }).catch(() => {}); });
  const send = async (event) => {
    event.preventDefault();
    const given = Object.fromEntries(controls.map((control) => [control.name, control.node.value.trim()]));
    try {
      await hooks.ready();
      let study = await ask("study", { words: words(given) });
      number = study.number;
      stop.hidden = false;
      while (study.running) {
        out.replaceChildren(h("p", { class: "quiet" }, study.progress || "At work."));
        await new Promise((next) => { setTimeout(next, PAUSE); });
        study = await ask("study", { number });
      }
      show(study);
    } catch (problem) {
      if (!(problem instanceof Refused)) throw problem;
      out.replaceChildren(h("p", { class: "bad" }, problem.message));
    } finally {
      stop.hidden = true;
      number = null;
    }
  };
  function show(study) {
    const stopped = study.status !== null && study.status < 0;
    out.replaceChildren(...[
      study.said && h("pre", { tabindex: 0 }, study.said.trimEnd()),
      study.problem && !stopped && h("p", { class: "bad" }, study.problem.trim()),
      stopped && h("p", { class: "quiet" }, "Stopped."), ...takes(study)].filter(Boolean));
  }
  // a patch in the answer can be tried on the page, as a change of the file
  function takes(study) {
    const patch = patchIn(study.said);
    if (!patch || study.revision !== hooks.revision()) return [];
    const text = patched(hooks.text(), patch);
    return text ? [h("button", { type: "button", onclick: () => hooks.take(text) }, "Try the first proposal on the page")] : [];
  }
  return h("div", { class: "form" }, h("h3", {}, name), h("p", { class: "quiet" }, does),
    h("form", { onsubmit: send }, controls.map((control) => h("label", {}, control.label, control.node)), h("button", { type: "submit" }, "Ask"), stop), out);
}

// the first unified diff in a page of text
export function patchIn(text) {
  const lines = text.split("\n"), begin = lines.findIndex((line) => line.startsWith("--- "));
  if (begin < 0) return null;
  const hunk = [];
  for (const line of lines.slice(begin + 2)) {
    if (!/^[ +\-@\\]/.test(line) && line !== "") break;
    hunk.push(line);
  }
  return hunk;
}

// a text with a unified diff carried out; null if it does not fit
export function patched(text, hunks) {
  const source = text.split("\n"), out = [];
  let at = 0;
  for (const line of hunks) {
    const head = /^@@ -(\d+)(?:,(\d+))? \+/.exec(line);
    if (head) {
      const start = Number(head[1]) - (head[2] === "0" ? 0 : 1);
      while (at < start) out.push(source[at++]);
    } else if (line.startsWith("+")) out.push(line.slice(1));
    else if (line.startsWith("-")) { if (source[at++] !== line.slice(1)) return null; }
    else if (line.startsWith(" ")) { if (source[at] !== line.slice(1)) return null; out.push(source[at++]); }
  }
  while (at < source.length) out.push(source[at++]);
  return out.join("\n");
}
