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
