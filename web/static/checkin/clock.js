// The doffing clock: one press when the prosthesis comes off, the first reading
// stamps itself, and the minutes between stand beside it.

import { fill } from "./words.js";

const minutes = (text) => {
  const m = /^(\d{1,2})[:.](\d{2})$/.exec(text.trim());
  return m ? Number(m[1]) * 60 + Number(m[2]) : null;
};

export class Clock {
  constructor(element, words) {
    this.words = words;
    this.off = element.querySelector("[data-clock-off]");
    this.first = element.querySelector("[data-clock-first]");
    this.shown = element.querySelector("[data-clock-shown]");
    this.wall = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", timeZone: element.dataset.zone || undefined });
    const button = element.querySelector("[data-clock-now]");
    if (button) {
      button.hidden = false;
      button.addEventListener("click", () => this.stamp(this.off));
    }
    for (const f of [this.off, this.first]) f.addEventListener("input", () => this.tick());
    setInterval(() => this.tick(), 10000);
    this.tick();
  }

  stamp(field) {
    field.value = this.wall.format(new Date());
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.dispatchEvent(new Event("change", { bubbles: true }));
  }

  // reading is told of every girth that is typed; the first one counts.
  reading() {
    if (this.off.value && !this.first.value) this.stamp(this.first);
  }

  tick() {
    const off = minutes(this.off.value);
    const until = minutes(this.first.value || this.wall.format(new Date()));
    if (off == null || until == null) {
      this.shown.textContent = "";
      return;
    }
    const passed = (until - off + 24 * 60) % (24 * 60); // over midnight too
    this.shown.textContent = fill(this.first.value ? this.words.offAtFirst : this.words.offFor, { minutes: passed });
  }
}
