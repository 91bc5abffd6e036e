// What the outbox says: its words stand in the page (templates/offline/words.html), so that they are translated.

import { say as filled } from "./figures.js";

const NEXT = "said-next";

/** A sentence with its gaps filled. */
export function word(name, gaps = {}) {
  const words = document.getElementById("outbox-words");
  return filled(words?.dataset[name] ?? "", gaps);
}

/** As `word`, in the singular or the plural. */
export const counted = (name, count) => word(count === 1 ? `${name}One` : name, { count });

/** Say it where the server's messages stand. */
export function say(text, kind = "info") {
  const line = Object.assign(document.createElement("p"), { className: kind, textContent: text });
  document.querySelector(".messages")?.replaceChildren(line);
}

/** Say it on the next page. */
export const sayNext = (text) => sessionStorage.setItem(NEXT, text);

const next = sessionStorage.getItem(NEXT);
if (next) {
  sessionStorage.removeItem(NEXT);
  say(next);
}
