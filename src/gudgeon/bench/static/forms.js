// Forms that make one entry of the job's log: data-entry is its kind, the fields are its fields, and
// blank ones are left out. The id is made once for what is typed, so that pressing twice, or trying
// again, keeps it once.
import { faultText, job, send } from "./bench.js";

const made = new WeakMap();
const newId = () => "b" + [...crypto.getRandomValues(new Uint8Array(9))].map((n) => n.toString(16).padStart(2, "0")).join("");

function entryOf(form) {
  const fields = { kind: form.dataset.entry };
  for (const [key, value] of new FormData(form)) if (value.trim()) fields[key] = value.trim();
  const said = JSON.stringify(fields);
  if (made.get(form)?.said !== said) made.set(form, { said, id: newId(), at: new Date().toISOString() });
  const { id, at } = made.get(form);
  return { ...fields, id, at };
}

function fault(form, text) {
  let place = form.querySelector(".fault");
  if (!place) {
    place = document.createElement("p");
    place.className = "fault";
    place.setAttribute("role", "alert");
    form.append(place);
  }
  place.textContent = text;
  place.hidden = !text;
}

/** What follows when an entry of a form is stored; pages may say otherwise. */
export const after = { stored: (form, entry) => location.reload() };

document.addEventListener("submit", async (event) => {
  const form = event.target.closest("form[data-entry]");
  if (!form) return;
  event.preventDefault();
  if (form.dataset.busy) return;
  form.dataset.busy = "yes";
  const entry = entryOf(form);
  const { status, body } = await send("PUT", `/api/jobs/${encodeURIComponent(job)}/entries/${entry.id}`, entry);
  delete form.dataset.busy;
  if (status === 200 || status === 201) {
    fault(form, "");
    after.stored(form, body.entry);
  } else fault(form, faultText(body));
});
