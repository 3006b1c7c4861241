// Lengths as people type them, the way the server reads them: "31,2", "31.2",
// "31.2 cm", "1 234" with a space for thousands. What can't be read is null here and
// is the server's to explain.

export const millimetres = { mm: 1, cm: 10, in: 25.4 };
const decimals = { mm: 0, cm: 1, in: 2 };

// parse returns the number and the unit that was meant, or null.
export function parse(text, unit) {
  const m = /^((?:\d+|[1-9]\d{0,2}(?:\s\d{3})+)(?:[.,]\d+)?|[.,]\d+)\s*(mm|cm|in)?$/.exec(text.trim().toLowerCase());
  if (!m) return null;
  return { value: Number(m[1].replace(/\s/g, "").replace(",", ".")), unit: m[2] ?? unit };
}

// toMM returns a typed length in millimetres, or null.
export function toMM(text, unit) {
  const typed = parse(text, unit);
  return typed && typed.value * millimetres[typed.unit];
}

// show writes millimetres in a unit, with its decimals and the person's mark.
export function show(mm, unit, comma) {
  const text = (mm / millimetres[unit]).toFixed(decimals[unit]);
  return comma ? text.replace(".", ",") : text;
}

// meant guesses what a girth outside 20 to 2000 mm was meant to be: a forgotten
// decimal mark, or another unit. The guess nearest to a girth known for the place
// wins; without one the forgotten mark. It returns millimetres, or null.
export function meant(mm, unit, knownMM) {
  const typed = mm / millimetres[unit];
  const guesses = [mm / 10, mm * 10, ...Object.values(millimetres).map((f) => typed * f)].filter((g) => g >= 20 && g <= 2000);
  if (!guesses.length) return null;
  if (!knownMM) return guesses[0];
  return guesses.reduce((a, b) => (Math.abs(Math.log(b / knownMM)) < Math.abs(Math.log(a / knownMM)) ? b : a));
}
