// The page of the outbox: what waits on this tablet, send it now, save it as a file for another device.

import { flush, reachable } from "./outbox.js";
import { happened, now } from "./servertime.js";
import { fact, waiting } from "./tablet.js";
import { counted, say, word } from "./words.js";

const list = document.getElementById("outbox-list");
const [send, save] = ["send", "save"].map((name) => document.querySelector(`[data-do="${name}"]`));

async function show() {
  const all = await waiting();
  send.hidden = save.hidden = !all.length;
  document.getElementById("outbox-empty").hidden = all.length > 0;
  list.replaceChildren(
    ...all.map((entry) => {
      const item = document.createElement("li");
      const what = document.createElement("p");
      what.append(Object.assign(document.createElement("strong"), { textContent: happened(entry) }), ` ${entry.words} · ${entry.by}`);
      item.append(what);
      if (entry.refused) item.append(Object.assign(document.createElement("p"), { className: "error-text", textContent: entry.refused }));
      return item;
    }),
  );
}

async function sendNow() {
  if (!(await reachable())) return say(word("away"), "warning");
  await flush();
  const left = (await waiting()).length;
  say(left ? counted("unsent", left) : word("sent"));
}

async function saveFile() {
  const [entries, kit] = await Promise.all([waiting(), fact("kit")]);
  const said = { outbox: 1, saved_at: new Date(now()).toISOString(), tablet: kit?.tablet?.name ?? "", entries };
  const blob = new Blob([JSON.stringify(said, null, 1)], { type: "application/json" });
  const link = Object.assign(document.createElement("a"), { href: URL.createObjectURL(blob), download: "outbox.json" });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

document.addEventListener("outbox", show);
send.addEventListener("click", sendNow);
save.addEventListener("click", saveFile);
show();
