// Exact numbers and the judgement of readings. Values are fractions of whole
// numbers, as the compiler wrote the limits: binary floats never come near.

// rat makes a fraction {n, d} of a decimal ("-0.05", "1e-3" is none) or of a
// fraction "a/b"; null where the text is neither.
function rat(text) {
  const part = /^([+-]?\d+)\/(\d+)$/.exec(text);
  if (part) {
    const d = BigInt(part[2]);
    return d === 0n ? null : { n: BigInt(part[1]), d };
  }
  const m = /^([+-]?)(\d*)(?:\.(\d*))?$/.exec(text);
  if (!m || !(m[2] || m[3])) return null;
  const n = BigInt((m[2] || "") + (m[3] || ""));
  return { n: m[1] === "-" ? -n : n, d: 10n ** BigInt((m[3] || "").length) };
}

const less = (a, b) => a.n * b.d < b.n * a.d;
const same = (a, b) => a.n * b.d === b.n * a.d;
const plus = (a, b) => ({ n: a.n * b.d + b.n * a.d, d: a.d * b.d });
const minus = (a, b) => plus(a, { n: -b.n, d: b.d });
const times = (a, b) => ({ n: a.n * b.n, d: a.d * b.d });
const over = (a, b) => (b.n < 0n ? { n: -a.n * b.d, d: -a.d * b.n } : { n: a.n * b.d, d: a.d * b.n });
const floor = (a) => (a.n < 0n && a.n % a.d !== 0n ? a.n / a.d - 1n : a.n / a.d);
const whole = (k) => ({ n: k, d: 1n });

// decimal writes a fraction with so many places, cut off, or as a/b where it
// would not be exact.
function decimal(a, places) {
  const scaled = a.n * 10n ** BigInt(places);
  if (scaled % a.d !== 0n) {
    for (let p = places + 1; p < 12; p++) if ((a.n * 10n ** BigInt(p)) % a.d === 0n) return decimal(a, p);
    return "≈ " + decimal({ n: floor({ n: scaled * 10n, d: a.d }), d: 10n ** BigInt(places + 1) }, places + 1);
  }
  let s = (scaled / a.d).toString();
  const sign = s[0] === "-" ? "-" : "";
  s = s.slice(sign.length).padStart(places + 1, "0");
  return sign + (places ? s.slice(0, -places) + "." + s.slice(-places) : s);
}

// shown is a decimal as the language of the page writes it.
const shown = (text, words) => text.replace(".", words.decimal || ".");

const placesOf = (text) => (text.split(".")[1] || "").length;

// readNumber reads what a hand typed: a comma is a point, the unit may stand
// behind it, a minus may be a true minus sign.
function readNumber(typed, unit) {
  let text = typed.trim().replace(/[\u2212\u2013]/g, "-").replace(/[\u00a0\u2009\u202f]/g, " ");
  if (unit && text.endsWith(unit)) text = text.slice(0, -unit.length).trim();
  if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(text)) return null;
  return rat(text.replace(",", "."));
}

// judgeCell says what one typed value is: {empty}, {value} or {fault}.
function judgeCell(typed, reading, words) {
  const text = typed.trim();
  if (text === "") return { empty: true };
  const step = reading.step ? rat(reading.step) : null;
  const places = placesOf(reading.step);
  const example = reading.from ? shown(decimal(rat(reading.from), places), words) : "0";
  if (text.length > 40) return { fault: fill(words.tooLong, { example }) };
  const value = readNumber(text, reading.unit);
  if (!value) return { fault: fill(words.notANumber, { value: text, example }) };
  const written = text + (reading.unit && !text.endsWith(reading.unit) ? "\u00a0" + reading.unit : "");
  if ((reading.from && less(value, rat(reading.from))) || (reading.to && less(rat(reading.to), value))) {
    return { fault: fill(words.outOfRange, { value: written, range: reading.range }) };
  }
  if (step && step.n !== 0n) {
    const origin = reading.origin ? rat(reading.origin) : whole(0n);
    const k = over(minus(value, origin), step);
    if (k.n % k.d !== 0n) {
      const below = plus(times(whole(floor(k)), step), origin), above = plus(below, step);
      return { fault: fill(words.offScale, { step: shown(reading.step, words) + "\u00a0" + reading.unit, below: shown(decimal(below, places), words), above: shown(decimal(above, places), words), value: text }) };
    }
  }
  return { value };
}

