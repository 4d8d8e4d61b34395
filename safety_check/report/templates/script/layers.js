"use strict";
(() => {
  // The maps show the layer of the hour, and the words beside them say the same.
  const lake = document.getElementById("layers");
  if (!lake) return;
  const words = [...document.querySelectorAll("#map-words > li")];
  const drawings = [...lake.querySelectorAll(".trip-map, .whole-map")].map((part) => ({
    layers: [...part.querySelectorAll(".lm-hour")],
    said: part.querySelector("desc"),
    none: part.querySelector(".no-layer"),
  }));
  const show = (row) => {
    const at = row - Number(lake.dataset.first);
    const hour = String(at);
    for (const [number, each] of words.entries()) each.hidden = number !== at;
    for (const { layers, said, none } of drawings) {
      for (const layer of layers) {
        layer.setAttribute("display", layer.dataset.hour === hour ? "inline" : "none");
      }
      none.hidden = layers.some((layer) => layer.dataset.hour === hour);
      said.textContent = words[at]?.textContent ?? none.textContent;
    }
  };
  document.addEventListener("hour", (event) => show(event.detail.row));
  const { row } = document.documentElement.dataset;
  if (row) show(Number(row));
})();
