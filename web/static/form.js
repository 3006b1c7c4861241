// Every page loads this. It only helps: a page without scripts does the same work.

// A refused form opens on the list of what is wrong, so that it is read out first.
document.getElementById("summary")?.focus();

// A second press of a button that sends must not send twice. The server keeps
// one record in any case; this spares the person the doubt. It listens on the
// document so that a form's own script has its say first.
document.addEventListener("submit", (event) => {
  if (event.defaultPrevented) return;
  if (event.target.dataset.sent) event.preventDefault();
  event.target.dataset.sent = "yes";
});
// A page taken from the browser's memory by the back button can be sent again.
addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
});

// Paper can't be unfolded: what is folded away is printed open.
addEventListener("beforeprint", () => {
  for (const d of document.querySelectorAll("details:not([open])")) { d.open = true; d.dataset.folded = "yes"; }
});
addEventListener("afterprint", () => {
  for (const d of document.querySelectorAll("details[data-folded]")) { d.open = false; delete d.dataset.folded; }
});
