// Printing the labels that are laid out; a change of what is wanted lays them out anew.
document.getElementById("print").addEventListener("click", () => window.print());
const form = document.querySelector("form.lay");
form.addEventListener("change", () => form.requestSubmit());
