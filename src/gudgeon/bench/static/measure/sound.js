// Two signs, for hands that can't look: taken, and in doubt. Made here, a few milliseconds long.
import { keep, kept } from "../bench.js";

let context = null;
export const sounds = { on: kept("sounds") !== "off" };

export function switchSounds() {
  sounds.on = !sounds.on;
  keep("sounds", sounds.on ? null : "off");
}

function tone(pitch, from, long, shape) {
  const [source, loud] = [context.createOscillator(), context.createGain()];
  source.type = shape;
  source.frequency.value = pitch;
  loud.gain.setValueAtTime(0.18, context.currentTime + from);
  loud.gain.exponentialRampToValueAtTime(0.001, context.currentTime + from + long);
  source.connect(loud).connect(context.destination);
  source.start(context.currentTime + from);
  source.stop(context.currentTime + from + long);
}

function play(tones, shake) {
  if (!sounds.on) return;
  document.documentElement.dataset.sounded = tones.length === 1 ? "taken" : "doubt";
  if (navigator.userActivation?.hasBeenActive !== false) navigator.vibrate?.(shake);
  try {
    context ??= new AudioContext();
    if (context.state === "suspended") context.resume();
    tones.forEach((one) => tone(...one));
  } catch {
    context = null; // a device without sound still shows everything in words
  }
}

export const taken = () => play([[1400, 0, 0.07, "sine"]], 35);
export const doubt = () => play([[240, 0, 0.16, "square"], [180, 0.2, 0.3, "square"]], [120, 80, 120]);
