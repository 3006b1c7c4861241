// Helps with a check-in at the bench. Without it the same form is typed, sent and
// answered in full; nothing here decides anything.
//
// Markup, most of it made by the partials of the same names:
//
//   <form class="checkin" method="post" action="…" data-draft="…" novalidate>
//     data-draft          where the draft is kept: the whole form is posted there, form-encoded, with
//                         Accept: application/json, at most 2 s after a change. Answers:
//                           200 {"version": 4, "saved": "10:42", "shown": "…"}   kept; the time as the person reads it
//                           409 {"version": 7, "shown": "…", "mine": "…"}   somebody else changed the same field;
//                                                                 sent with mine for shown, this page wins
//                           401                                    signed out
//     input[name=version] the draft's version, hidden; moved on by each answer
//     input[name=shown]   what the fields held before anybody typed, hidden, by which the server knows what
//                         was typed here; moved on by each answer, and empty while nobody knows
//   {{template "draft-state" (dict "Saved" "10:42" "Look" "/address/of/the/draft")}}
//     [data-draft-saved]       role=status: "Saved 10:42"
//     [data-draft-offline], [data-draft-conflict], [data-draft-signed-out]   hidden bars, in words
//     [data-draft-keep-mine]   a button in the conflict's bar
//   {{template "girth-rows" (dict …)}}   the table of one pass, see the partial
//     [data-girths]            data-unit mm, cm or in; data-comma when decimals are written so;
//                              data-pass-now: 1, or 2 for any later pass;
//                              data-clock-id: the id of the clock whose first reading it stamps
//       [data-level]           one row; data-label its name; data-last-mm the girth of the last visit
//         [data-pass=1|2|3]    the fields, each alone in its parent; the earlier reading of a later
//                              pass is hidden, and counts as pass 1; it is empty on the first pass
//                              of a second round, beside the text of what was read before
//         [data-third]         around the third field; hidden until a pair is too far apart
//         [data-last]          last visit's figure; hidden until the second reading is in
//         [data-say]           where the soft check speaks
//   {{template "clock" (dict …)}}
//     [data-clock]             data-zone the IANA zone of the place
//       [data-clock-now]       the button "Prosthesis off"; a later round has none
//       [data-clock-off], [data-clock-first]   fields for hours and minutes
//       [data-clock-shown]     where the minutes stand
//   <button type="button" data-undo>     takes back the last change; any number of them
//   <button type="button" data-step="1" hidden>   moves the field last typed in by so many mm
//   {{template "checkin-words"}}         the words of this script
//
// Keys: Enter goes to the next field and Shift+Enter back, down the limb and then to
// the next pass; Tab goes the same way inside a table. Up and down move a girth by
// 1 mm. Ctrl+Z takes back. Enter sends the form only from the last girth of a table, and
// only where a button to send comes right after it.

import { Clock } from "./checkin/clock.js";
import { Draft } from "./checkin/draft.js";
import { Girths } from "./checkin/girths.js";
import { Undo } from "./checkin/undo.js";
import { readWords } from "./checkin/words.js";

const form = document.querySelector("form.checkin");
const words = readWords();
const tables = [...form.querySelectorAll("[data-girths]")].map((el) => new Girths(el, words));
const clocks = new Map([...form.querySelectorAll("[data-clock]")].map((el) => [el.id, new Clock(el, words)]));
if (form.dataset.draft) new Draft(form, words);
new Undo(form, form.querySelectorAll("[data-undo]"));

for (const table of tables) {
  table.element.addEventListener("input", () => clocks.get(table.element.dataset.clockId)?.reading());
}

// steps lists what Enter goes through: the form in its order, each table in the tape's.
function steps() {
  const list = [];
  for (const el of form.elements) {
    if (el.type === "hidden" || el.disabled || el.matches("fieldset, output, [data-step], [data-undo]")) continue;
    const table = tables.find((t) => t.element.contains(el));
    if (!table) {
      if (el.checkVisibility()) list.push(el); // not what is folded away
    } else if (!list.includes(el)) {
      list.push(...table.order().filter((f) => !list.includes(f)));
    }
  }
  return list;
}

form.addEventListener("keydown", (event) => {
  const { target, key, shiftKey: back } = event;
  const inTable = target.matches("[data-pass]");
  const enter = key === "Enter" && target.matches("input:not([type=submit], [type=button]), select");
  if (!enter && !(key === "Tab" && inTable)) return;
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  // Before going on: a pair too far apart opens one more field to go to.
  if (inTable) tables.find((t) => t.element.contains(target)).leave(target);
  const list = steps();
  const next = list[list.indexOf(target) + (back ? -1 : 1)];
  if (key === "Tab" && !next) return; // the end of the form is the browser's
  event.preventDefault();
  if (enter && inTable && next?.matches("button[type=submit]")) next.click();
  else next?.focus();
});

// Some keyboard wedges and drivers send the press by itself, to the field that has
// just been reached: it must not send the form either.
form.addEventListener("keypress", (event) => {
  if (event.key === "Enter" && event.target.matches("input:not([type=submit], [type=button])")) event.preventDefault();
});

// The buttons for a gloved hand act on the girth that was typed in last.
let latest = null;
form.addEventListener("focusin", ({ target }) => { if (target.matches("[data-pass]")) latest = target; });
for (const button of form.querySelectorAll("[data-step]")) {
  button.hidden = false;
  button.addEventListener("click", () => {
    const table = latest && tables.find((t) => t.element.contains(latest));
    table?.step(latest, Number(button.dataset.step));
    latest?.focus();
  });
}
