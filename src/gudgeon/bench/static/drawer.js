// The drawer: a piece put in by its mark or its measured thickness, or both.
import { newId, write } from "./write.js";

const form = document.getElementById("put-in");
let entry = null;

form?.addEventListener("input", () => {
  entry = null; // other fields are another piece
});

form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (form.dataset.busy) return;
  form.dataset.busy = "yes";
  entry ??= made();
  const refused = await write([entry], "shop");
  if (!refused) return location.reload();
  delete form.dataset.busy;
  const place = form.querySelector(".fault");
  place.textContent = refused;
  place.hidden = false;
});

function made() {
  const given = Object.entries(Object.fromEntries(new FormData(form))).map(([name, value]) => [name, value.trim()]);
  const fields = Object.fromEntries(given.filter(([, value]) => value));
  const count = /^\d+$/.test(fields.count ?? "") ? Number(fields.count) : fields.count;
  return { id: newId(), at: new Date().toISOString(), kind: "stock", unit: form.dataset.unit, ...fields, count };
}
