// The words of the scripts come from the catalogue, in a data block of the page.

export function readWords() {
  return JSON.parse(document.getElementById("checkin-words").textContent);
}

// fill puts figures into the {blanks} of a text.
export function fill(text, figures) {
  return text.replace(/\{(\w+)\}/g, (blank, name) => figures[name] ?? blank);
}
