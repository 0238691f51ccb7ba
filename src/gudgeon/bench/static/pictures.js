// Taking photographs: each file is sent as it is, under an id made once, so that trying again keeps
// it once. What the bench refuses is said in words.
import { faultText, say } from "./bench.js";

const ids = new WeakMap();
const newId = () => "p" + [...crypto.getRandomValues(new Uint8Array(9))].map((n) => n.toString(16).padStart(2, "0")).join("");

async function keep(form, file) {
  if (!ids.has(file)) ids.set(file, [newId(), new Date().toISOString()]);
  const [id, at] = ids.get(file);
  const place = form.elements.place ? form.elements.place.value : form.dataset.place;
  const query = new URLSearchParams({ at, place, words: form.elements.words.value });
  const address = `/api/jobs/${encodeURIComponent(form.dataset.photo)}/photos/${id}?${query}`;
  const headers = { "X-Gudgeon": "bench", "Content-Type": file.type, Accept: "application/json" };
  try {
    const answer = await fetch(address, { method: "PUT", headers, body: file, cache: "no-store" });
    return answer.ok ? "" : faultText(await answer.json());
  } catch {
    return null;
  }
}

document.addEventListener("change", async ({ target }) => {
  const form = target.closest("form[data-photo]");
  if (!form || target.type !== "file" || !target.files.length) return;
  const told = form.querySelector(".told");
  const refused = [];
  let left = target.files.length;
  for (const file of target.files) {
    told.textContent = form.dataset.keeping.replace("{n}", left);
    const wrong = await keep(form, file);
    if (wrong === null) refused.push(`${file.name}: ${form.dataset.lost || ""}`);
    else if (wrong) refused.push(`${file.name}: ${wrong}`);
    left -= 1;
  }
  told.textContent = "";
  if (!refused.length) {
    location.reload();
    return;
  }
  target.value = "";
  say(refused.join(". "));
  scrollTo(0, 0);
});
