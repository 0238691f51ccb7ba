// The measuring page: one position, one number, and on to the next.
import { job, keep, kept, send } from "./bench.js";
import { byBench, byHaste, byRefusal, byUnit, entryOf, say, strikeOf } from "./measure/ask.js";
import { Book, nameOf, said, shown, sideOf } from "./measure/book.js";
import { Gauge } from "./measure/gauge.js";
import { bladesOf, read, sleeveSum } from "./measure/parse.js";
import { Queue } from "./measure/queue.js";
import { Show } from "./measure/show.js";
import { doubt, switchSounds, taken } from "./measure/sound.js";

const HASTE = 300;
const DAY = 12 * 3600 * 1000;
const plan = JSON.parse(document.getElementById("plan").textContent);

class Measure {
  constructor() {
    this.book = new Book(plan);
    this.writes = document.body.dataset.writes === "yes";
    this.mark = new Intl.NumberFormat(navigator.language).format(1.5).includes(",") ? "," : ".";
    this.questions = [];
    this.later = new Set();
    this.target = "reading";
    this.parts = [];
    this.goes = null;
    this.helper = Number(kept("helper") ?? 0);
    this.bladeStep = Number(kept(`blades.${job}`) ?? 0.01);
    this.shift = 0;
    this.temps = JSON.parse(kept(`temps.${job}`) ?? "{}");
    if (Date.now() - (this.temps.at ?? 0) > DAY) this.temps = {};
    this.waiting = 0;
    this.linked = true;
    this.have = plan.count;
    this.chain = Promise.resolve();
    this.queue = new Queue((record, what, answer) => this.heard(record, what, answer));
  }

  async start() {
    const before = JSON.parse(kept(`round.${job}`) ?? "{}");
    const wanted = plan.feature ? plan : before;
    const by = (round) => round.feature === wanted.feature && (!wanted.epoch || round.epoch === wanted.epoch);
    this.order = before.order ?? "place";
    this.show = new Show(this);
    this.durable = await this.queue.open();
    const mine = (await this.queue.all()).filter((record) => record.job === job);
    for (const { entry, state } of mine) this.book.apply(entry, state === "refused" ? "refused" : "here");
    this.choose(plan.rounds.find(by) ?? plan.rounds.find((round) => this.book.left(round)) ?? plan.rounds[0], plan.place);
    for (const record of mine) if (record.state === "refused") this.ask(byRefusal(record));
    this.gauge = new Gauge(document.getElementById("capture"), {
      taken: (text, when) => this.taken(text, when),
      typing: (text) => this.typing(text),
      ready: (yes) => this.show.ready(yes),
    });
    this.gauge.watch();
    document.getElementById("measure").addEventListener("click", ({ target }) => {
      const key = target.closest("[data-do]");
      if (key) this.act(key.dataset.do, key);
    });
    document.addEventListener("gudgeon:entry", (event) => this.news(event.detail));
    const sign = document.getElementById("state");
    new MutationObserver(() => {
      this.linked = sign.dataset.state !== "unlinked";
      if (this.linked) this.queue.pump();
      this.show.signs();
    }).observe(sign, { attributes: true });
    if (!this.writes) this.tell("");
    else if (!this.durable) this.tell(say("queue-failed"));
    await this.recount();
    this.queue.pump();
    this.catchUp();
    this.askBench();
    const awake = () => navigator.wakeLock?.request("screen").catch(() => {}); // only a wish
    document.addEventListener("visibilitychange", awake);
    awake();
    document.documentElement.dataset.measuring = "yes";
  }

  // ---- where the hand is
  get tool() {
    const name = kept(`tool.${job}.${this.round.feature}`);
    return this.round.tools.find((tool) => tool.name === name) ?? this.round.tools[0];
  }

  get bladed() {
    return this.round.blades && this.tool.feels;
  }

  get blades() {
    return this.tool.blades.length && !kept(`blades.${job}`) ? this.tool.blades : bladesOf(this.bladeStep);
  }

  get sequence() {
    return this.order === "level" ? this.round.by_level : this.round.steps.map((_, at) => at);
  }

  choose(round, place = "") {
    this.round = round;
    this.shift = 0;
    this.goes = null;
    this.parts = [];
    const list = this.book.of(round);
    const open = this.sequence.filter((at) => !this.book.at(round, round.steps[at], list).length);
    const there = (at) => round.steps[at][0] === place;
    this.at = open.find(there) ?? this.sequence.find(there) ?? open[0] ?? -1;
    this.remember();
    this.show.all();
  }

  remember() {
    keep(`round.${job}`, JSON.stringify({ feature: this.round.feature, epoch: this.round.epoch, order: this.order }));
  }

