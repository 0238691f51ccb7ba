// A page that is worked out from the log comes again when the log has grown, once the hand rests. Where
// somebody has opened something up, or is writing, it only says so.
import { say, words } from "./bench.js";

const REST = 1500;
let later = 0;

document.addEventListener("gudgeon:entry", () => {
  clearTimeout(later);
  later = setTimeout(again, REST);
});

function again() {
  if (document.querySelector("[data-busy]")) later = setTimeout(again, REST);
  else if (document.querySelector("main details[open], form :focus")) say(words.grown);
  else location.reload();
}
