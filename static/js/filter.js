// Filters a list as you type: input[data-filter="<id of the list>"]. A row carries its words in
// data-text; a part (data-filter-part) without a row that matches is hidden with them.
// Without this script the form sends the same words and the server filters.

const input = document.querySelector("input[data-filter]");
const list = input && document.getElementById(input.dataset.filter);

function filter() {
  const wanted = input.value.toLowerCase().split(/\s+/).filter(Boolean);
  let count = 0;
  for (const row of list.querySelectorAll("[data-text]")) {
    const text = row.dataset.text;
    row.hidden = !wanted.every((word) => text.includes(word));
    if (!row.hidden) count += 1;
  }
  for (const part of list.querySelectorAll("[data-filter-part]")) {
    part.hidden = !part.querySelector("[data-text]:not([hidden])");
  }
  const says = list.querySelector("[data-filter-says]");
  says.hidden = !wanted.length;
  says.textContent = `${count} ${says.dataset.filterSays}`;
}

if (list) {
  // The server has filtered already: what it left out can't come back without it.
  const sent = input.value.trim().toLowerCase();
  let waiting = 0;
  input.addEventListener("input", () => {
    clearTimeout(waiting);
    const now = input.value.trim().toLowerCase();
    if (!now.startsWith(sent)) return;
    waiting = setTimeout(filter, 80);
  });
}
