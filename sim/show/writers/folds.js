"use strict";
// What is long is folded on a phone; on paper all of it is there.
(() => {
  const folds = document.querySelectorAll("details.long");
  const all = (open) => folds.forEach((fold) => { fold.open = open; });
  all(!matchMedia("screen and (max-width: 50rem)").matches);
  window.addEventListener("beforeprint", () => all(true));
})();
