// The form of this page is sent by bench.js.
document.querySelector("input")?.focus();