  /** The next step without a reading, from here on and round again; -1 where all are read. */
  next(from = this.at) {
    const list = this.book.of(this.round);
    const sequence = this.sequence;
    const begin = sequence.indexOf(from);
    for (let n = 1; n <= sequence.length; n += 1) {
      const at = sequence[(begin + n) % sequence.length];
      if (at !== from && !this.book.at(this.round, this.round.steps[at], list).length) return at;
    }
    return -1;
  }

  go(at) {
    this.at = at;
    this.goes = null;
    this.parts = [];
    this.show.all();
  }

  /** Another round with something left to read, in the order of the sheet. */
  nextRound() {
    const at = plan.rounds.indexOf(this.round);
    return [...plan.rounds.slice(at + 1), ...plan.rounds.slice(0, at)].find((round) => this.book.left(round));
  }

  skip() {
    const at = this.next();
    if (at >= 0) this.go(at);
    else if (this.at < 0 && this.nextRound()) this.choose(this.nextRound());
  }

  previous() {
    const sequence = this.sequence;
    const here = this.at < 0 ? 0 : sequence.indexOf(this.at);
    this.go(sequence[(here - 1 + sequence.length) % sequence.length]);
  }

  repeat() {
    const last = this.book.latest(this.round, 9).find((entry) => !this.book.struck(entry.id));
    if (last) this.go(this.book.stepOf(this.round, last));
    else this.tell(say("no-reading"));
  }

  // ---- what comes in
  /** One thing after the other: a reading that comes while the one before is being kept waits. */
  run(work) {
    this.chain = this.chain.then(work).catch((problem) => {
      this.refuse(String(problem));
      reportError(problem);
    });
  }

  /** What the field holds now; a device that may only look is told so, and nothing stays in it. */
  typing(text) {
    if (this.writes || !text) return this.show.typing(text);
    this.refuse(say("looks"));
    return this.gauge.set("");
  }

  taken(text, when) {
    this.run(() => this.one(text.trim(), when));
  }

  async one(text, when) {
    if (!this.writes) return this.refuse(say("looks"));
    this.tell("");
    if (this.target !== "reading") return this.temperature(text);
    if (!text && this.bladed && this.goes !== null) return this.wont(this.proposed());
    if (!text) return this.tell(say("lone-enter"));
    const found = read(text);
    if (found.wrong) return this.refuse(say(found.wrong === "unit" ? "no-unit" : "not-number", { text, unit: found.unit }));
    if (this.bladed && !found.unit) return this.blade(found.typed);
    if (this.helper && this.tool.turn && !found.unit) return this.part(found.typed, when);
    return this.store(found.typed, found.unit || this.round.unit, when);
  }

  part(typed, when) {
    const parts = [...this.parts, typed];
    const sum = sleeveSum(parts, this.round.unit, this.mark);
    if (sum.wrong) {
      const right = say(sum.wrong + "-right", { step: sum.right, most: sum.right });
      return this.refuse(say("helper-bad", { part: say(sum.wrong), text: typed, right }));
    }
    this.parts = parts;
    this.sum = sum;
    if (parts.length <= this.helper) return this.show.all();
    this.parts = [];
    return this.store(sum.typed, this.round.unit, when);
  }

  temperature(text) {
    const found = read(text);
    const degrees = found.wrong ? NaN : Number(found.typed.replace(",", "."));
    if (text && !(degrees >= -20 && degrees <= 120 && !found.unit)) return this.refuse(say("temp-bad", { text }));
    this.temps = { ...this.temps, [this.target]: text ? found.typed : undefined, at: Date.now() };
    keep(`temps.${job}`, JSON.stringify(this.temps));
    this.target = this.target === "part" ? "gauge" : "reading";
    return this.show.all();
  }

  get step() {
    return this.round.steps[this.at];
  }

  entry(kind, fields) {
    const [place, spot] = this.step;
    const { feature, epoch, axes } = this.round;
    const before = this.book.at(this.round, this.step);
    const attempt = 1 + Math.max(0, ...before.map((entry) => entry.attempt ?? 1));
    const where = { place, feature, epoch, attempt: Math.min(99, attempt), instrument: this.tool.name };
    if (kind === "reading") {
      where.spot = Object.fromEntries(axes.map(([axis], n) => [axis, spot[n]]));
      if (this.round.warm && this.temps.gauge) where.gauge_temp = this.temps.gauge;
    }
    if (this.round.warm && this.temps.part) where.part_temp = this.temps.part;
    return entryOf(kind, { ...where, ...fields });
  }

