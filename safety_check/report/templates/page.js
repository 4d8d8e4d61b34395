"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const MINUTE = 60000;

  // The age of the page: a saved page must not look like a new one.
  const ago = (minutes) => {
    if (minutes < 90) return `${Math.max(0, Math.round(minutes))} min`;
    const hours = Math.round(minutes / 60);
    return hours < 72 ? `${hours} h` : `${Math.round(hours / 24)} days`;
  };
  const made = byId("made");
  const showAge = () => {
    const over = Date.now() > Date.parse(made.dataset.end);
    const age = ago((Date.now() - Date.parse(made.dateTime)) / MINUTE);
    byId("age").textContent = over
      ? `, ${age} ago. This trip has ended: nothing here describes current conditions. Check again.`
      : `, ${age} ago. Forecasts change: check again before you launch.`;
    byId("age").classList.toggle("over", over);
  };
  if (made) {
    showAge();
    setInterval(showAge, MINUTE);
  }

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

  // Nothing can be opened on paper: print every reason opened.
  const closed = [];
  addEventListener("beforeprint", () => {
    closed.push(...document.querySelectorAll("details:not([open])"));
    for (const each of closed) each.open = true;
  });
  addEventListener("afterprint", () => {
    for (const each of closed.splice(0)) each.open = false;
  });
})();
