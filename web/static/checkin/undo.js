// Undo for the last 20 changes of typed fields, by button and by Ctrl+Z.

const most = 20;

export class Undo {
  constructor(form, buttons) {
    this.changes = [];
    this.buttons = buttons;
    this.before = new WeakMap();
    const typed = (el) => el.matches?.("input:not([type=checkbox], [type=radio], [type=hidden]), textarea");
    for (const el of form.elements) if (typed(el)) this.before.set(el, el.value);
    form.addEventListener("change", ({ target }) => { if (typed(target)) this.note(target); });
    form.addEventListener("keydown", (event) => {
      if (!(event.ctrlKey || event.metaKey) || event.shiftKey || event.key.toLowerCase() !== "z") return;
      // A field that is being typed in has the browser's own undo.
      if (typed(event.target) && event.target.value !== this.before.get(event.target)) return;
      if (!this.changes.length) return;
      event.preventDefault();
      this.undo();
    });
    for (const b of buttons) b.addEventListener("click", () => this.undo());
    this.refresh();
  }

  note(field) {
    const before = this.before.get(field);
    if (before === field.value) return;
    this.changes.push({ field, before });
    if (this.changes.length > most) this.changes.shift();
    this.before.set(field, field.value);
    this.refresh();
  }

  undo() {
    const change = this.changes.pop();
    if (!change) return;
    const { field, before } = change;
    field.value = before;
    this.before.set(field, before);
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.dispatchEvent(new Event("change", { bubbles: true }));
    field.focus();
    this.refresh();
  }

  refresh() {
    for (const b of this.buttons) b.disabled = !this.changes.length;
  }
}
