// One field takes whatever types: a gauge on a cable, a keyboard, the keys on the screen. It holds the
// focus; inputmode "none" keeps the screen's own keyboard away.
const BEGINS = /^[0-9.,+\-−]$/;

export class Gauge {
  /** taken(text, when): a line came, ended by Enter or Tab. typing(text): it changes. ready(yes). */
  constructor(field, { taken, typing, ready }) {
    Object.assign(this, { field, taken, typing, ready });
    field.addEventListener("keydown", (event) => this.key(event));
    field.addEventListener("input", (event) => this.input(event));
    field.addEventListener("focus", () => ready(true));
    field.addEventListener("blur", (event) => {
      ready(false);
      if (!event.relatedTarget) setTimeout(() => this.hold(), 0);
    });
  }

  /** Follow the whole page: a digit typed anywhere goes to the field, and so does a lost focus. */
  watch() {
    document.addEventListener("keydown", (event) => {
      if (event.target === this.field || event.ctrlKey || event.altKey || event.metaKey) return;
      if (BEGINS.test(event.key)) this.field.focus();
      else if (event.key === "Escape") this.hold(true);
    }, true);
    document.addEventListener("mousedown", (event) => {
      if (!event.target.closest("a, summary, input")) event.preventDefault();
    });
    document.addEventListener("click", () => this.hold());
    addEventListener("focus", () => this.hold());
    this.hold(true);
  }

  /** Take the focus back, unless somebody is at another control by keyboard. */
  hold(anyway) {
    const at = document.activeElement;
    const free = !at || at === document.body || !at.matches("a, button, summary, input");
    if ((anyway || free) && document.hasFocus()) this.field.focus({ preventScroll: true });
    this.ready(document.activeElement === this.field && document.hasFocus());
  }

  key(event) {
    if (event.isComposing) return;
    if (event.key === "Enter" || (event.key === "Tab" && this.field.value && !event.shiftKey)) {
      event.preventDefault();
      this.end(event.timeStamp);
    } else if (event.key === "Escape") this.set("");
  }

  /** Some senders give a whole line at once, its end within the text. */
  input(event) {
    const lines = this.field.value.split(/[\r\n\t]+/);
    while (lines.length > 1) {
      this.field.value = lines.shift();
      this.end(event.timeStamp);
    }
    this.set(lines[0]);
  }

  set(text) {
    if (this.field.value !== text) this.field.value = text;
    this.typing(text);
  }

  end(when) {
    const text = this.field.value;
    this.set("");
    this.taken(text, when);
  }
}
