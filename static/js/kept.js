// A page that was kept and is shown without network: it is made to fit what is known now. The form gets an id of
// its own, the bags that the address names are ticked, and the name in the head is that of who signed in here.

import { who } from "./outbox.js";
import { clock } from "./servertime.js";
import { newId } from "./tablet.js";
import { word } from "./words.js";

const root = document.documentElement;
const open = /^\/(sign-in|outbox)\//;

function fit(form) {
  form.elements.entry_id.value = newId();
  const said = new URLSearchParams(location.search);
  const bags = new Set((said.get("bags") ?? "").split(",").filter(Boolean));
  if (bags.size) {
    for (const each of form.querySelectorAll('[name="bags"], [name="bag"]')) each.checked = bags.has(each.value);
  }
  const back = said.get("back") ?? "";
  const link = form.querySelector("[data-back]");
  if (link && /^\/(?![/\\])/.test(back)) link.setAttribute("href", back);
}

async function show() {
  const person = await who().catch(() => undefined);
  if (!person && !open.test(location.pathname)) {
    location.replace(`/sign-in/?next=${encodeURIComponent(location.pathname + location.search)}`);
    return;
  }
  const name = document.querySelector("[data-who]");
  if (name && person) name.textContent = person.name;
  const line = document.getElementById("no-network");
  line.textContent = word("page", { at: clock(Date.parse(root.dataset.serverNow)) });
  line.hidden = false;
}

if ("kept" in root.dataset) {
  document.querySelectorAll("form[data-outbox]").forEach(fit);
  // Kept while someone was signed in; now nobody is.
  if (location.pathname.startsWith("/sign-in/")) {
    document.querySelectorAll(".rooms, [data-who], [data-sign-out]").forEach((each) => each.remove());
  }
  show();
}
