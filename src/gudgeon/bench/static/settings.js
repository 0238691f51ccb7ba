// True sizes by a bank card; light or dark; which hand. All kept in this browser.
import { keep, kept } from "./bench.js";

const root = document.documentElement;
const card = document.getElementById("card");
const slide = document.getElementById("slide");
const output = document.getElementById("per-mm");
const turn = document.getElementById("turn");
let long = true;

function now() {
  return parseFloat(getComputedStyle(root).getPropertyValue("--mm"));
}

function show() {
  const mm = now();
  const side = Number(long ? card.dataset.long : card.dataset.short);
  card.style.width = side * mm + "px";
  slide.value = mm;
  output.textContent = mm.toFixed(2);
}

function set(mm) {
  const bounded = Math.min(12, Math.max(2.5, mm));
  root.style.setProperty("--mm", bounded + "px");
  keep("mm", String(bounded));
  show();
}

const step = () => 1 / Number(long ? card.dataset.long : card.dataset.short);
document.getElementById("narrower").addEventListener("click", () => set(now() - step()));
document.getElementById("wider").addEventListener("click", () => set(now() + step()));
slide.addEventListener("input", () => set(Number(slide.value)));
document.getElementById("usual").addEventListener("click", () => {
  keep("mm", null);
  root.style.removeProperty("--mm");
  show();
});
turn.addEventListener("click", () => {
  long = !long;
  turn.textContent = long ? turn.dataset.upright : turn.dataset.lying;
  show();
});
if (Number(card.dataset.long) * now() > card.parentElement.clientWidth) turn.click();
show();

function choice(name, usual, apply) {
  const value = kept(name) || usual;
  for (const input of document.querySelectorAll(`input[name="${name}"]`)) {
    input.checked = input.value === value;
    input.addEventListener("change", () => {
      keep(name, input.value === usual ? null : input.value);
      apply(input.value);
    });
  }
}

choice("light", "device", (value) => {
  if (value === "device") delete root.dataset.light;
  else root.dataset.light = value;
});
choice("hand", "right", (value) => {
  root.dataset.hand = value;
});
