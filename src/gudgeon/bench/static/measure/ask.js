// Questions: what each says, and what each answer writes. Nothing typed is changed; an answer adds
// entries.
import { words } from "../bench.js";
import { said, shown } from "./book.js";
import { newId, now } from "./queue.js";

/** A string of the page, with facts filled in; the form for one where there is one. */
export function say(key, facts = {}) {
  const text = (facts.n === 1 && words[key + "-one"]) || words[key] || key;
  return text.replace(/\{(\w+)\}/g, (_, name) => facts[name] ?? "");
}

export const entryOf = (kind, fields) => ({ id: newId(), at: now(), kind, ...fields });
export const strikeOf = (target, reason) => entryOf("strike", { target, reason });
const rightOf = (key) => entryOf("setting", { name: "right-as-read-" + newId().slice(2, 14), value: key });
const whole = (entry) => `${shown(entry)} ${entry.unit ?? ""}`.trim();
const spot = (entry) => [said(entry.place), ...Object.values(entry.spot ?? {})].join(" · ");
const option = (words, write, then = "") => ({ words, write, then });

/** The same reading with another number in its place, the old one struck, and why. */
function instead(old, typed, unit, why) {
  const { id, at, device, prev, state, kind, ...fields } = old;
  return [
    strikeOf(id, why),
    entryOf(kind, { ...fields, typed, unit }),
    entryOf("note", { place: old.place, text: say("note-taken", { v: `${typed} ${unit}`, read: whole(old), why }) }),
  ];
}

/** Two readings faster than a hand is. */
export function byHaste(first, second) {
  const facts = { a: whole(first), b: whole(second), pa: spot(first), pb: spot(second) };
  const key = `press ${second.id}`;
  return { key, entries: [first.id, second.id], text: say("ask-double", facts), options: [
    option(say("two-readings"), () => [rightOf(key)]),
    { ...option(say("one-press", facts), () => [strikeOf(second.id, say("reason-press"))], "go"), to: second.id },
  ] };
}

/** The gauge named another unit than is usual here. */
export function byUnit(entry, usual) {
  const key = `unit ${entry.id}`;
  return { key, entries: [entry.id], text: say("ask-unit", { v: whole(entry), usual }), options: [
    option(say("unit-right", { unit: entry.unit }), () => [rightOf(key)]),
    option(say("unit-wrong", { usual }), () => instead(entry, entry.typed, usual, say("why-unit"))),
    option(say("measure-again"), () => [strikeOf(entry.id, say("reason-again"))], "go"),
  ] };
}

/** What the bench asks: another number would explain the reading better, or two devices read one spot. */
export function byBench({ key, kind, why, text, readings, departure }, book) {
  const found = readings.map((one) => [one, book.entries.get(one.entry)]).filter(([, entry]) => entry);
  const entries = found.map(([, entry]) => entry);
  const strike = (entry) => option(say("strike", { v: whole(entry) }), () => [strikeOf(entry.id, why)]);
  const right = (words) => option(say(words), () => (kind === "twice" || !entries.length ? [key] : entries.map((entry) => entry.id)).map(rightOf));
  let options = [right("right-as-read")];
  if (kind === "twice") options = [right("both-stand"), ...entries.map(strike)];
  else if (entries.length) {
    const v = `${readings[0].typed} ${readings[0].unit}` + (found.length > 1 ? ` (× ${found.length})` : "");
    options.unshift(option(say("take", { v }), () => found.flatMap(([one, entry]) => instead(entry, one.typed, one.unit, why))));
    options.push(option(say("measure-again"), () => entries.map((entry) => strikeOf(entry.id, say("reason-again"))), "go"));
  } else if (departure) {
    const { kind: sort, ...fields } = departure;
    options.unshift(option(say("take-departure"), () => [entryOf(sort, fields)]));
  }
  return { key, entries: entries.map((entry) => entry.id), text, options };
}

/** The bench would not have an entry: the same id stands for another, or it can't be used. */
export function byRefusal({ entry, status, answer = {} }) {
  const v = entry.place ? `${whole(entry)}, ${spot(entry)}` : entry.kind;
  const why = (answer.faults ?? []).map((fault) => `${fault.wrong}, ${fault.right}`).join("; ");
  const stored = answer.stored?.place ? `${whole(answer.stored)}, ${spot(answer.stored)}` : answer.stored?.kind;
  const text = stored ? say("ask-differs", { v, stored }) : say("ask-refused", { v, why });
  const options = [{ ...option(say("drop"), () => []), drop: entry.id }];
  if (status === 409) options.unshift({ ...option(say("send-anew"), () => [{ ...entry, id: newId() }]), drop: entry.id });
  return { key: `refused ${entry.id}`, entries: [], text, options, stays: true };
}
