"use strict";
(() => {
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
