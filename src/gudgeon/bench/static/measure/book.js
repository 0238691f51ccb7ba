// What there is to read, what was read, and where the hand is now.
import { value } from "./parse.js";

const ANSWERED = "right-as-read-";

export class Book {
  constructor(plan) {
    this.plan = plan;
    this.entries = new Map();
    this.strikes = new Map();
    this.answered = new Set(plan.answered);
    for (const entry of plan.readings) this.apply(entry, "saved");
  }

  /** Take an entry in, wherever it came from. True where it was not known before. */
  apply(entry, state) {
    const known = this.entries.get(entry.id);
    if (known) {
      known.state = state;
      known.device ??= entry.device;
      return false;
    }
    if (entry.kind === "strike") {
      const all = this.strikes.get(entry.target) ?? new Set();
      this.strikes.set(entry.target, all.add(entry.id));
    } else if (entry.kind === "setting" && entry.name.startsWith(ANSWERED)) {
      this.answered.add(entry.value);
    }
    this.entries.set(entry.id, { ...entry, state });
    return true;
  }

  struck(id) {
    return [...(this.strikes.get(id) ?? [])].some((strike) => !this.struck(strike));
  }

  /** The strike that counts against an entry. */
  strikeOf(id) {
    return [...(this.strikes.get(id) ?? [])].find((strike) => !this.struck(strike));
  }

  isReading(entry) {
    return entry.kind === "reading" || entry.kind === "feeler";
  }

  /** Readings of a feature and epoch, oldest first. */
  every(round) {
    const found = [];
    for (const entry of this.entries.values()) {
      if (this.isReading(entry) && entry.feature === round.feature && (entry.epoch ?? "found") === round.epoch) found.push(entry);
    }
    return found.sort((a, b) => (a.at < b.at ? -1 : 1));
  }

  /** Those that count. */
  of(round) {
    return this.every(round).filter((entry) => !this.struck(entry.id));
  }

  at(round, step, list = this.of(round)) {
    return list.filter(
      (entry) => entry.place === step[0] &&
        round.axes.every(([axis], n) => (entry.spot ?? {})[axis] === step[1][n]),
    );
  }

  /** The step of its round that an entry belongs to; -1 for none. */
  stepOf(round, entry) {
    return round.steps.findIndex((step) => this.at(round, step, [entry]).length);
  }

  roundOf(entry) {
    return this.plan.rounds.find(
      (round) => this.isReading(entry) && round.feature === entry.feature && round.epoch === (entry.epoch ?? "found"),
    );
  }

  left(round) {
    const list = this.of(round);
    return round.steps.filter((step) => !this.at(round, step, list).length).length;
  }

  /** The last readings, newest first, struck ones too. */
  latest(round, count) {
    return this.every(round).reverse().slice(0, count);
  }

  /** What the same is elsewhere, in the middle [mm, g]; inlet with inlet. Null for fewer than two. */
  middle(round, step) {
    const side = sideOf(step[0]);
    const found = this.of(round)
      .filter((entry) => entry.typed && sideOf(entry.place) === side && !this.at(round, step, [entry]).length)
      .map((entry) => value(entry.typed, entry.unit ?? round.unit))
      .sort((a, b) => a - b);
    const half = found.length >> 1;
    if (found.length < 2) return null;
    return found.length % 2 ? found[half] : (found[half - 1] + found[half]) / 2;
  }
}

/** The side of a place that has sides: "in" for valve/3/in/L. */
export const sideOf = (place) => (place.split("/").length === 4 ? place.split("/")[2] : "");

/** A round as people say it. */
export const nameOf = (round) => round.feature + (round.epoch === "found" ? "" : ` ${round.epoch}`);

/** A place as people say it. */
export const said = (place) => place.replaceAll("/", " ");

/** An entry's reading in short. */
export function shown(entry) {
  if (entry.kind !== "feeler") return entry.typed;
  return entry.goes ? `${entry.goes}…${entry.wont ?? ""}` : `< ${entry.wont}`;
}
