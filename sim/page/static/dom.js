// Elements from names, attributes and children; and the page model's blocks as elements.
const ROWS = 8; // of a table that is shown at once; a longer one would push all that follows far down
const SVG = "http://www.w3.org/2000/svg";

function made(node, attributes, children) {
  for (const [key, value] of Object.entries(attributes ?? {})) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
    else node.setAttribute(key, value === true ? "" : value);
  }
  node.append(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

export const h = (name, attributes, ...children) => made(document.createElement(name), attributes, children);
export const s = (name, attributes, ...children) => made(document.createElementNS(SVG, name), attributes, children);

// own: what the caller shows itself, by type of block
export function blocks(list, level = 3, own = {}) {
  return list.map((block) => written(block, level, own));
}

function written(block, level, own) {
  if (own[block.type]) return own[block.type](block);
  switch (block.type) {
    case "paragraph": return h("p", { class: block.tone }, marked(block.text));
    case "labelled": return h("dl", {}, block.rows.map(([name, text]) => [name && h("dt", {}, name), h("dd", {}, marked(text))]));
    case "bullets": return h("div", {}, h("ul", {}, block.items.map((item) => h("li", {}, marked(item)))), block.note && h("p", { class: "quiet" }, marked(block.note)));
    case "table": return block.caption && block.rows.length > ROWS ? h("details", {}, h("summary", {}, block.caption), table({ ...block, caption: "" }, block.caption)) : table(block);
    case "verbatim": return h("pre", { tabindex: 0 }, block.text);
    case "picture": return h("img", { alt: block.name, src: `data:image/svg+xml,${encodeURIComponent(block.svg)}` });
    case "section": return h("div", {}, block.title && h(`h${level}`, {}, block.title), blocks(block.blocks, Math.min(level + 1, 6), own));
    case "fold": return h("details", {}, h("summary", {}, block.title), blocks(block.blocks, Math.min(level + 1, 6), own));
    default: return null;
  }
}

function table(block, name = block.caption) {
  const kind = (k) => (block.numbers[k] ? "number" : null), wide = block.heads.length > 5 && block.rows.length < 4;
  return h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": name || "table" },
    h("table", { class: wide ? "wide" : null }, block.caption && h("caption", {}, block.caption),
      h("thead", {}, h("tr", {}, block.heads.map((head, k) => h("th", { scope: "col", class: kind(k) }, head)))),
      h("tbody", {}, block.rows.map((row) => h("tr", {}, row.map((cell, k) => h("td", { class: kind(k), "data-head": wide ? block.heads[k] : null }, cell)))))),
    block.note && h("p", { class: "quiet" }, marked(block.note)));
}

// `backticks` around a command or a key
export function marked(text) {
  return String(text).split("`").map((part, k) => (k % 2 ? h("code", {}, part) : part));
}
