// The fields: every value of the file, grouped by part, with what is wrong at its place.
import { h } from "./dom.js";

export function fields(room, hooks) {
  const inputs = new Map();
  let open = new Set([""]);
  room.replaceChildren(h("h2", {}, "Sizes and weights"));

  function show(groups, problems) {
    const faults = new Map(problems.map((problem) => [problem.path, problem.message]));
    const focused = document.activeElement?.dataset?.path;
    inputs.clear();
    const list = groups.map((group) => {
      const faulty = group.rows.some((row) => faults.has(row.path));
      const details = h("details", { open: open.has(group.part) || faulty },
        h("summary", {}, group.part || "the lure"), group.does && h("p", { class: "quiet" }, group.does),
        given(group.rows).map((row) => field(row, faults.get(row.path) ?? "")),
        more(group.rows, faults));
      details.addEventListener("toggle", () => (details.open ? open.add(group.part) : open.delete(group.part)));
      return details;
    });
    const loose = problems.filter((problem) => !inputs.has(problem.path));
    room.replaceChildren(h("h2", {}, "Sizes and weights"),
      ...loose.map((problem) => h("p", { class: "bad" }, `${problem.line ? `Line ${problem.line}: ` : ""}${problem.path ? `${problem.path}: ` : ""}${problem.message}`)), ...list);
    if (focused) inputs.get(focused)?.focus();
  }

  const given = (rows) => rows.filter((row) => row.value !== "");

  function more(rows, faults) {
    const rest = rows.filter((row) => row.value === "");
    if (!rest.length) return null;
    return h("details", {}, h("summary", {}, "more that can be said"), rest.map((row) => field(row, faults.get(row.path) ?? "")));
  }

  function field(row, fault) {
    const id = `f-${row.path}`;
    const common = { id, "data-path": row.path, "aria-describedby": `${id}-why`, "aria-invalid": fault ? "true" : null };
    const input = row.choices.length
      ? h("select", common, (row.value === "" ? [""] : row.choices.includes(row.value) ? [""] : ["", row.value]).concat(row.choices).map((choice) => h("option", { value: choice, selected: choice === row.value }, choice)))
      : h("input", { ...common, type: "text", value: row.value, placeholder: row.example, autocomplete: "off", spellcheck: "false" });
    input.addEventListener("change", () => { if (input.value !== row.value) hooks.typed(row.path, input.value, message); });
    const message = h("span", { class: "fault", role: "alert" }, fault);
    inputs.set(row.path, input);
    return h("div", { class: "row-field" }, h("label", { for: id }, row.label), input,
      h("span", { class: "why", id: `${id}-why` }, row.help), message);
  }

  return { show };
}
