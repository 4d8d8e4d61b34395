"use strict";
(() => {
  const byId = (id) => document.getElementById(id);

  // One hour at a time: the cursor in the chart, the sentence beside it, the layer of the map.
  const slider = byId("hour");
  if (slider) {
    const rows = [...byId("rows").tBodies[0].rows];
    const layers = [...document.querySelectorAll(".lm-hour")];
    const show = () => {
      const row = rows[slider.value].dataset;
      byId("cursor").setAttribute("x", row.x);
      byId("cursor").setAttribute("width", row.width);
      byId("said").textContent = row.said;
      slider.setAttribute("aria-valuetext", row.said);
      const hour = String(slider.value - slider.min);
      for (const layer of layers) {
        layer.setAttribute("display", layer.dataset.hour === hour ? "inline" : "none");
      }
    };
    slider.addEventListener("input", show);
    byId("chosen").hidden = false;
    show();
  }
})();
