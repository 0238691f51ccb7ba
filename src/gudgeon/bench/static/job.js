// The front of a job: warnings that this device has not seen, and news while it is open.
import { job, keep, kept, words } from "./bench.js";

const place = `read.${job}`;
const seen = new Set(JSON.parse(kept(place) || "[]"));
const rows = [...document.querySelectorAll("#warnings li[data-key]")];
const unread = rows.filter((row) => !seen.has(row.dataset.key));
for (const row of unread) {
  const sign = document.createElement("span");
  sign.className = "new";
  sign.textContent = words.unread;
  row.prepend(sign);
}
const button = document.getElementById("read-them");
const said = document.getElementById("all-read");

function allRead() {
  button.hidden = true;
  said.hidden = false;
}

if (button) {
  if (!unread.length) allRead();
  button.addEventListener("click", () => {
    keep(place, JSON.stringify(rows.map((row) => row.dataset.key)));
    for (const sign of document.querySelectorAll("#warnings .new")) sign.remove();
    allRead();
  });
}

let fresh = 0;
document.addEventListener("gudgeon:entry", () => {
  fresh += 1;
  const news = document.getElementById("news");
  news.textContent = words.new.replace("{n}", fresh);
  news.hidden = false;
  clearTimeout(allRead.later);
  allRead.later = setTimeout(() => location.reload(), 1500);
});
