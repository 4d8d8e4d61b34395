"use strict";
(() => {
  // The chosen hour in each drawing of the chart: its column, and its values.
  const charts = [...document.querySelectorAll("svg.chart")];
  const show = (row) => {
    for (const chart of charts) {
      const { left, step } = chart.dataset;
      chart.querySelector(".cursor").setAttribute("x", String(Number(left) + row * step));
      for (const value of chart.querySelectorAll("[data-hours]")) {
        value.textContent = value.dataset.hours.split("|")[row] ?? "";
      }
    }
  };
  document.addEventListener("hour", (event) => show(event.detail.row));
  const { row } = document.documentElement.dataset;
  if (row !== undefined) show(Number(row));
})();
