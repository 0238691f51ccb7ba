// Numbers as gauges and fingers give them. Nothing here guesses: what is no number is refused.
export const MM = {
  mm: 1, cm: 10, m: 1000, um: 0.001, "µm": 0.001, "μm": 0.001, in: 25.4, inch: 25.4, '"': 25.4, thou: 0.0254,
};
export const GRAMS = { g: 1, kg: 1000 };
const NUMBER = /^([+\-−]?)\s*(\d*)([.,]?)(\d*)\s*([a-zµμ"]*)$/i;

/** {typed, unit, decimals} of a text; unit "" where it names none; {wrong} where it is no number. */
export function read(text) {
  const match = NUMBER.exec(text.trim());
  if (!match || !(match[2] || match[4]) || text.length > 30) return { wrong: "number" };
  const [, sign, whole, mark, part, suffix] = match;
  let unit = suffix.toLowerCase();
  if (unit === "inch" || unit === '"') unit = "in";
  if (unit && !(unit in MM) && !(unit in GRAMS)) return { wrong: "unit", unit: suffix };
  return { typed: (sign === "-" || sign === "−" ? "-" : "") + whole + mark + part, unit, decimals: part.length };
}

/** A number as typed in its unit, in millimetres or grams. */
export function value(typed, unit) {
  return Number(typed.replace(",", ".").replace("−", "-")) * (MM[unit] ?? GRAMS[unit] ?? 1);
}

/** Sleeve, thimble and perhaps vernier as read, brought to one number; {wrong, right} where one can't be. */
export function sleeveSum(parts, unit, mark) {
  const inch = unit === "in";
  const [step, most, small, fine] = inch ? [0.025, 24, 0.001, 0.0001] : [0.5, 49, 0.01, 0.001];
  const number = (text) => Number(text.replace(",", "."));
  const turns = number(parts[0]) / step;
  if (Math.abs(turns - Math.round(turns)) > 1e-6) return { wrong: "sleeve", right: step };
  if (parts.length > 1 && !(/^\d\d?$/.test(parts[1]) && number(parts[1]) <= most)) {
    return { wrong: "thimble", right: most };
  }
  if (parts.length > 2 && !/^\d$/.test(parts[2])) return { wrong: "vernier", right: 9 };
  const sum = number(parts[0]) + number(parts[1] ?? "0") * small + number(parts[2] ?? "0") * fine;
  return { typed: sum.toFixed((inch ? 3 : 2) + (parts.length > 2 ? 1 : 0)).replace(".", mark) };
}

/** Blades of a set in steps, as typed: to 0.30 in the step, then coarser. */
export function bladesOf(step) {
  const made = [];
  for (let at = 3; at <= 100; at += at < 30 ? Math.round(step * 100) : 5) made.push((at / 100).toFixed(2));
  return made;
}
