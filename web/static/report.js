// The client's form works without this. It only helps.

const { pages } = document.body.dataset;

// A tap on the drawing ticks the place in the list, and the drawing shows what is
// ticked. Without it a tap leads to the place in the list.
for (const place of document.querySelectorAll(".body [data-area]")) {
  const box = document.getElementById(place.dataset.area);
  const show = () => place.classList.toggle("on", box.checked);
  place.addEventListener("click", (event) => {
    event.preventDefault();
    box.checked = !box.checked;
    box.dispatchEvent(new Event("change"));
  });
  box.addEventListener("change", show);
  addEventListener("pageshow", show);
}

// A sign and "None of these" can't both be true: ticking a sign takes that answer
// away. The other way round nothing is taken away; the server asks.
const none = document.getElementById("safety.none");
document.getElementById("safety")?.addEventListener("change", ({ target }) => {
  if (target !== none && target.checked) none.checked = false;
});

// The browser may bring back a page as it was, when answers have been changed or sent
// since: look again. Only what was typed there and never sent stays.
let left = false;
addEventListener("submit", () => { left = true; });
const typed = (field) => field.checked !== field.defaultChecked || field.value !== field.defaultValue;
addEventListener("pageshow", ({ persisted }) => {
  if (persisted && (left || ![...document.querySelectorAll("input, textarea")].some(typed))) location.reload();
});

// Five minutes before the hour ends, ask whether to keep the page.
const hour = document.querySelector(".hour");
if (hour) {
  const [soon, kept] = [hour.querySelector("[data-soon]"), hour.querySelector("[data-kept]")];
  const button = hour.querySelector("button");
  const say = (shown, other) => {
    hour.hidden = shown.hidden = false;
    other.hidden = true;
    button.hidden = shown === kept;
    document.querySelector(".hour-said").textContent = shown.textContent;
  };
  const wait = (seconds) => setTimeout(() => say(soon, kept), Math.max(seconds - 300, 0) * 1000);
  wait(Number(hour.dataset.seconds));
  button.addEventListener("click", async () => {
    const answer = await fetch(`${pages}keep`, { method: "POST" }).catch(() => null);
    if (!answer?.ok) return;
    say(kept, soon);
    wait(3600);
  });
}
