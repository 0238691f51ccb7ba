// A sheet's fields: each is sent when it is left, with those that could not be saved before; what
// the checks say comes back and stands beside the field it means.
import { faultText, say, send, words } from "./bench.js";

const editor = document.querySelector(".editor");
const fields = document.getElementById("fields");
const status = document.getElementById("saved");
const waiting = new Map();
let seen = editor.dataset.seen;
let busy = false;

const many = (key, n) => (n === 1 ? words[`${key}-one`] : words[key]).replace("{n}", n);

function tell() {
  if (busy) status.textContent = words.saving;
  else status.textContent = waiting.size ? many("unsaved", waiting.size) : words.saved;
  status.classList.toggle("open", waiting.size > 0 && !busy);
}

function remark(item) {
  const line = document.createElement("p");
  line.className = item.severity;
  const head = document.createElement("b");
  head.textContent = words[`sev-${item.severity}`];
  line.append(head, ` ${item.wrong}: ${item.right}`);
  if (item.sum) {
    const sum = document.createElement("span");
    sum.className = "sum";
    sum.textContent = item.sum;
    line.append(" ", sum);
  }
  return line;
}

function show(body) {
  for (const place of document.querySelectorAll(".said[data-for]")) {
    const mine = body.said.filter((item) => item.name === place.dataset.for);
    place.replaceChildren(...mine.map(remark));
  }
  for (const place of document.querySelectorAll("[data-equals]")) {
    place.textContent = body.equals[place.dataset.equals] || "";
  }
  for (const tab of body.tabs) {
    const place = document.querySelector(`[data-tab="${CSS.escape(tab.key)}"] .marks`);
    if (!place) continue;
    if (tab.faults) place.textContent = many("tab-faults", tab.faults);
    else place.textContent = tab.looks ? many("tab-looks", tab.looks) : "";
  }
  for (const input of document.querySelectorAll('input[name="seen"]')) input.value = body.sha256;
}

async function save() {
  if (busy || !waiting.size) return;
  busy = true;
  tell();
  const sent = new Map(waiting);
  const list = [...sent].map(([name, text]) => ({ name, text }));
  const call = { seen, part: editor.dataset.part, fields: list };
  const { status: code, body } = await send("PATCH", `/api/sheets/${editor.dataset.file}`, call);
  busy = false;
  if (code === 200) {
    say("");
    seen = body.sha256;
    if (body.saved) for (const [name, text] of sent) if (waiting.get(name) === text) waiting.delete(name);
    show(body);
  } else {
    say(faultText(body));
  }
  tell();
  const more = [...waiting].some(([name, text]) => sent.get(name) !== text);
  if (code === 200 && more) save();
}

fields?.addEventListener("change", (event) => {
  if (!event.target.name || event.target.closest("form")) return;
  waiting.set(event.target.name, event.target.value);
  save();
});
// Enter goes on to the next field, as the manual's column goes on.
fields?.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.target.tagName !== "INPUT" || event.target.closest("form")) return;
  event.preventDefault();
  const all = [...fields.querySelectorAll("input:not([type=hidden]), select, textarea")];
  const open = all.filter((item) => item.offsetParent !== null && !item.closest("form"));
  open[open.indexOf(event.target) + 1]?.focus();
});
addEventListener("beforeunload", (event) => {
  if (waiting.size || busy) event.preventDefault();
});
// A form of the page goes on only when what was typed before it is in the file.
document.addEventListener(
  "submit",
  (event) => {
    if (!waiting.size && !busy) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    say(status.textContent);
  },
  true,
);
