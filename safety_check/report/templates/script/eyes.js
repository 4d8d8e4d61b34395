"use strict";
(() => {
  // What is seen at the launch: every answer was judged when the page was made. This only looks it up.
  const section = document.getElementById("eyes-section");
  if (!section) return;
  const byId = (id) => document.getElementById(`eyes-${id}`);
  const table = JSON.parse(section.dataset.table);
  const { words } = table;
  const MINUTE = 60000;
  const UNKNOWN = 2;
  const chosen = (name) => section.querySelector(`input[name="eyes-${name}"]:checked`).value;

  const ago = (minutes) => {
    if (minutes < 90) return `${Math.max(0, Math.round(minutes))} min`;
    const hours = Math.round(minutes / 60);
    return hours < 72 ? `${hours} h` : `${Math.round(hours / 24)} days`;
  };

  // A number as a person writes it; null for nothing, NaN for what is none.
  const number = (id) => {
    const text = byId(id).value.trim().replace(",", ".");
    return text === "" ? null : /^-?\d+(\.\d*)?$/.test(text) ? Number(text) : NaN;
  };
  const complain = (id, said) => {
    byId(id).setAttribute("aria-invalid", said ? "true" : "false");
    return said;
  };

  // The class of the wind, by its place in the table; a message where there is none.
  const ofWind = () => {
    const wind = number("wind"), gust = number("gust");
    complain("wind", ""); complain("gust", "");
    if (wind === null && gust === null) return table.states[chosen("state")] ?? 0;
    if (!(wind === null || wind >= 0)) return complain("wind", words.wind);
    if (!(gust === null || gust >= 0)) return complain("gust", words.wind);
    const steady = table.steady.find(([most]) => (wind ?? 0) <= most);
    const gusty = table.gusty.find(([most, blow]) => (wind ?? 0) <= most && gust <= blow);
    const found = gust === null ? steady : gusty;
    return found ? found[found.length - 1] : complain(gust === null ? "wind" : "gust", words.much);
  };
  const ofWater = () => {
    const water = number("water");
    complain("water", "");
    if (water === null) return 0;
    const { waters } = table;
    if (!(water >= waters[waters.length - 1][0])) return complain("water", words.water);
    if (table.entered !== null && water >= table.entered) return 0;
    return waters.find(([least]) => water >= least)[1];
  };

  // What the clock of this device allows: the two judged times around now, or why there is none.
  const around = (now) => {
    if (now < Date.parse(table.made) - 10 * MINUTE) return words.early;
    if (now > Date.parse(table.end)) return words.over;
    if (!table.good || now > Date.parse(table.good)) return words.old;
    const times = table.times.map(Date.parse);
    if (now < times[0] - MINUTE) return words.soon;
    if (now > Date.parse(table.last)) return words.late;
    const at = Math.max(times.filter((time) => time <= now).length - 1, 0);
    return [at, Math.min(at + 1, times.length - 1)];
  };

  const show = (level, head, why, changed, assumed) => {
    byId("answer").hidden = false;
    byId("answer").className = table.levels[level]?.[1] ?? "";
    for (const shape of byId("answer").querySelectorAll("[data-level]")) {
      shape.classList.toggle("shown", Number(shape.dataset.level) === level);
    }
    byId("head").textContent = head;
    byId("why").textContent = why;
    byId("changed").replaceChildren(...changed.map((text) => {
      const item = document.createElement("li");
      item.textContent = text;
      return item;
    }));
    byId("assumed").textContent = assumed;
  };

  const look = () => {
    const now = Date.now();
    byId("age").textContent = words.age.replace("{age}", ago((now - Date.parse(table.made)) / MINUTE));
    if (!byId("form")) return;
    const when = around(now), wind = ofWind(), water = ofWater(), from = Number(chosen("from"));
    const level = Math.max(UNKNOWN, table.before);
    if (typeof when === "string") {
      show(level, table.levels[level][0], when, [], "");
      return;
    }
    const wrong = [wind, water].find((one) => typeof one === "string");
    if (wrong) {
      show(-1, wrong, "", [], "");
      return;
    }
    if (!wind && !from && byId("water").value.trim() === "") {
      show(-1, words.nothing, "", [], "");
      return;
    }
    const [directions, waters] = table.shape;
    const place = (wind * directions + from) * waters + water;
    const answers = when.map((at) => table.answers[table.rows[at][place]]);
    const worse = answers[0].v >= answers[1].v ? answers[0] : answers[1];
    const why = worse.r || words.idle;
    show(worse.v, worse.h, why, worse.c, `${table.forecasts[when[0]]} ${table.spans[when[0]]}`);
  };

  if (byId("form")) {
    byId("form").hidden = false;
    section.addEventListener("input", look);
  }
  look();
  setInterval(look, MINUTE);
})();
