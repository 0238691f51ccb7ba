// A page that is worked out from the log comes again when the log has grown, once the hand rests.
const REST = 1500;
let later = 0;

document.addEventListener("gudgeon:entry", () => {
  clearTimeout(later);
  later = setTimeout(again, REST);
});

function again() {
  const busy = document.querySelector("form[data-busy], [data-busy], form.dirty");
  if (busy || document.hidden) later = setTimeout(again, REST);
  else location.reload();
}
