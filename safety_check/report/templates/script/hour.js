"use strict";
(() => {
  // The hour that every drawing shows: the strip sets it and tells of it. A script that draws
  // listens for "hour"; one that starts later reads the row from the document element.
  const root = document.documentElement;
  const strip = document.getElementById("strip");
  if (!strip) return;
  const cells = [...strip.children];
  const sentences = document.querySelectorAll(".said");
  const steps = document.querySelectorAll("[data-step]");
  const within = (row) => Math.min(Math.max(row, 0), cells.length - 1);
  const chosen = () => Number(root.dataset.row);

  const say = (cell) => {
    const name = cell.querySelector(".gone").textContent;
    return `${name}. ${cell.dataset.more ?? ""}`.trimEnd();
  };

  const choose = (row) => {
    for (const [at, cell] of cells.entries()) {
      cell.setAttribute("aria-checked", String(at === row));
      cell.tabIndex = at === row ? 0 : -1;
    }
    for (const sentence of sentences) sentence.textContent = say(cells[row]);
    root.dataset.row = row;
    for (const step of steps) {
      step.setAttribute("aria-disabled", String(within(row + Number(step.dataset.step)) === row));
    }
    document.dispatchEvent(new CustomEvent("hour", { detail: { row } }));
  };
  const STEPS = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };
  const goal = (key) => {
    if (key === "Home") return 0;
    if (key === "End") return cells.length - 1;
    return within(chosen() + STEPS[key]);
  };
  // Scrolls the strip alone, never the page.
  const reveal = (cell) => {
    const end = cell.offsetLeft + cell.offsetWidth - strip.clientWidth;
    strip.scrollLeft = Math.min(Math.max(strip.scrollLeft, end), cell.offsetLeft);
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
  for (const step of steps) {
    step.parentElement.hidden = false;
    step.addEventListener("click", () => {
      choose(within(chosen() + Number(step.dataset.step)));
      reveal(cells[chosen()]);
    });
  }
  choose(Number(strip.dataset.row));
  const first = cells.find((cell) => cell.classList.contains("in-trip"));
  if (first) strip.scrollLeft = first.offsetLeft;
})();
