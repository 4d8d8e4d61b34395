"use strict";
(() => {
  // Fill a field with where this device is, and refuse a file that is too large before it is sent.
  const SHUT = "The browser shares a location only over https or on this device itself. Type the coordinates.";
  const WHY = {
    1: "The browser was not allowed to share the location. Type the coordinates.",
    2: "This device does not know where it is. Type the coordinates.",
    3: "This device did not find its place in time. Try again, or type the coordinates.",
  };
  const PATIENT = { enableHighAccuracy: true, timeout: 20000, maximumAge: 60000 };
  for (const box of document.querySelectorAll("[data-locate]")) {
    const button = box.querySelector("button");
    const says = box.querySelector("[role=status]");
    const field = document.getElementById(box.dataset.locate);
    box.hidden = false;
    if (!window.isSecureContext || !navigator.geolocation) {
      button.hidden = true;
      says.textContent = SHUT;
      continue;
    }
    button.addEventListener("click", () => {
      says.textContent = "Looking for your place …";
      navigator.geolocation.getCurrentPosition(({ coords }) => {
        field.value = `${coords.latitude.toFixed(5)}, ${coords.longitude.toFixed(5)}`;
        says.textContent = `Found, to within ${Math.round(coords.accuracy)} m.`;
        field.focus();
      }, (error) => { says.textContent = WHY[error.code] ?? WHY[2]; }, PATIENT);
    });
  }
  for (const field of document.querySelectorAll("input[type=file][data-greatest]")) {
    field.addEventListener("change", () => {
      const most = Number(field.dataset.greatest);
      const large = [...field.files].some((file) => file.size > most);
      field.setCustomValidity(large ? `The file has more than ${most / 1e6} MB. Export only the water that you need.` : "");
      field.reportValidity();
    });
  }
})();
