// Keeps the draft on the server as it grows: at most 2 s after a change, one
// request at a time, the whole form each time, so that a lost answer does no harm.

import { fill } from "./words.js";

const quietMS = 700; // after the last key
const patienceMS = 1500; // after the first change that is not yet kept
const againMS = 5000; // after a request that got no answer

export class Draft {
  constructor(form, words) {
    this.form = form;
    this.words = words;
    this.dirty = false;
    this.since = 0;
    this.stopped = false;
    this.flight = null;
    const part = (name) => document.querySelector(`[data-draft-${name}]`);
    this.parts = { saved: part("saved"), offline: part("offline"), conflict: part("conflict"), out: part("signed-out") };
    form.addEventListener("input", () => this.touch());
    form.addEventListener("change", () => this.touch());
    form.addEventListener("submit", (event) => this.submit(event));
    // Back to a page that was sent: it keeps its draft again.
    addEventListener("pageshow", (event) => { if (event.persisted) this.back(); });
    addEventListener("online", () => this.save());
    addEventListener("visibilitychange", () => { if (document.visibilityState === "hidden") this.save(true); });
    addEventListener("beforeunload", (event) => { if (this.dirty && !this.stopped) event.preventDefault(); });
    part("keep-mine")?.addEventListener("click", () => this.keepMine());
  }

  touch() {
    if (!this.dirty) this.since = Date.now();
    this.dirty = true;
    this.later(Math.max(0, Math.min(quietMS, this.since + patienceMS - Date.now())));
  }

  later(ms) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.save(), ms);
  }

  show(name) {
    for (const key of ["offline", "conflict", "out"]) if (this.parts[key]) this.parts[key].hidden = key !== name;
  }

  // save sends the form unless nothing changed; leaving keeps the request alive
  // while the page goes away.
  async save(leaving = false) {
    clearTimeout(this.timer);
    if (!this.dirty || this.stopped || this.flight) return;
    this.dirty = false;
    this.flight = this.send(leaving);
    await this.flight;
    this.flight = null;
    if (this.dirty && !this.stopped) this.later(this.parts.offline?.hidden === false ? againMS : quietMS);
  }

  async send(leaving) {
    let answer;
    try {
      answer = await fetch(this.form.dataset.draft, {
        method: "POST",
        body: new URLSearchParams(new FormData(this.form)),
        headers: { Accept: "application/json" },
        redirect: "manual",
        keepalive: leaving,
      });
    } catch {
      this.doubt();
      return this.unkept("offline");
    }
    if (answer.ok) {
      const { version, saved, shown } = await answer.json();
      this.follow(version, shown);
      this.parts.saved.textContent = fill(this.words.saved, { time: saved });
      return this.show(null);
    }
    if (answer.status === 409) {
      this.theirs = await answer.json().catch(() => ({}));
      this.follow(null, this.theirs.shown);
      this.stopped = true;
      return this.unkept("conflict");
    }
    if (answer.status === 401 || answer.type === "opaqueredirect") return this.unkept("out");
    this.doubt();
    this.unkept("offline");
  }

  back() {
    this.doubt();
    this.stopped = false;
  }

  // follow keeps in step with the draft as it now is.
  follow(version, shown) {
    if (version != null) this.form.elements.version.value = version;
    if (shown != null) this.form.elements.shown.value = shown;
  }

  // doubt: what was sent may be in the draft or not, so what the page showed no
  // longer tells what was typed since.
  doubt() {
    this.form.elements.shown.value = "";
  }

  unkept(why) {
    this.dirty = true;
    this.since = Date.now();
    this.parts.saved.textContent = this.words.unsaved;
    this.show(why);
    if (!this.stopped) this.later(againMS);
  }

  // keepMine saves over what someone else put into the same draft, after a look.
  keepMine() {
    this.follow(this.theirs?.version, this.theirs?.mine);
    this.stopped = false;
    this.show(null);
    this.save();
  }

  // A form that is sent while a draft is under way would carry an old version.
  submit(event) {
    clearTimeout(this.timer);
    if (this.flight) {
      event.preventDefault();
      const { submitter } = event;
      this.flight.then(() => this.form.requestSubmit(submitter));
      return;
    }
    this.stopped = true;
    this.dirty = false;
  }
}
