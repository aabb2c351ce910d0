"use strict";
(function () {
  const byId = (id) => document.getElementById(id);

  /* ticks, kept by build and plan */
  const key = document.body.dataset.key;
  const boxes = Array.from(document.querySelectorAll("[data-step]"));
  let kept = {};
  let keeps = true;
  try {
    kept = JSON.parse(localStorage.getItem(key) || "{}") || {};
  } catch (error) {
    keeps = false;
  }
  function count() {
    const done = boxes.filter((box) => box.checked).length;
    const out = byId("done");
    if (out) out.textContent = done + " of " + boxes.length + " steps done";
  }
  function keep() {
    kept = {};
    for (const box of boxes) if (box.checked) kept[box.id] = 1;
    try {
      localStorage.setItem(key, JSON.stringify(kept));
    } catch (error) {
      keeps = false;
    }
    if (byId("no-store")) byId("no-store").hidden = keeps;
    count();
  }
  for (const box of boxes) {
    box.checked = Boolean(kept[box.id]);
    box.addEventListener("change", keep);
  }
  if (byId("untick"))
    byId("untick").addEventListener("click", () => {
      for (const box of boxes) box.checked = false;
      keep();
    });
  if (byId("no-store")) byId("no-store").hidden = keeps;
  count();
})();
