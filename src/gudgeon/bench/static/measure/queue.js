// Entries made on this device, kept in its IndexedDB until the bench says they are in the log. The id
// is the address: sending one twice, from two tabs or after a crash, changes nothing.
const STORE = "queue";
const done = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = request.oncomplete = () => resolve(request.result);
    request.onerror = request.onabort = () => reject(request.error);
  });

/** An id that no other device makes; works over plain http, where randomUUID does not. */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return "m-" + [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

let last = 0;
/** The time now, each call later than the one before, so that entries keep their order. */
export function now() {
  last = Math.max(Date.now(), last + 1);
  return new Date(last).toISOString();
}

export class Queue {
  /** heard(record, what, answer): what is "saved", "refused", "shut" or "lost". */
  constructor(heard) {
    this.heard = heard;
    this.memory = new Map();
    this.pause = 0;
    this.others = window.BroadcastChannel ? new BroadcastChannel("gudgeon-queue") : null;
    if (this.others) this.others.onmessage = () => this.heard(null, "changed");
    for (const name of ["online", "focus", "pageshow"]) addEventListener(name, () => this.pump());
    document.addEventListener("visibilitychange", () => this.pump());
  }

  /** Open the store. False where this browser has none: then the queue lasts as long as the page. */
  async open() {
    try {
      const request = indexedDB.open("gudgeon", 1);
      request.onupgradeneeded = () => request.result.createObjectStore(STORE, { keyPath: "id" });
      this.db = await done(request);
      this.db.onversionchange = () => this.db.close();
    } catch {
      this.db = null;
    }
    navigator.storage?.persist?.().catch(() => {});
    return Boolean(this.db);
  }

  async all() {
    const found = this.db
      ? await done(this.db.transaction(STORE).objectStore(STORE).getAll())
      : [...this.memory.values()];
    return found.sort((a, b) => (a.entry.at < b.entry.at ? -1 : 1));
  }

  /** Change the store; resolved once it is on the disk of this device. */
  async change(put, drop = []) {
    if (!this.db) {
      for (const record of put) this.memory.set(record.id, record);
      for (const id of drop) this.memory.delete(id);
      return;
    }
    const change = this.db.transaction(STORE, "readwrite", { durability: "strict" });
    const store = change.objectStore(STORE);
    for (const record of put) store.put(record);
    for (const id of drop) store.delete(id);
    await done(change);
    this.others?.postMessage("changed");
  }

  /** Keep entries of a job; they are safe when this resolves, and are sent from then on. */
  async add(job, entries) {
    await this.change(entries.map((entry) => ({ id: entry.id, job, entry, state: "waiting" })));
    this.pump();
  }

  /** Send what waits, until nothing does or the bench does not answer. */
  async pump() {
    if (this.busy) return void (this.again = true);
    this.busy = true;
    clearTimeout(this.timer);
    do {
      this.again = false;
      for (const record of await this.all()) {
        if (record.state !== "waiting") continue;
        if (!(await this.send(record))) {
          this.again = false;
          this.pause = Math.min(5000, this.pause * 2 || 400);
          this.timer = setTimeout(() => this.pump(), this.pause);
          break;
        }
        this.pause = 0;
      }
    } while (this.again);
    this.busy = false;
  }

  /** Send one. False where there is no use in sending more now. */
  async send(record) {
    let status = 0;
    let body = {};
    try {
      const answer = await fetch(`/api/jobs/${encodeURIComponent(record.job)}/entries/${encodeURIComponent(record.id)}`, {
        method: "PUT",
        headers: { "X-Gudgeon": "bench", "Content-Type": "application/json", Accept: "application/json" },
        body: JSON.stringify(record.entry),
        cache: "no-store",
        signal: AbortSignal.timeout?.(8000),
      });
      status = answer.status;
      body = await answer.json();
    } catch {
      status = 0;
    }
    if (status === 200 || status === 201) {
      await this.change([], [record.id]);
      this.heard(record, "saved", body);
      return true;
    }
    if ([400, 404, 409, 413, 422].includes(status)) {
      const refused = { ...record, state: "refused", status, answer: body };
      await this.change([refused]);
      this.heard(refused, "refused", body);
      return true;
    }
    this.heard(record, status === 401 || status === 403 ? "shut" : "lost", body);
    return false;
  }
}