// combine makes one value of several takings.
function combine(values, of, reading) {
  if (of === "smallest") return values.reduce((a, b) => (less(b, a) ? b : a));
  if (of === "largest") return values.reduce((a, b) => (less(a, b) ? b : a));
  if (of === "mean") return over(values.reduce(plus), whole(BigInt(values.length)));
  return values[values.length - 1];
}

// toScale rounds a mean to what the instrument shows, halves to the even step
// (ISO 80000-1, rule A).
function toScale(value, reading) {
  const step = reading.step ? rat(reading.step) : null;
  if (!step || step.n === 0n) return value;
  const origin = reading.origin ? rat(reading.origin) : whole(0n);
  const k = over(minus(value, origin), step);
  let n = floor(k);
  const twice = times(minus(k, whole(n)), whole(2n));
  if (less(whole(1n), twice) || (same(twice, whole(1n)) && n % 2n !== 0n)) n += 1n;
  return plus(times(whole(n), step), origin);
}

// holds tells whether a value lies within limits.
function holds(limits, value) {
  if (limits.impossible) return false;
  if (limits.low) {
    const low = rat(limits.low);
    if (less(value, low) || (limits.lowOpen && same(value, low))) return false;
  }
  if (limits.high) {
    const high = rat(limits.high);
    if (less(high, value) || (limits.highOpen && same(value, high))) return false;
  }
  return true;
}

// forMember tells whether limits are those of the members chosen: of each
// variant they name, one of the members named.
function forMember(limits, chosen) {
  for (const [variant] of limits.for) {
    if (!limits.for.some(([v, m]) => v === variant && chosen[v] === m)) return false;
  }
  return true;
}

// variantsOf are the variants that lists of limits tell apart.
function variantsOf(lists) {
  const names = [];
  for (const list of lists) for (const l of list) for (const [v] of l.for) if (!names.includes(v)) names.push(v);
  return names;
}

// choices runs through every way to choose the members not chosen yet; it
// stops where visit returns false.
function choices(variants, chosen, families, visit) {
  const open = variants.filter((v) => chosen[v] === undefined);
  const go = (i, now) => {
    if (i === open.length) return visit(now);
    const family = families.find((f) => f.variant === open[i]);
    return !family || family.members.every((m) => go(i + 1, { ...now, [open[i]]: m.name }));
  };
  go(0, chosen);
  return open;
}

// branchFor finds the branch that takes a value: {number}, {need: variants} or
// {none: true}.
function branchFor(branches, value, reading, chosen, families) {
  const take = (now, v) => {
    const b = branches.find((x) => x.limits.some((l) => forMember(l, now) && holds(l, v)));
    return b ? b.number : 0;
  };
  let found = null;
  const open = choices(variantsOf(branches.map((b) => b.limits)), chosen, families, (now) => {
    const number = take(now, value) || take(now, toScale(value, reading));
    if (found !== null && found !== number) {
      found = -1;
      return false;
    }
    found = number;
    return true;
  });
  if (found === -1) return { need: open };
  return found ? { number: found } : { none: true };
}

// metFor judges the end of a repeat in the same way: {met: true or false} or
// {need: variants}.
function metFor(limits, value, reading, chosen, families) {
  const inside = { number: 1, limits };
  const outside = { number: 2, limits: [{ for: [] }] };
  const r = branchFor([inside, outside], value, reading, chosen, families);
  return r.need ? r : { met: r.number === 1 };
}

// fill puts values into the words of a sentence.
function fill(sentence, values) {
  return sentence.replace(/\{(\w+)\}/g, (all, name) => (name in values ? values[name] : all));
}
