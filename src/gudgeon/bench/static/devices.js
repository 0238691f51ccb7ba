// Showing a code that lets one device in, and noticing when it came.
import { faultText, say, send, words } from "./bench.js";

const form = document.getElementById("ask-code");
const box = document.getElementById("code");
const left = document.getElementById("left");
let ticking = 0;

async function known() {
  const { status, body } = await send("GET", "/devices?json");
  return status === 200 ? body.devices.map((device) => device.id).join(" ") : null;
}

form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const role = new FormData(form).get("role");
  const before = await known();
  const { status, body } = await send("POST", "/api/codes", { role });
  if (status !== 200) {
    say(faultText(body));
    return;
  }
  say("");
  document.getElementById("qr").replaceChildren(
    document.importNode(new DOMParser().parseFromString(body.qr, "image/svg+xml").documentElement, true),
  );
  document.getElementById("digits").textContent = body.digits;
  box.hidden = false;
  box.scrollIntoView({ block: "nearest" });
  const until = Date.now() + body.seconds * 1000;
  clearInterval(ticking);
  const tell = () => {
    const seconds = Math.max(0, Math.round((until - Date.now()) / 1000));
    left.textContent = seconds ? words.left.replace("{n}", Math.ceil(seconds / 60)) : words.dead;
    return seconds;
  };
  tell();
  ticking = setInterval(async () => {
    const seconds = tell();
    const now = await known();
    if (now !== null && now !== before) location.reload();
    if (!seconds) clearInterval(ticking);
  }, 1500);
});

document.getElementById("withdraw")?.addEventListener("click", async () => {
  clearInterval(ticking);
  await send("DELETE", "/api/codes");
  box.hidden = true;
});
