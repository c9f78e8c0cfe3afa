"""JavaScript that finds what does not fit a page: words cut off, figures too wide, letters too small."""

PHONE, DESK = 390, 1280
LEAST_LETTERS = 11.0  # px

# Words that stick out of the page, or of the box that holds them, outside frames that are made to be scrolled.
CLIPPED = """(() => {
  const found = [];
  const said = "h1,h2,h3,p,li,dt,dd,th,td,a,button,label,span,caption,output,option,select";
  for (const element of document.querySelectorAll(said)) {
    if (element.closest("[role=tooltip], pre, noscript") || !element.textContent.trim()) continue;
    const unseen = element.closest(".lists"); // on a desk it is there for ears only
    if (unseen && unseen.getBoundingClientRect().height <= 1) continue;
    const box = element.getBoundingClientRect();
    if (!box.width || !box.height) continue;
    const name = `${element.tagName} ${element.textContent.trim().slice(0, 40)}`;
    if (box.left < -0.5 || box.right > innerWidth + 0.5) found.push(`${name}: off the page`);
    if (element.scrollWidth > element.clientWidth + 1 && element.clientWidth && element.tagName !== "SELECT") {
      found.push(`${name}: wider than its box`);
    }
    if (element.tagName === "SELECT") {
      const pen = document.createElement("canvas").getContext("2d");
      pen.font = getComputedStyle(element).font;
      const wide = pen.measureText(element.selectedOptions[0].text).width;
      if (wide + 24 > element.clientWidth) found.push(`${name}: choice cut off`);
    }
  }
  for (const label of document.querySelectorAll("svg")) {
    const box = label.getBoundingClientRect();
    if (box.left < -0.5 || box.right > innerWidth + 0.5) found.push(`${label.ariaLabel}: off the page`);
  }
  return found;
})()"""

# Tables that are wider than the page, so that they must be scrolled to be read.
SIDEWAYS = """[...document.querySelectorAll(".frame")]
  .filter((frame) => frame.scrollWidth > frame.clientWidth + 1).map((frame) => frame.ariaLabel)"""

# Headings at the side whose words come nearer than 8 px to the staff, or lie over it.
CROWDED = """[...document.querySelectorAll("section")].filter((section) => {
  const words = document.createRange();
  words.selectNodeContents(section.querySelector("h2"));
  const [head, body] = [words.getBoundingClientRect(), section.querySelector(".body").getBoundingClientRect()];
  return head.bottom > body.top && head.right > body.left - 8;
}).map((section) => section.id)"""

# Cards and strips whose values do not stand under each other as those of their first row do.
UNEVEN = """[...document.querySelectorAll("table.cards, table.strips")].filter((table) => {
  const edges = (row) => [...row.cells].slice(1).filter((cell) => cell.textContent).map((cell) => {
    const words = document.createRange();
    words.selectNodeContents(cell);
    // the first piece: an explanation that belongs to a word stands elsewhere on the page
    const right = cell.matches(".strips .number");
    return Math.round(right ? words.getBoundingClientRect().right : words.getClientRects()[0].left);
  });
  const rows = [...table.tBodies[0].rows].map(edges);
  const even = table.matches(".cards")
    ? new Set(rows.flat()).size <= (table.matches(".pairs") ? 2 : 1)
    : rows.every((row) => row.every((edge, k) => edge === rows[0][k]));
  return !even;
}).map((table) => table.caption.textContent)"""

# Height of the smallest letters of any figure that is shown, px. Letters are drawn 100 units to their size.
LETTERS = """(() => {
  let least = Infinity;
  for (const word of document.querySelectorAll("figure svg g[id*='text_'] > g")) {
    if (!word.getBoundingClientRect().height || word.closest(".sheet")) continue;
    const { c, d } = word.getScreenCTM();
    least = Math.min(least, 100 * Math.hypot(c, d));
  }
  return least;
})()"""

# Words of figures that stick out of their figure.
LOST = """(() => {
  const found = [];
  for (const svg of document.querySelectorAll("figure svg")) {
    const frame = svg.getBoundingClientRect();
    if (!frame.width) continue;
    for (const word of svg.querySelectorAll("g[id*='text_']")) {
      const box = word.getBoundingClientRect();
      const out = [frame.left - box.left, box.right - frame.right, frame.top - box.top, box.bottom - frame.bottom];
      if (Math.max(...out) > 1) found.push(`${svg.ariaLabel.slice(0, 30)}: ${word.id}`);
    }
  }
  return found;
})()"""
