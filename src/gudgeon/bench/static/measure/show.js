// Everything the page shows, from what is known; nothing is decided here.
import { say } from "./ask.js";
import { nameOf, said, shown, sideOf } from "./book.js";
import { read, value } from "./parse.js";
import { sounds } from "./sound.js";

const $ = (id) => document.getElementById(id);
const put = (id, text) => {
  const place = typeof id === "string" ? $(id) : id;
  if (place.textContent !== text) place.textContent = text;
};

/** A key with lines of text, the first one large. */
export function cell(lines, act) {
  const key = document.createElement("button");
  key.type = "button";
  key.className = "tap";
  fill(key, lines);
  key.addEventListener("click", act);
  return key;
}

function fill(key, lines) {
  const text = lines.join("\n");
  if (key.dataset.text === text) return;
  key.dataset.text = text;
  key.replaceChildren(...lines.map((line, n) => {
    const part = document.createElement(n ? "small" : "span");
    part.textContent = line;
    return part;
  }));
}

export class Show {
  constructor(m) {
    this.m = m;
    this.list = null;
    this.turn = 0;
    put("do-mark", m.mark);
    if (!m.writes) this.inert();
  }

  all() {
    const { m } = this;
    const { round } = m;
    const temp = m.target !== "reading";
    const step = m.step;
    const count = step ? m.book.at(round, step).length : 0;
    const what = nameOf(round);
    let place = step ? [said(step[0]), ...step[1], what].join(" · ") : say("complete", { feature: what, n: round.steps.length });
    if (count) place += ` · ${say("again", { n: count + 1 })}`;
    if (temp) place = say("temp-here", { what: say(`temp-${m.target}`) });
    put($("position").firstElementChild, place);
    $("position").style.setProperty("--n", place.length);
    const temps = ["part", "gauge"].map((name) => `${say("temp-" + name)} ${m.temps[name] ?? "–"} °C`);
    put("with", [m.tool.name, ...(round.warm ? temps : [])].join(" · "));
    put("unit", temp ? "°C" : round.unit);
    for (const drawing of document.querySelectorAll(".where .stand")) {
      drawing.hidden = drawing.dataset.feature !== round.feature;
      if (drawing.hidden || !step) continue;
      const now = round.axes.map(([axis], n) => `${axis}=${step[1][n]}`);
      for (const spot of drawing.querySelectorAll(".spot")) {
        spot.classList.toggle("now", now.includes(spot.dataset.place) || spot.dataset.place === "only");
      }
    }
    this.typing($("capture").value);
    this.pad();
    this.signs();
    this.more();
    this.panel();
  }

  /** A device that may only look: keys that would enter something are seen to do nothing. */
  inert() {
    const entering = ["digit", "mark", "back", "sign", "enter", "wrong", "temps", "helper"];
    for (const name of entering) {
      for (const key of document.querySelectorAll(`[data-do="${name}"]`)) key.setAttribute("aria-disabled", "true");
    }
    $("capture").setAttribute("aria-readonly", "true");
  }

  /** Which keys stand at the hand: a question goes before all, the newest first. */
  panel(name) {
    if (name) this.chosen = name;
    const open = this.m.open().filter((question) => !this.m.later.has(question.key));
    const panel = open.length ? "ask" : this.list ? "lists" : this.chosen ?? "keys";
    $("measure").dataset.panel = panel;
    $("ask").hidden = panel !== "ask";
    $("lists").hidden = panel !== "lists";
    this.question(open.reverse());
  }

  /** One of the questions that are open, which of how many, and a key to the next of them. */
  question(open) {
    const at = open.length ? this.turn % open.length : 0;
    const one = open[at];
    const asked = one ? `${one.key} ${at} ${open.length}` : "";
    if (this.asked === asked) return;
    this.asked = asked;
    if (!one) return;
    const text = document.createElement("p");
    text.textContent = one.text;
    const key = (words, option) => cell([words], () => this.m.run(() => this.m.answer(one, option)));
    const keys = [...one.options.map((option) => key(option.words, option)), key(say("later"), null)];
    if (open.length > 1) {
      const count = document.createElement("small");
      count.textContent = say("which-question", { k: at + 1, n: open.length });
      text.prepend(count);
      keys.push(cell([say("next-question")], () => {
        this.turn = at + 1;
        this.panel();
      }));
    }
    $("ask").replaceChildren(text, ...keys);
  }

  pad() {
    const { m } = this;
    const bladed = m.bladed && m.target === "reading";
    $("pad").classList.toggle("signed", bladed || m.round.signed || m.target !== "reading");
    $("pad").classList.toggle("blades", bladed);
    const blades = bladed ? m.page() : [];
    const proposed = bladed && m.goes !== null ? m.proposed() : null;
    document.querySelectorAll(".digit").forEach((key, n) => {
      const blade = blades[n];
      const said = blade === m.goes ? say("goes") : blade === proposed ? say("wont-asked") : "";
      key.hidden = bladed && !blade;
      key.classList.toggle("now", bladed && Boolean(said));
      fill(key, bladed ? [blade ?? "", ...(said ? [said] : [])] : [key.dataset.n]);
    });
    fill($("do-mark"), [bladed ? say("thinner") : m.mark]);
    fill($("do-back"), [bladed ? say("thicker") : say("back-short")]);
    fill($("do-sign"), [bladed ? say("none-goes") : "±"]);
    fill($("do-enter"), bladed && proposed ? [proposed, say("wont")] : [say("enter")]);
  }

