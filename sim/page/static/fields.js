// The fields: every value of the file, grouped by part, with what is wrong at its place.
import { h } from "./dom.js";

export function fields(room, hooks) {
  const inputs = new Map(), open = new Set([""]);
  let shape = "";
  const loose = h("div"), list = h("div");
  room.replaceChildren(h("h2", {}, "Sizes and weights"), loose, list);

  // fields stay where they are while the file has the same keys, so that what is being typed is not taken away
  function show(groups, problems) {
    const next = JSON.stringify(groups.map((group) => [group.part, group.rows.map((row) => row.path)]));
    if (next !== shape) {
      shape = next;
      build(groups);
    }
    const faults = new Map(problems.map((problem) => [problem.path, problem.message]));
    for (const row of groups.flatMap((group) => group.rows)) fill(inputs.get(row.path), row, faults.get(row.path) ?? "");
    loose.replaceChildren(...problems.filter((problem) => !inputs.has(problem.path)).map((problem) =>
      h("p", { class: "bad" }, `${problem.line ? `Line ${problem.line}: ` : ""}${problem.path ? `${problem.path}: ` : ""}${problem.message}`)));
  }

  function build(groups) {
    const focused = document.activeElement?.dataset?.path, typed = focused && inputs.get(focused)?.input.value;
    inputs.clear();
    list.replaceChildren(...groups.map((group) => {
      const given = group.rows.filter((row) => row.value !== ""), rest = group.rows.filter((row) => row.value === "");
      const details = h("details", { open: open.has(group.part) }, h("summary", {}, h("span", {}, group.part || "the lure", group.does && h("span", { class: "does" }, group.does))),
        given.map(field), rest.length > 0 && h("details", {}, h("summary", {}, "more that can be said"), rest.map(field)));
      details.addEventListener("toggle", () => (details.open ? open.add(group.part) : open.delete(group.part)));
      return details;
    }));
    const again = inputs.get(focused);
    if (again) { unfold(again.input); again.input.value = typed; again.input.focus(); }
  }

  function field(row) {
    const id = `f-${row.path}`, common = { id, "data-path": row.path, "aria-describedby": `${id}-why` };
    const input = row.choices.length ? h("select", common) : h("input", { ...common, type: "text", placeholder: row.example && `such as ${row.example}`, autocomplete: "off", spellcheck: "false" });
    const message = h("span", { class: "fault", role: "alert" }), one = { input, message, value: "" };
    input.addEventListener("change", async () => {
      if (input.value === one.value) faulty(one, "");
      one.refused = input.value !== one.value && !(await hooks.typed(row.path, input.value, (fault) => faulty(one, fault)));
    });
    inputs.set(row.path, one);
    return h("div", { class: "row-field" }, h("label", { for: id }, row.label), input, h("span", { class: "why", id: `${id}-why` }, row.help), message);
  }

  function fill(one, row, fault) {
    const { input } = one;
    if (one.refused && row.value === one.value) return; // what was typed stays to be mended
    if (row.choices.length) {
      const choices = ["", ...(row.value === "" || row.choices.includes(row.value) ? [] : [row.value]), ...row.choices];
      input.replaceChildren(...choices.map((choice) => h("option", { value: choice, selected: choice === row.value }, choice)));
    } else if (input !== document.activeElement || input.value === one.value) input.value = row.value;
    one.value = row.value;
    faulty(one, fault);
    if (fault) unfold(input);
  }

  function faulty({ input, message }, fault) {
    message.textContent = fault;
    if (fault) input.setAttribute("aria-invalid", "true"); else input.removeAttribute("aria-invalid");
  }

  function unfold(input) {
    for (let around = input.closest("details"); around; around = around.parentElement.closest("details")) around.open = true;
  }

  return { show };
}
