// A form of the Bench is kept on this tablet first, then sent. While the server answers nobody notices; where it
// does not, the cook reads at once that it is kept, and goes on.

import { clockAhead } from "./servertime.js";
import { changed, token, who } from "./outbox.js";
import { fact, keep, letGo, mark, newId } from "./tablet.js";
import { say, sayNext, word } from "./words.js";

const PATIENCE = 3000;
const NOT_SAID = new Set(["entry_id", "csrfmiddlewaretoken", "sure", "fold", "at"]);
const root = document.documentElement;

/** What was filled in, in words: the heading, the figures with their units, what was ticked. */
function inWords(form) {
  const said = [];
  for (const each of form.elements) {
    if (!each.name || NOT_SAID.has(each.name) || each.type === "hidden" || each.tagName === "SELECT") continue;
    const label = each.labels?.[0]?.textContent.trim().split(" · ")[0];
    if (["checkbox", "radio"].includes(each.type)) each.checked && said.push(label);
    else if (each.value) said.push(each.dataset.unit ? `${each.value}\u00a0${each.dataset.unit}` : each.value);
  }
  const title = document.querySelector("h1").textContent.trim();
  return (said.length ? `${title}: ${said.join(", ")}` : title).slice(0, 290);
}

/** The maker of an entry: a page that comes from the server says who is signed in there. */
async function maker() {
  const [known, kit] = await Promise.all([who(), fact("kit")]);
  const code = "kept" in root.dataset ? known?.code : root.dataset.person;
  const proof = known?.code === code ? known : {};
  return { by: code ?? "", token: proof.token ?? "", sealed: proof.sealed ?? "", tablet: kit?.tablet?.name ?? "" };
}

async function entryOf(form) {
  const fields = {};
  for (const [name, value] of new FormData(form)) {
    if (typeof value === "string" && name !== "csrfmiddlewaretoken") (fields[name] ??= []).push(value);
  }
  const time = { tablet_time: new Date().toISOString(), ahead_ms: clockAhead() };
  const what = { id: fields.entry_id[0], address: location.pathname, fields, words: inWords(form) };
  return { ...what, ...time, ...(await maker()), live: Date.now() };
}

/** Send the form to its own address: where to go next, that it is asked about, or null where nothing is heard. */
async function straight(form) {
  const body = new FormData(form);
  body.set("csrfmiddlewaretoken", token());
  const asked = { method: "POST", body, headers: { "X-Form-By-Script": "1" }, signal: AbortSignal.timeout(PATIENCE) };
  const answer = await fetch(form.action, asked).catch(() => null);
  if (!answer || answer.status >= 500) return null;
  if (answer.status === 403 || new URL(answer.url).pathname.startsWith("/sign-in/")) return { signIn: true };
  const said = await answer.json().catch(() => null);
  return said?.to ? said : { asks: true };
}

const backOf = (form) => form.querySelector("[data-back]")?.getAttribute("href") ?? "/bench/";

/** Leave it to the browser: the server shows the form again with what it asks. */
function natively(form) {
  const field = form.elements.csrfmiddlewaretoken;
  if (token()) field.value = token();
  HTMLFormElement.prototype.submit.call(form);
}

async function send(form) {
  let entry;
  try {
    entry = await entryOf(form);
    await keep(entry);
  } catch (trouble) {
    return unkept(form, trouble);
  }
  say(word("kept"));
  changed();
  const answer = navigator.onLine ? await straight(form) : null;
  if (answer?.to || answer?.asks) await letGo(entry.id);
  if (answer?.to) {
    sessionStorage.setItem("landed", "1");
    location.assign(answer.to);
  } else if (answer?.asks) natively(form);
  else {
    await mark(entry.id, { live: 0 });
    changed();
    sayNext(answer?.signIn ? word("keptSignIn", entry) : word("keptLine", entry));
    location.assign(backOf(form));
  }
}

/** The tablet can't keep it: then it is sent or it is not, and the cook is told which. */
async function unkept(form, trouble) {
  console.warn("outbox", trouble);
  const answer = navigator.onLine ? await straight(form) : null;
  if (answer?.to) location.assign(answer.to);
  else if (answer?.asks || answer?.signIn) natively(form);
  else {
    say(word(trouble?.name === "QuotaExceededError" ? "full" : "noStore"), "error");
    form.dispatchEvent(new CustomEvent("again", { bubbles: true }));
  }
}

document.addEventListener("submit", (event) => {
  if (event.defaultPrevented || !event.target.matches("form[data-outbox]")) return;
  event.preventDefault();
  send(event.target);
});

// A form that comes back out of the browser's history after it was kept makes another entry.
addEventListener("pageshow", ({ persisted }) => {
  if (!persisted || !("kept" in root.dataset)) return;
  for (const form of document.querySelectorAll("form[data-outbox]")) form.elements.entry_id.value = newId();
});
