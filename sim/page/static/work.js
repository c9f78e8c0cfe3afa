// Short forms of commands: filled in, asked of the present text, answered beside the form, stopped when nobody wants them.
import { ask, Refused } from "./ask.js";
import { blocks, h } from "./dom.js";

const PAUSE = 400; // ms between two looks
let trial = null; // the proposal that is on the page

export function form(told, hooks) {
  const out = h("div", { class: "words answer", role: "status" });
  const stop = h("button", { type: "button", hidden: true }, "Stop"), send = h("button", { type: "submit" }, "Ask");
  const own = h("div", { class: "inputs" }), kinds = Object.keys(told.variants);
  const kind = kinds.length ? h("select", { name: "kind", onchange: () => fill() }, kinds.map((name) => h("option", { value: name }, name))) : null;
  let number = null, controls = [];
  stop.addEventListener("click", () => { if (number !== null) ask("study", { number, stop: true }).catch(() => {}); });

  function fill() {
    const inputs = [...told.inputs, ...(kind ? told.variants[kind.value] : [])];
    controls = inputs.map((input) => ({ ...input, node: control(input) }));
    const of = (more) => controls.filter((one) => one.more === more).map(field);
    own.replaceChildren(...of(false), ...(controls.some((one) => one.more) ? [h("details", {}, h("summary", {}, "more that can be said"), h("div", { class: "inputs" }, of(true)))] : []));
  }

  function control(input) {
    if (input.tick) return h("input", { type: "checkbox" });
    if (input.choices.length) return h("select", {}, ["", ...input.choices].map((choice) => h("option", { value: choice }, choice)));
    return h("input", { type: "text", placeholder: input.example && `such as ${input.example}`, autocomplete: "off", spellcheck: "false" });
  }

  function field(one) {
    const id = `${told.name}-${one.key}`;
    one.node.id = id;
    one.node.setAttribute("aria-describedby", `${id}-why`);
    return h("div", { class: one.tick ? "tick" : null }, h("label", { for: id }, one.label), one.node, h("span", { class: "why", id: `${id}-why` }, one.help));
  }

  const value = (node) => (node.type === "checkbox" ? (node.checked ? "yes" : "") : node.value.trim());

  async function submit(event) {
    event.preventDefault();
    if (number !== null) return;
    const given = Object.fromEntries(controls.map((one) => [one.key, value(one.node)]));
    if (kind) given.kind = kind.value;
    send.disabled = true;
    try {
      let study = await ask("study", { form: told.name, given });
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
      send.disabled = false;
      number = null;
    }
  }

  function show(study) {
    const remarks = study.remarks.map((line) => h("p", { class: study.failed ? "bad" : "quiet" }, line));
    out.replaceChildren(...(study.stopped ? [h("p", { class: "quiet" }, "Stopped.")] : [...made(study), ...blocks(study.said, 4, { change: (block) => proposal(study, block) }), ...remarks]).filter(Boolean));
  }

  // a proposal is seen as a change of the file, tried on the page, and taken or put back; one at a time is on the page
  function proposal(study, { proposal: which, lines }) {
    const rest = h("div", { class: "chooser" });
    const tried = h("button", { type: "button", class: "first", onclick: async () => {
      if (trial) await trial.back();
      const revision = await hooks.take(study.number, which);
      if (revision === null) return;
      trial = { back: async () => { trial = null; rest.replaceChildren(tried); return hooks.back(revision); } };
      rest.replaceChildren(h("span", {}, "This is on the page now."),
        h("button", { type: "button", onclick: () => { trial = null; rest.replaceChildren(h("span", { class: "quiet" }, "Taken. It is not saved yet.")); } }, "Take it"),
        h("button", { type: "button", onclick: () => trial?.back() }, "Put it back"));
    } }, "Try it on the page");
    rest.append(tried);
    const way = { "+": "plus", "-": "minus", "@": "quiet" };
    return h("div", {}, h("pre", { class: "change", tabindex: 0, "aria-label": "Change of the file" }, lines.map((line) => h("span", { class: way[line[0]] ?? null }, line.startsWith("@@") ? "\u2026\n" : `${line}\n`))), rest);
  }

  function made(study) {
    if (!study.made) return [];
    const href = `made/${study.number}/${study.made}`;
    return [h("p", { class: "chooser" }, h("a", { class: "press", href, target: "_blank", rel: "noopener" }, "Open it to print"), h("a", { class: "press", href, download: study.made }, "Save it"))];
  }

  fill();
  return h("details", { class: "form", "data-form": told.name }, h("summary", {}, h("h3", {}, told.title)),
    h("div", { class: "beside" }, h("div", {}, h("p", { class: "quiet" }, told.does),
      h("form", { onsubmit: submit }, kind && h("label", {}, h("span", {}, "of what"), kind), own, h("div", { class: "chooser" }, send, stop))), out));
}
