// Buttons that write: [data-write] holds entries without id and time, which are given here, once, so
// that a second press or a second try writes the same. data-log says whose log: a job's or the shop's.
import { faultText, job, say, send } from "./bench.js";

export const newId = () => "b" + [...crypto.getRandomValues(new Uint8Array(9))].map((n) => n.toString(16).padStart(2, "0")).join("");

const address = (log, id) => (log === "shop" ? `/api/shop/entries/${id}` : `/api/jobs/${encodeURIComponent(job)}/entries/${id}`);

/** Write entries one after another. Gives what was refused, in words; empty where all are stored. */
export async function write(entries, log) {
  for (const entry of entries) {
    const { status, body } = await send("PUT", address(log, entry.id), entry);
    if (status !== 200 && status !== 201) return faultText(body);
  }
  return "";
}

const ready = new WeakMap();

function readied(button) {
  if (!ready.has(button)) {
    const at = new Date().toISOString();
    ready.set(button, JSON.parse(button.dataset.write).map((entry) => ({ ...entry, id: newId(), at })));
  }
  return ready.get(button);
}

document.addEventListener("click", async ({ target }) => {
  const button = target.closest("[data-write]");
  if (!button || button.dataset.busy) return;
  button.dataset.busy = "yes";
  const refused = await write(readied(button), button.dataset.log);
  if (!refused) location.reload();
  else {
    delete button.dataset.busy;
    say(refused);
    scrollTo(0, 0);
  }
});