  async store(typed, unit, when = -1e9) {
    if (this.at < 0) return this.refuse(say("came-late", { typed }));
    const entry = this.entry("reading", { typed, unit });
    await this.kept([entry]);
    const before = this.before;
    this.before = { entry, when };
    if (before && when - before.when < HASTE) this.ask(byHaste(before.entry, entry));
    else if (unit !== this.round.unit) this.ask(byUnit(entry, this.round.unit));
    else taken();
    return this.moveOn();
  }

  moveOn() {
    this.at = this.next();
    this.goes = null;
    this.show.all();
  }

  // ---- blades
  blade(typed) {
    if (this.goes === null) {
      this.goes = typed;
      return this.show.all();
    }
    return this.wont(typed);
  }

  proposed() {
    return this.blades.find((blade) => Number(blade) > Number(this.goes || 0)) ?? null;
  }

  async wont(typed) {
    if (this.at < 0) return this.refuse(say("came-late", { typed: this.goes }));
    if (typed !== null && Number(typed) <= Number(this.goes || 0)) return this.refuse(say("not-thicker", { wont: typed, goes: this.goes }));
    const fields = { unit: this.round.unit };
    if (this.goes) fields.goes = this.goes;
    if (typed !== null) fields.wont = typed;
    if (this.goes && this.feel) fields.feel = this.feel;
    await this.kept([this.entry("feeler", fields)]);
    this.feel = null;
    taken();
    return this.moveOn();
  }

  // ---- what goes out
  /** Entries on the disk of this device; sent from then on. */
  async kept(entries, drop = []) {
    if (drop.length) {
      await this.queue.change([], drop);
      drop.forEach((id) => this.book.entries.delete(id));
    }
    if (entries.length) {
      await this.queue.add(job, entries);
      entries.forEach((entry) => this.book.apply(entry, "here"));
      this.waiting += entries.length;
    }
  }

  heard(record, what, answer) {
    if (what === "changed") return this.recount();
    this.shut = what === "shut";
    if (what === "saved" && record.job === job) {
      this.linked = true;
      this.book.apply(answer.entry, "saved");
      this.askBench();
    }
    if (what === "refused" && record.job === job) {
      this.book.apply(record.entry, "refused");
      this.ask(byRefusal(record));
    }
    if (what === "lost") this.linked = false;
    return this.recount();
  }

  async recount() {
    this.waiting = (await this.queue.all()).filter((record) => record.state === "waiting").length;
    this.show.signs();
    this.show.more();
  }

  // ---- news from others
  news({ entry, count }) {
    const gap = count > this.have + 1;
    if (count === this.have + 1) this.have = count;
    this.from(entry);
    if (gap) this.catchUp();
  }

  from(entry) {
    if (!this.book.apply(entry, "saved")) return this.show.signs();
    if (this.book.roundOf(entry) === this.round) {
      this.tell(say("from-device", { v: shown(entry), place: said(entry.place), device: entry.device ?? "" }));
      this.askBench();
    }
    return this.show.all();
  }

  async catchUp() {
    const { status, body } = await send("GET", `/api/jobs/${encodeURIComponent(job)}/entries?after=${this.have}`);
    if (status !== 200) return;
    this.have = Math.max(this.have, body.count);
    body.entries.forEach((entry) => this.from(entry));
  }

  // ---- questions
  async askBench() {
    if (this.asking) return void (this.askAgain = true);
    this.asking = true;
    const { feature } = this.round;
    const { status, body } = await send("GET", `/api/jobs/${encodeURIComponent(job)}/features/${encodeURIComponent(feature)}/questions`);
    if (status === 200) body.questions.forEach((found) => this.ask(byBench(found, this.book)));
    this.asking = false;
    if (this.askAgain) {
      this.askAgain = false;
      this.askBench();
    }
  }

  settled(question) {
    const { answered } = this.book;
    if (question.stays) return false;
    return answered.has(question.key) ||
      question.entries.some((id) => this.book.struck(id) || (answered.has(id) && question.entries.length === 1));
  }

  ask(question) {
    if (!this.writes) return; // it could not answer
    const known = this.questions.some((one) => one.key === question.key);
    if (known || this.later.has(question.key) || this.settled(question)) return;
    this.questions.push(question);
    this.show.turn = 0;
    doubt();
    this.show.all();
  }

  open() {
    this.questions = this.questions.filter((question) => !this.settled(question));
    return this.questions.filter((question) => !this.later.has(question.key));
  }