  /** What the number says so far: how far it is from the range and from the others. */
  typing(text) {
    const { m } = this;
    const { round } = m;
    $("capture").classList.toggle("long", text.length > 6);
    const found = read(text);
    const step = m.step;
    const side = step ? sideOf(step[0]) : "";
    const band = round.bands[side] ?? round.bands[""];
    const what = band ? `${say(band.what)} ${band.text}` : say("no-range");
    const number = found.wrong || m.target !== "reading" ? null : value(found.typed, found.unit || round.unit);
    const middle = step && m.book.middle(round, step);
    const before = step ? m.book.at(round, step).at(-1) : null;
    const apart = (x) => Math.abs(x).toFixed(Math.max(2, m.tool.decimals[0]));
    let told = band ? [what] : [say("no-range")];
    if (number !== null && band) {
      const [low, high] = [band.low ?? -Infinity, band.high ?? Infinity];
      const way = number > high ? "over" : number < low ? "under" : "within";
      told = [say(way, { d: apart(number > high ? number - high : low - number), what })];
    }
    if (middle !== null && middle !== undefined) {
      const off = number === null ? "" : ` (${number < middle ? "−" : "+"}${apart(number - middle)})`;
      told.push(say("others", { v: middle.toFixed(m.tool.decimals[0]) }) + off);
    }
    if (m.parts.length) told = [`${[...m.parts].join(" + ")} = ${m.sum.typed}`];
    if (before) told.unshift(say("stands-here", { v: shown(before) }));
    if (m.bladed && m.goes !== null) told = [say(m.goes ? "goes-wont" : "none-goes-asked", { goes: m.goes, wont: m.proposed() ?? "" })];
    put("distance", m.target === "reading" ? told.join(" · ") : "");
    this.strip(number, band);
  }

  strip(number, band) {
    const shown = Boolean(band && band.low !== null && band.high !== null);
    $("strip").classList.toggle("none", !shown);
    if (!shown) return;
    const wide = band.high - band.low || 0.01;
    const at = number === null ? null : Math.min(1, Math.max(0, (number - band.low + wide) / (3 * wide)));
    const mark = $("strip").querySelector("b");
    mark.hidden = at === null;
    mark.className = at === null ? "" : number > band.high ? "over" : number < band.low ? "under" : "in";
    mark.style.left = `${(at ?? 0) * 100}%`;
  }

  more() {
    const { m } = this;
    const temps = ["part", "gauge"].map((name) => `${say("temp-" + name)} ${m.temps[name] ?? "–"}`);
    this.latest = m.book.latest(m.round, 3);
    [0, 1, 2].forEach((n) => {
      const entry = this.latest[n];
      const key = $(`last-${n}`);
      key.classList.toggle("struck", Boolean(entry && m.book.struck(entry.id)));
      const where = entry && [said(entry.place).replace(/^\D+ (?=\d)/, ""), ...m.round.axes.map(([axis]) => entry.spot?.[axis])].join(" ");
      key.style.setProperty("--n", entry ? Math.max(6, shown(entry).length) : 6);
      fill(key, entry ? [shown(entry), where, say(m.book.struck(entry.id) ? "undo" : "was-wrong")] : ["–"]);
    });
    const first = m.round.axes[0]?.[1][0] ?? say("first-level");
    const next = m.nextRound();
    fill($("do-skip"), m.at >= 0 || !next ? [say("skip")] : [say("next"), nameOf(next)]);
    fill($("do-what"), [say("what"), nameOf(m.round)]);
    fill($("do-tool"), [say("with"), m.tool.name]);
    fill($("do-order"), [say("order"), m.order === "level" ? say("by-level", { level: first }) : say("by-place", { at: m.round.at })]);
    fill($("do-helper"), m.bladed ? [say("blades"), say("steps-of", { step: m.bladeStep })] : [say("read-as"), say(["helper-off", "helper-on", "helper-fine"][m.helper])]);
    $("do-helper").hidden = !m.bladed && !m.tool.turn;
    fill($("do-temps"), m.bladed ? [say("feel"), say(`feel-${m.feel ?? "none"}`)] : ["°C", ...temps]);
    $("do-temps").hidden = !m.bladed && !m.round.warm;
    fill($("do-sounds"), [say("sounds"), say(sounds.on ? "on" : "off")]);
    const open = m.open().length;
    fill($("do-questions"), [String(open), say("questions", { n: open })]);
    $("do-questions").hidden = !open;
  }

  signs() {
    const { m } = this;
    const last = m.book.latest(m.round, 1)[0];
    const state = last && say(m.book.struck(last.id) ? "struck" : last.state);
    put("last", last ? `${shown(last)} ${state}` : "");
    put("kept", m.waiting ? say("waiting", { n: m.waiting }) : last ? "" : say("all-saved"));
    put("link", m.shut ? say("shut") : m.linked ? "" : say("no-link"));
    $("kept").dataset.waiting = m.waiting;
    $("stage").classList.toggle("unlinked", Boolean(m.shut || !m.linked));
  }

  ready(yes) {
    const { writes } = this.m;
    put("ready", say(!writes ? "only-looks" : yes ? "ready" : "not-ready"));
    $("ready").dataset.ready = yes || !writes ? "yes" : "no";
    $("stage").classList.toggle("off", !yes);
  }

  tell(text) {
    put("told", text);
    $("stage").classList.toggle("telling", Boolean(text));
  }

  /** A list to choose from, as many at a time as there is room for. */
  choose(items, from = 0) {
    this.list = items;
    const room = 11;
    const shown = items.slice(from, from + room).map(([lines, act]) => cell(lines, () => {
      this.list = null;
      act();
      this.m.show.all();
    }));
    const rest = items.length > room ? [cell([say("next-page")], () => this.choose(items, from + room < items.length ? from + room : 0))] : [];
    $("lists").replaceChildren(...shown, ...rest, cell([say("back-to-keys")], () => {
      this.list = null;
      this.panel();
    }));
    this.panel();
  }
}
