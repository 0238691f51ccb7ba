// Runs before anything is drawn: the true size of a millimetre, light or dark, which hand.
(() => {
  "use strict";
  const root = document.documentElement;
  const kept = (name) => {
    try {
      return localStorage.getItem("gudgeon." + name);
    } catch {
      return null;
    }
  };
  const mm = Number(kept("mm"));
  if (mm >= 2.5 && mm <= 12) root.style.setProperty("--mm", mm + "px");
  const light = kept("light");
  if (light === "light" || light === "dark") root.dataset.light = light;
  root.dataset.hand = kept("hand") === "left" ? "left" : "right";
})();
