"use strict";
(() => {
  // The hour that every drawing shows: the strip sets it and tells of it. A script that draws
  // listens for "hour"; one that starts later reads the row from the document element.
  const root = document.documentElement;
  const strip = document.getElementById("strip");
  if (!strip) return;
  const cells = [...strip.children];
  const said = document.getElementById("said");

  const choose = (row) => {
    for (const [at, cell] of cells.entries()) {
      cell.setAttribute("aria-checked", String(at === row));
      cell.tabIndex = at === row ? 0 : -1;
    }
    said.textContent = cells[row].dataset.said;
    root.dataset.row = row;
    document.dispatchEvent(new CustomEvent("hour", { detail: { row } }));
  };
  const STEPS = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };
  const goal = (key) => {
    if (key === "Home") return 0;
    if (key === "End") return cells.length - 1;
    return Math.min(Math.max(Number(root.dataset.row) + STEPS[key], 0), cells.length - 1);
  };

  strip.setAttribute("role", "radiogroup");
  for (const [at, cell] of cells.entries()) {
    cell.setAttribute("role", "radio");
    cell.addEventListener("click", () => choose(at));
  }
  strip.addEventListener("keydown", (event) => {
    const row = goal(event.key);
    if (Number.isNaN(row) || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    choose(row);
    cells[row].focus();
  });
  choose(Number(strip.dataset.row));
  const first = cells.find((cell) => cell.classList.contains("in-trip"));
  if (first) strip.scrollLeft = first.offsetLeft;
})();
