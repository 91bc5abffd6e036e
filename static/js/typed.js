// Signed out in the middle of a form: what was typed waits in this tab, and stands in the form again after
// the sign-in. It is never sent by itself, and never waits longer than the way over the sign-in page.

const PLACE = "typed";
const signingIn = location.pathname.startsWith("/sign-in/");
const fields = (form) =>
  [...form.elements].filter((each) => each.name && !["hidden", "password", "file", "submit"].includes(each.type));

addEventListener("submit", (event) => {
  const form = event.target;
  if (signingIn || form.method !== "post" || !form.matches("main form.inputs, aside form.inputs")) return;
  const values = fields(form).map((each) => [each.name, each.value, each.checked ?? null]);
  sessionStorage.setItem(PLACE, JSON.stringify({ at: location.pathname, values }));
});

function putBack({ at, values }) {
  const form = document.querySelector("main form.inputs");
  if (at !== location.pathname || !form) return;
  for (const [name, value, checked] of values) {
    for (const each of fields(form).filter((one) => one.name === name)) {
      if (!["checkbox", "radio"].includes(each.type)) each.value = value;
      else if (each.value === value) each.checked = checked;
    }
  }
  const note = document.getElementById("typed-back");
  document.querySelector(".messages")?.append(note.content.cloneNode(true));
}

if (!signingIn) {
  const kept = sessionStorage.getItem(PLACE);
  sessionStorage.removeItem(PLACE);
  const from = document.referrer && new URL(document.referrer).pathname;
  if (kept && from === "/sign-in/") putBack(JSON.parse(kept));
}
