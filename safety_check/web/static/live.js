"use strict";
(() => {
  // Say which services have answered while a check is being made. The form is sent as without
  // scripts; until the browser gets the new page, this one stays and asks.
  const PAUSE = 700;
  const told = ({ done, open }) => {
    const all = done.length + open.length;
    if (!all) return "Checking the trip …";
    if (!open.length) return `All ${all} services have answered. Judging the trip …`;
    return `${done.length} of ${all} services have answered. Waiting for: ${open.join(", ")} …`;
  };
  for (const form of document.querySelectorAll('form[action^="/check"]')) {
    const key = form.elements.once;
    if (!key) continue;
    const status = document.createElement("p");
    status.className = "progress";
    status.setAttribute("role", "status");
    form.append(status);
    const say = (text) => { if (status.textContent !== text) status.textContent = text; };
    let timer = 0;
    const ask = async () => {
      try {
        const answer = await fetch(`/progress/${key.value}`);
        if (answer.status === 200) say(told(await answer.json()));
      } catch { /* the new page is on its way, or the server is gone: the browser says so */ }
      timer = setTimeout(ask, PAUSE);
    };
    form.addEventListener("submit", () => {
      say("Checking the trip …");
      clearTimeout(timer);
      timer = setTimeout(ask, PAUSE);
    });
    addEventListener("pageshow", () => { clearTimeout(timer); say(""); });
  }

  // Say what a newer check of this trip changes. The page never reloads by itself.
  const newer = document.getElementById("newer");
  if (!newer) return;
  const token = document.querySelector('input[name="token"]').value;
  let timer = 0;
  let shown = "";
  const show = (text, address) => {
    if (text === shown) return;
    shown = text;
    newer.replaceChildren();
    if (!text) return;
    const said = document.createElement("p");
    said.textContent = text;
    newer.append(said);
    if (!address) return;
    const link = document.createElement("a");
    link.className = "button";
    link.href = address;
    link.textContent = "Open the newer check";
    newer.append(link);
  };
  const listen = async () => {
    clearTimeout(timer);
    if (document.visibilityState !== "visible") return;
    let wait = Number(newer.dataset.every);
    try {
      const body = new URLSearchParams({ token });
      const answer = await fetch(newer.dataset.ask, { method: "POST", body });
      if (answer.status === 403) {
        show("The server was restarted, so this page gets no more updates. Reload it.", "");
        return;
      }
      const { text, address, again_in } = await answer.json();
      show(text, address);
      if (again_in === null) return;
      wait = Math.min(wait, again_in);
    } catch { /* no signal: ask again later */ }
    timer = setTimeout(listen, wait * 1000);
  };
  document.addEventListener("visibilitychange", listen);
  listen();
})();
