// Marks and shims: a row is kept when Enter is pressed or it is left, and the next one is ready.
import { after } from "./forms.js";

const rows = [...document.querySelectorAll("form.seat")];

after.stored = (form, entry) => {
  if (!form.matches(".seat")) {
    location.reload();
    return;
  }
  const size = entry.typed ? [entry.typed, entry.unit].filter(Boolean).join(" ") : "";
  form.querySelector(".kept").textContent = [entry.mark, size, entry.condition].filter(Boolean).join(" · ");
  form.dataset.was = state(form);
};

const state = (form) => JSON.stringify([...new FormData(form)]);

for (const [at, form] of rows.entries()) {
  form.dataset.was = state(form);
  form.addEventListener("focusout", (event) => {
    const filled = form.elements.mark.value.trim() || form.elements.typed.value.trim();
    if (!form.contains(event.relatedTarget) && filled && state(form) !== form.dataset.was) form.requestSubmit();
  });
  form.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.target.tagName !== "INPUT") return;
    event.preventDefault();
    const next = rows[at + 1]?.elements[event.target.name] || form.elements.condition;
    next.focus();
    next.select?.();
  });
}
