// A second tap sends nothing: form[data-once] gives its buttons up at the first submit.
// The form's hidden entry_id makes a resend harmless even where this script does not run.

const busy = new WeakSet();

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-once]")) return;
  if (busy.has(form)) {
    event.preventDefault();
    return;
  }
  if (event.defaultPrevented) return;
  busy.add(form);
  form.setAttribute("aria-busy", "true");
  // After this turn, so that the pressed button's own name and value still travel.
  setTimeout(() => {
    for (const control of form.elements) if (control.type === "submit") control.disabled = true;
  });
});

function release(form) {
  busy.delete(form);
  form.removeAttribute("aria-busy");
  for (const control of form.elements) if (control.type === "submit") control.disabled = false;
}

// Whoever sends a form in place of the browser says so when it did not go.
document.addEventListener("again", (event) => setTimeout(() => release(event.target)));

// Back in the browser's history: the page comes out of its cache as it was left.
addEventListener("pageshow", (event) => {
  if (!event.persisted) return;
  document.querySelectorAll("form[data-once][aria-busy]").forEach(release);
});
