// Marks and shims: a row is kept when Enter is pressed, something in it is changed or it is left.
import { after } from "./forms.js";

const rows = [...document.querySelectorAll("form.seat")];

after.stored = (form, entry) => {
  if (!form.matches(".seat")) {
    location.reload();
    return;
  }
  const size = entry.typed ? [entry.typed, entry.unit].filter(Boolean).join(" ") : "";
  form.querySelector(".kept").textContent = [entry.mark, size, entry.condition].filter(Boolean).join(" · ");
  form.dataset.was = form.dataset.sent;
  keepRow(form); // what was typed while it was on its way
};

const state = (form) => JSON.stringify([...new FormData(form)]);

/** Keep a row, if anything in it is not kept yet. Enter, a change and leaving all come here. */
function keepRow(form) {
  const filled = form.elements.mark.value.trim() || form.elements.typed.value.trim();
  if (!filled || form.dataset.busy || state(form) === form.dataset.was) return;
  form.dataset.sent = state(form);
  form.requestSubmit();
}

for (const [at, form] of rows.entries()) {
  form.dataset.was = state(form);
  form.addEventListener("change", () => keepRow(form));
  form.addEventListener("focusout", (event) => {
    if (!form.contains(event.relatedTarget)) keepRow(form);
  });
  form.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.target.tagName !== "INPUT") return;
    event.preventDefault();
    keepRow(form);
    const next = rows[at + 1]?.elements[event.target.name];
    next?.focus();
    next?.select();
  });
}

// What was typed last and not left yet goes out before the next page is asked for; some browsers of
// hand-held devices tell of the second only.
for (const leaving of ["beforeunload", "pagehide"]) addEventListener(leaving, () => rows.forEach(keepRow));
