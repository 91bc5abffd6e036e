// Sign in and out without network. The code can't be checked here and must not be readable here: it is encrypted to
// the server's public key, kept with each entry, and checked when they arrive.

import { reachable } from "./outbox.js";
import { now } from "./servertime.js";
import { dropFact, fact, setFact } from "./tablet.js";
import { say, sayNext, word } from "./words.js";

const bytes = (base64) => Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0));
const base64 = (buffer) => btoa(String.fromCharCode(...new Uint8Array(buffer)));
const RSA = { name: "RSA-OAEP", hash: "SHA-256" };

async function seal(kit, person, code) {
  const key = await crypto.subtle.importKey("spki", bytes(kit.key), RSA, false, ["encrypt"]);
  const said = { person: person.code, code, tablet: kit.tablet.id, at: new Date(now()).toISOString() };
  return base64(await crypto.subtle.encrypt(RSA, key, new TextEncoder().encode(JSON.stringify(said))));
}

async function signInHere(form) {
  const kit = await fact("kit");
  const said = new FormData(form);
  const person = kit?.people.find((each) => String(each.pk) === said.get("person"));
  if (!person || !kit.tablet || !crypto.subtle) return refuse(form, "notHere");
  if (!/^\d{4,8}$/.test(said.get("code"))) return refuse(form, "code");
  const sealed = await seal(kit, person, said.get("code"));
  form.reset();
  await setFact("who", { code: person.code, name: person.name, sealed });
  sayNext(word("signedIn", person));
  const next = new URLSearchParams(location.search).get("next") ?? "";
  location.assign(/^\/(?![/\\])/.test(next) ? next : "/bench/");
}

function refuse(form, why) {
  say(word(why), "error");
  form.dispatchEvent(new CustomEvent("again", { bubbles: true }));
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  const out = form.matches("form[data-sign-out]");
  if (event.defaultPrevented || !(out || form.matches("form[data-by-code]"))) return;
  event.preventDefault();
  if (out) await dropFact("who").catch(() => {});
  if (await reachable()) HTMLFormElement.prototype.submit.call(form);
  else if (out) location.assign("/sign-in/");
  else signInHere(form).catch(() => refuse(form, "notHere"));
});
