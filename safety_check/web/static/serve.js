"use strict";
(() => {
  // Store the last check, so that the worker can show it at a launch without signal.
  const CACHE = "safety-check";
  const LAST = "/last";
  if ("serviceWorker" in navigator) {
    // A browser that does not trust the certificate refuses; then nothing is stored here.
    navigator.serviceWorker.register("/worker.js").catch(() => {});
    if (/^\/check\/\d+$/.test(location.pathname)) {
      fetch(location.pathname).then(async (page) => {
        if (page.ok) await (await caches.open(CACHE)).put(LAST, page);
      });
    }
  }
  if (location.pathname === LAST) document.getElementById("kept").hidden = false;
})();
