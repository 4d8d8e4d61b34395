"use strict";
(() => {
  // The cursor of the chart follows the hour.
  const cursor = document.getElementById("cursor");
  const table = document.getElementById("rows");
  if (!cursor || !table) return;
  const show = (row) => {
    const { x, width } = table.tBodies[0].rows[row].dataset;
    cursor.setAttribute("x", x);
    cursor.setAttribute("width", width);
  };
  document.addEventListener("hour", (event) => show(event.detail.row));
  const { row } = document.documentElement.dataset;
  if (row) show(Number(row));
})();
