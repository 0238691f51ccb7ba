// While the record is made, say so: it takes a second or two.
import { words } from "./bench.js";
import "./refresh.js";

document.addEventListener("click", ({ target }) => {
  if (!target.closest("[data-making]")) return;
  document.getElementById("making").textContent = words.making;
});
