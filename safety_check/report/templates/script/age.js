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
})();
