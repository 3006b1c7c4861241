// The soft checks of a girth: they ask, they never block. The limits are those of
// package girth (M1, M5, M6, common practice, no source); the server decides.

import { meant, toMM } from "./number.js";

const rounding = 1e-9;

export const apart = (a, b) => Math.abs(a - b) > Math.max(3, 0.015 * (a + b) / 2) + rounding;
export const bigStep = (a, b) => Math.abs(b - a) > 0.2 * a + rounding;
export const bigChange = (last, now) => Math.abs(now - last) > 0.08 * last + rounding;

// pooled is the girth that readings in millimetres stand for: the mean of two,
// the median of three.
export function pooled(readings) {
  const sorted = readings.filter((r) => r != null).sort((a, b) => a - b);
  if (!sorted.length) return null;
  return sorted.length === 3 ? sorted[1] : sorted.reduce((a, b) => a + b) / sorted.length;
}

// check looks at one row and returns what to ask about it, as {id, …figures in mm},
// or null. row has texts (by pass), lastMM and aboveMM, which may be null.
export function check(row, unit) {
  const readings = row.texts.map((t) => toMM(t, unit));
  for (const [i, mm] of readings.entries()) {
    if (mm == null || (mm >= 20 && mm <= 2000 && !wrongByTen(mm, row.lastMM))) continue;
    const guess = meant(mm, unit, row.lastMM ?? row.aboveMM);
    if (guess && Math.abs(guess - mm) > rounding) return { id: "meant", typed: row.texts[i].trim(), guessMM: guess };
  }
  const [first, second, third] = readings;
  if (first != null && second != null && apart(first, second)) {
    return { id: third == null ? "apart" : "middle", apartMM: Math.abs(first - second) };
  }
  const now = pooled(readings);
  if (now == null) return null;
  if (row.lastMM && bigChange(row.lastMM, now)) return { id: "change" };
  if (row.aboveMM && bigStep(row.aboveMM, now)) return { id: "step" };
  return null;
}

// wrongByTen tells whether a possible girth is ten times or a tenth of last time's.
function wrongByTen(mm, lastMM) {
  return Boolean(lastMM) && !bigChange(lastMM, mm > lastMM ? mm / 10 : mm * 10);
}
