// What was logged and not sent yet, in sight: the count in the head of every page, the lines on the pages that they
// are about, and the bags that were sealed meanwhile in the forms of their batch.

import { keepSending } from "./outbox.js";
import { happened } from "./servertime.js";
import { waiting } from "./tablet.js";
import { counted, word } from "./words.js";

const here = location.pathname;
const partOf = (path) => /^\/bench\/([^/]+)\/(?:(\d+)\/)?/.exec(path) ?? [];
const LIVE = 4000; // a form that is just being sent is no line yet

/** The numbers of the bags that an entry names. */
const bagsOf = ({ fields }) => [...(fields.bags ?? []), ...(fields.bag ?? [])];

/** Whether an entry has to do with the page that is shown. */
function concerns(entry) {
  if (here === "/bench/") return true;
  if (!here.startsWith("/bench/")) return false;
  const [, batch, bag] = partOf(here);
  if (entry.address === here) return true;
  if (["logs", "baths", "chillers", "fridges", "brines", "new"].includes(batch)) return false;
  return partOf(entry.address)[1] === batch && (!bag || bagsOf(entry).includes(bag));
}

function line(entry) {
  const item = document.createElement("li");
  const time = Object.assign(document.createElement("span"), { className: "at", textContent: happened(entry) });
  item.append(time, ` ${entry.words}`);
  if (entry.refused) item.append(Object.assign(document.createElement("strong"), { textContent: ` ${entry.refused}` }));
  return item;
}

function list(all) {
  const found = all.filter((each) => concerns(each) && Date.now() - (each.live ?? 0) > LIVE);
  let section = document.getElementById("pending");
  if (!found.length) return section?.remove();
  if (!section) {
    section = document.getElementById("pending-here").content.firstElementChild.cloneNode(true);
    document.querySelector("main .heading").after(section);
  }
  section.querySelector("ul").replaceChildren(...found.map(line));
}

function count(all, { signIn } = {}) {
  const link = document.querySelector("[data-unsent-count]");
  if (!link) return;
  link.hidden = false;
  link.textContent = all.length ? counted("unsent", all.length) : word("sent");
  link.classList.toggle("some", all.length > 0);
  const asks = document.getElementById("sign-in-to-send");
  if (asks && signIn !== undefined) asks.hidden = !signIn;
}

/** Bags that were sealed on this tablet and have no number from the server yet: named by sealing and place. */
function unborn(all) {
  const [, batch] = partOf(here);
  const boxes = [...document.querySelectorAll('form[data-outbox] [name="bags"], form[data-outbox] [name="bag"]')];
  const sealings = all.filter((each) => each.address === `/bench/${batch}/seal/` && each.fields.count);
  if (!sealings.length || document.querySelector("[data-unborn-bag]")) return;
  const asked = document.querySelector("form[data-outbox] [id^=div_id_bag]");
  const group = asked?.querySelector(".choices");
  if (!group) return;
  let number = Math.max(0, ...boxes.map((box) => Number(box.value)));
  const model = document.getElementById("unborn-bag").content.firstElementChild;
  for (const sealing of sealings) {
    for (let place = 0; place < Number(sealing.fields.count[0]); place++) {
      const label = model.cloneNode(true);
      const box = label.querySelector("input");
      box.type = asked?.id === "div_id_bag" ? "radio" : "checkbox";
      box.name = box.type === "radio" ? "bag" : "bags";
      box.value = `${sealing.id}.${place}`;
      label.querySelector("span").textContent = word("unborn", { number: ++number });
      group.append(label);
    }
  }
}

async function show(said) {
  const all = await waiting();
  count(all, said);
  list(all);
  unborn(all);
}

const showAll = (event) => show(event?.detail).catch(() => {});
document.addEventListener("outbox", showAll);
document.addEventListener("fresh", showAll);
showAll();
if (document.documentElement.dataset.person || "kept" in document.documentElement.dataset) keepSending();
