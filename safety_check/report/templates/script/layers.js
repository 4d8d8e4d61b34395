"use strict";
(() => {
  // The map shows the layer of the hour; an hour without a layer shows none.
  const layers = [...document.querySelectorAll(".lm-hour")];
  const lake = document.getElementById("layers");
  if (!lake || !layers.length) return;
  const show = (row) => {
    const hour = String(row - Number(lake.dataset.first));
    for (const layer of layers) {
      layer.setAttribute("display", layer.dataset.hour === hour ? "inline" : "none");
    }
  };
  document.addEventListener("hour", (event) => show(event.detail.row));
  const { row } = document.documentElement.dataset;
  if (row) show(Number(row));
})();
