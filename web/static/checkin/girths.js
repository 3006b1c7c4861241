// The tape's table: the order of the fields, the blind passes, the soft checks and
// the buttons for a gloved hand. The markup is described in checkin.js.

import { check, pooled } from "./checks.js";
import { show, toMM } from "./number.js";
import { fill } from "./words.js";

const shape = () => document.getElementById("shape-soon").content.firstElementChild.cloneNode(true);

export class Girths {
  constructor(element, words) {
    this.element = element;
    this.words = words;
    this.unit = element.dataset.unit;
    this.comma = "comma" in element.dataset;
    this.pass = Number(element.dataset.passNow); // 1, or 2 for any later one
    this.rows = [...element.querySelectorAll("[data-level]")].map((row) => ({
      row,
      fields: [1, 2, 3].map((pass) => row.querySelector(`[data-pass="${pass}"]`)),
      last: row.querySelector("[data-last]"),
      third: row.querySelector("[data-third]"),
      say: row.querySelector("[data-say]"),
      lastMM: Number(row.dataset.lastMm) || null,
    }));
    this.live = element.appendChild(document.createElement("p"));
    this.live.className = "unseen";
    this.live.setAttribute("aria-live", "polite");
    for (const r of this.rows) for (const f of r.fields) if (f) this.listen(f);
    for (const r of this.rows) this.settle(r, true);
    this.cover();
  }

  value(r, pass) {
    return r.fields[pass - 1] ? toMM(r.fields[pass - 1].value, this.unit) : null;
  }

  listen(field) {
    field.addEventListener("focus", () => field.select());
    // While a number is half typed nothing is asked; leaving the field asks.
    field.addEventListener("change", () => this.leave(field));
    field.addEventListener("keydown", (event) => {
      if (event.key === "ArrowUp" || event.key === "ArrowDown") {
        event.preventDefault();
        this.step(field, event.key === "ArrowUp" ? 1 : -1);
      }
    });
  }

  // leave asks what there is to ask about a field that is left.
  leave(field) {
    const i = this.rows.findIndex((r) => r.fields.includes(field));
    this.settle(this.rows[i]);
    if (this.rows[i + 1]) this.settle(this.rows[i + 1], true);
    this.cover();
  }

  // step moves a field by whole millimetres.
  step(field, mm) {
    const now = toMM(field.value, this.unit);
    if (now == null) return;
    field.value = show(Math.max(0, now + mm), this.unit, this.comma);
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.dispatchEvent(new Event("change", { bubbles: true }));
  }

  // order lists the fields as the tape goes: down the limb, then what is read once more.
  order() {
    const fields = [];
    for (const pass of [1, 2, 3]) {
      for (const r of this.rows) {
        const field = r.fields[pass - 1];
        if (field && field.type !== "hidden" && (pass < 3 || !r.third.hidden)) fields.push(field);
      }
    }
    return fields;
  }

  // settle shows what there is to ask about a row, and the third field if it is due.
  settle(r, quiet) {
    const i = this.rows.indexOf(r);
    const above = this.rows[i - 1];
    const found = check({
      texts: r.fields.map((f) => f?.value ?? ""),
      lastMM: r.lastMM,
      aboveMM: above ? pooled([1, 2, 3].map((p) => this.value(above, p))) : null,
    }, this.unit);
    if (r.third) r.third.hidden = !(found?.id === "apart" || r.fields[2].value);
    const text = found ? this.sentence(found) : "";
    if (r.say.dataset.text === text) return;
    r.say.dataset.text = text;
    r.say.replaceChildren();
    if (!text) return;
    const mark = document.createElement("span");
    mark.className = "mark soon";
    mark.append(shape(), text);
    r.say.append(mark);
    if (!quiet) this.live.textContent = `${r.row.dataset.label}: ${text}`;
  }

  sentence(found) {
    const unit = this.unit;
    const figure = (mm) => `${show(mm, unit, this.comma)} ${unit}`;
    return fill(this.words[found.id], {
      apart: found.apartMM == null ? "" : figure(found.apartMM),
      typed: `${found.typed} ${unit}`,
      guess: found.guessMM == null ? "" : figure(found.guessMM),
    });
  }

  // cover hides earlier readings and last time until the reading of this page is in,
  // so that they don't lead the hand.
  cover() {
    for (const r of this.rows) {
      const second = !r.fields[1] || r.fields[1].value.trim() !== "";
      const first = r.fields[0];
      const cell = first.parentElement; // of all that was read before, on a later page
      const covered = this.pass > 1 && !second && cell.textContent.trim() !== "";
      cell.classList.toggle("covered", covered);
      if (r.last) r.last.hidden = !second;
    }
  }
}
