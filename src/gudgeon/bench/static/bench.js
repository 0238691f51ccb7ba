// What every page shares: sending, faults in words beside the form, whether the bench is in touch,
// and news of the job.
export const words = JSON.parse(document.body.dataset.words || "{}");
export const job = document.body.dataset.job;

/** Keep a value in this browser; private windows may refuse, and then it lasts as long as the page. */
export function keep(name, value) {
  try {
    if (value === null) localStorage.removeItem("gudgeon." + name);
    else localStorage.setItem("gudgeon." + name, value);
  } catch {
    // nothing is lost but the habit of this screen
  }
}

/** A value kept in this browser, or null. */
export function kept(name) {
  try {
    return localStorage.getItem("gudgeon." + name);
  } catch {
    return null;
  }
}

/** Send to the bench. Gives {status, body}; status 0 where the bench does not answer. */
export async function send(method, address, body) {
  const options = {
    method,
    headers: { "X-Gudgeon": "bench", "Content-Type": "application/json", Accept: "application/json" },
    cache: "no-store",
  };
  if (body !== undefined) options.body = typeof body === "string" ? body : JSON.stringify(body);
  else if (method !== "GET") options.body = "{}";
  // What is small arrives even where the page is left at once; browsers allow 64 KiB of it.
  if (method !== "GET" && options.body.length < 10000) options.keepalive = true;
  try {
    const answer = await fetch(address, options);
    return { status: answer.status, body: await answer.json() };
  } catch {
    const lost = { where: "bench", wrong: words.lost, right: "" };
    return { status: 0, body: { ok: false, error: words.lost, faults: [lost] } };
  }
}

/** Faults as one text: what is wrong, what would be right. */
export function faultText(body) {
  return (body.faults || [])
    .map((fault) => (fault.right ? `${fault.wrong}: ${fault.right}` : fault.wrong))
    .join(". ");
}

/** Say something at the head of the sheet, read out at once. */
export function say(text) {
  const place = document.getElementById("say");
  place.textContent = text;
  place.hidden = !text;
}

/** Say whether the bench is in touch, in the title block. */
export function state(name) {
  const place = document.getElementById("state");
  if (!place || place.dataset.state === name) return;
  place.dataset.state = name;
  place.textContent = words[name] || "";
}

// Forms with data-call="METHOD /address" send their fields as JSON.
document.addEventListener("submit", async (event) => {
  const form = event.target.closest("form[data-call]");
  if (!form) return;
  event.preventDefault();
  if (form.dataset.busy) return;
  form.dataset.busy = "yes";
  const [method, address] = form.dataset.call.split(" ");
  const fields = Object.fromEntries(new FormData(form));
  const { status, body } = await send(method, address, fields);
  delete form.dataset.busy;
  form.querySelectorAll(".fault").forEach((said) => said.remove());
  if (status >= 200 && status < 300) {
    if (body.go) location.assign(body.go);
    else location.reload();
    return;
  }
  sayFaults(form, body);
});

/** Faults that name a field of the form stand behind that field, all others at the form's end. */
function sayFaults(form, body) {
  const faults = body.faults || [];
  const fieldOf = (fault) => {
    const field = form.elements.namedItem(String(fault.where).toLowerCase().replaceAll(" ", "_"));
    return field instanceof HTMLInputElement && field.type !== "hidden" ? field : null;
  };
  const put = (said, add) => {
    const place = document.createElement("p");
    place.className = "fault";
    place.setAttribute("role", "alert");
    place.textContent = faultText({ faults: said });
    add(place);
  };
  for (const fault of faults) {
    const field = fieldOf(fault);
    if (field) put([fault], (place) => (field.closest("label") || field).after(place));
  }
  const rest = faults.filter((fault) => !fieldOf(fault));
  if (rest.length) put(rest, (place) => form.append(place));
  faults.map(fieldOf).find(Boolean)?.focus();
}

// News of this page's job, as "gudgeon:entry" events on document, one an entry.
if (job && window.EventSource) {
  const news = new EventSource(`/api/jobs/${encodeURIComponent(job)}/events`);
  let heard = Date.now();
  const here = () => {
    heard = Date.now();
    state("linked");
  };
  for (const name of ["here", "beat"]) news.addEventListener(name, here);
  news.addEventListener("entry", (event) => {
    here();
    const detail = { entry: JSON.parse(event.data), count: Number(event.lastEventId) };
    document.dispatchEvent(new CustomEvent("gudgeon:entry", { detail }));
  });
  news.addEventListener("error", () => state("unlinked"));
  setInterval(() => {
    if (Date.now() - heard > 25000) state("unlinked");
  }, 5000);
  addEventListener("pagehide", () => news.close());
}