  async answer(question, option) {
    this.questions = this.questions.filter((one) => one !== question);
    const entries = option ? option.write() : [];
    this.show.turn = 0;
    if (!option) {
      this.questions.unshift(question);
      this.later.add(question.key);
    }
    await this.kept(entries, option?.drop ? [option.drop] : []);
    if (option?.then === "go") {
      const entry = this.book.entries.get(option.to ?? question.entries[0]);
      this.round = this.book.roundOf(entry);
      this.at = this.book.stepOf(this.round, entry);
    }
    this.recount();
    this.show.all();
  }

  async wrong(entry) {
    const strike = this.book.strikeOf(entry.id);
    await this.kept([strikeOf(strike ?? entry.id, strike ? "" : say("reason-wrong"))]);
    if (!strike) this.go(this.book.stepOf(this.round, entry));
    this.show.all();
  }

  // ---- keys
  /** The blades on the keys: those about where the gap should be, or where it was turned to. */
  page() {
    const band = this.round.bands[this.step ? sideOf(this.step[0]) : ""] ?? this.round.bands[""];
    const middle = ((band?.low ?? 0.1) + (band?.high ?? band?.low ?? 0.2)) / 2;
    const at = this.blades.findIndex((blade) => Number(blade) >= middle) - 5 + this.shift * 9;
    const from = Math.max(0, Math.min(this.blades.length - 10, at));
    return this.blades.slice(from, from + 10);
  }

  act(name, key) {
    if (key.getAttribute("aria-disabled") === "true") return this.refuse(say("looks"));
    const { gauge } = this;
    const bladed = this.bladed && this.target === "reading";
    const type = (text) => gauge.set(gauge.field.value + text);
    const acts = {
      digit: () => (bladed ? this.taken(key.firstChild.textContent) : type(key.dataset.n)),
      mark: () => {
        if (bladed) this.shift -= 1;
        else if (/[.,]/.test(gauge.field.value)) this.refuse(say("second-mark"));
        else type(gauge.field.value.replace(/\D/g, "") ? this.mark : "0" + this.mark);
      },
      back: () => (bladed ? (this.shift += 1) : gauge.set(gauge.field.value.slice(0, -1))),
      sign: () => {
        if (bladed) this.goes = "";
        else gauge.set(gauge.field.value.startsWith("-") ? gauge.field.value.slice(1) : "-" + gauge.field.value);
      },
      enter: () => gauge.end(performance.now()),
      more: () => this.show.panel("more"),
      keys: () => this.show.panel("keys"),
      previous: () => this.previous(),
      skip: () => this.skip(),
      repeat: () => this.repeat(),
      wrong: () => {
        const entry = this.show.latest[key.dataset.n];
        if (entry) this.run(() => this.wrong(entry));
      },
      what: () => this.what(),
      tool: () => this.show.choose(this.round.tools.map((tool) => [[tool.name, tool.words], () => {
        keep(`tool.${job}.${this.round.feature}`, tool.name);
        this.go(this.at);
      }])),
      temps: () => {
        const feels = [null, "free", "drag", "tight"];
        if (bladed) this.feel = feels[(feels.indexOf(this.feel ?? null) + 1) % 4];
        else this.target = this.target === "reading" ? "part" : "reading";
        this.show.panel("keys");
      },
      order: () => {
        this.order = this.order === "place" ? "level" : "place";
        this.remember();
      },
      helper: () => {
        const steps = [0.01, 0.02, 0.05];
        if (bladed) keep(`blades.${job}`, (this.bladeStep = steps[(steps.indexOf(this.bladeStep) + 1) % 3]));
        else keep("helper", (this.helper = (this.helper + 1) % 3));
        this.parts = [];
      },
      sounds: switchSounds,
      questions: () => this.later.clear(),
      pages: () => document.body.classList.toggle("with-pages"),
    };
    acts[name]();
    return this.show.all();
  }

  /** What to measure: the parts of the engine, then what is read of each. */
  what() {
    const rounds = plan.rounds;
    const state = (list) => {
      const left = list.reduce((sum, round) => sum + this.book.left(round), 0);
      return left ? say("left", { n: left }) : say("done");
    };
    const one = (round) => [[nameOf(round), state([round])], () => this.choose(round)];
    const parts = [...new Set(rounds.map((round) => round.part))];
    const of = (part) => rounds.filter((round) => round.part === part);
    if (rounds.length <= 12) return this.show.choose(rounds.map(one));
    return this.show.choose(parts.map((part) => [[part || say("other-parts"), state(of(part))], () => this.show.choose(of(part).map(one))]));
  }

  tell(text) {
    this.show.tell(this.writes ? text : say("looks")); // that sentence stays
  }

  refuse(text) {
    this.tell(text);
    doubt();
  }
}

if (plan.rounds.length) {
  const measure = new Measure();
  window.gudgeonMeasure = measure;
  measure.start();
}
