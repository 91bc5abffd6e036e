// One numeric pad for every figure. It opens over the lower half of the screen for any input[data-pad]:
//   data-unit, data-places   the unit behind the figure; decimals of a value that it asks about (1)
//   data-low, data-high      the expected range, drawn as a scale on which the typed value lands
//   data-least, data-most    outside these it asks before it keeps (else: outside low and high)
//   data-pad="code"          digits only, shown as dots
//   data-pad-opens           open when the page has loaded; data-pad-after="name": when that is picked
//   data-pad-sends="verb"    keeping sends the form, and the key says so
// It starts empty, so that no reading is copied from the last one, and never changes a value by itself:
// what it believes was meant is a button. Without script the input is an ordinary input.

import { drawScale, landing, meant, number, say } from "./figures.js";

const sheet = document.getElementById("pad");
const inputs = document.querySelectorAll("input[data-pad]");

class Pad {
  constructor(template) {
    this.dialog = template.content.firstElementChild.cloneNode(true);
    document.body.append(this.dialog);
    const part = (selector) => this.dialog.querySelector(selector);
    this.asks = part(".asks");
    this.figure = part("output");
    this.unit = part(".unit");
    this.scale = part(".scale");
    this.hand = part(".hand");
    this.question = part(".question");
    this.keep = part('[data-do="keep"]');
    this.instead = part('[data-do="meant"]');
    this.dialog.addEventListener("click", (event) => this.touch(event.target.closest("button")));
    this.dialog.addEventListener("keydown", (event) => this.type(event));
    this.dialog.addEventListener("close", () => {
      document.body.classList.remove("pad-space");
      this.input.focus();
    });
  }

  open(input, first = "") {
    this.input = input;
    const { unit = "", low, high, least = low, most = high, pad, padSends } = input.dataset;
    Object.assign(this, { word: unit, low: number(low), high: number(high), least: number(least), most: number(most) });
    this.secret = pad === "code";
    this.verb = padSends || this.keep.dataset.keep;
    this.asks.textContent = input.labels[0]?.firstChild.textContent.trim() ?? "";
    this.unit.textContent = unit;
    for (const key of this.dialog.querySelectorAll('[data-key="."], [data-key="-"]')) key.hidden = this.secret;
    const ends = { low: low ?? "–", high: `${high ?? "–"} ${unit}` };
    drawScale(this.scale, low, high, say(this.question.dataset.scale, ends), unit);
    this.show(first);
    document.body.classList.add("pad-space");
    this.dialog.showModal();
    this.keep.focus({ focusVisible: false });
    (input.closest(".field") ?? input).scrollIntoView({ block: "start" });
  }

  show(typed) {
    this.typed = typed;
    this.asked = false;
    this.question.hidden = this.instead.hidden = true;
    this.keep.classList.remove("quiet");
    this.keep.textContent = this.verb;
    this.figure.textContent = this.secret ? "•".repeat(typed.length) : typed.replace("-", "−");
    const x = landing(number(typed), this.low, this.high);
    this.hand.setAttribute("visibility", Number.isNaN(x) ? "hidden" : "visible");
    this.hand.setAttribute("transform", `translate(${x || 0} 0)`);
  }

  press(key) {
    if (key === "Backspace") this.show(this.typed.slice(0, -1));
    else if (key === "Delete") this.show("");
    else if (this.typed.length >= 8) return;
    else if (/^\d$/.test(key)) this.show(this.typed + key);
    else if (this.secret) return;
    else if (/^[.,]$/.test(key) && !this.typed.includes(".")) this.show(`${this.typed || "0"}.`);
    else if (/^[-−]$/.test(key)) this.show(this.typed.startsWith("-") ? this.typed.slice(1) : `-${this.typed}`);
  }

  touch(button) {
    if (!button) return;
    if (button.dataset.key) this.press(button.dataset.key);
    else if (button.dataset.do === "cancel") this.dialog.close();
    else if (button.dataset.do === "meant") this.show(button.value);
    else if (button.dataset.do === "keep" && this.settled()) this.take();
  }

  type(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Enter" && event.target.dataset.key) {
      event.preventDefault(); // a digit that was touched last is not typed again
      this.touch(this.keep);
    }
    if (!/^([\d.,−-]|Backspace|Delete)$/.test(event.key)) return;
    event.preventDefault();
    this.press(event.key);
  }

  /** True where the typed value may be kept; else the question stands on the pad. */
  settled() {
    const value = number(this.typed);
    const outside = value < this.least || value > this.most;
    if (this.secret ? this.typed : !Number.isNaN(value) && (!outside || this.asked)) return true;
    const withUnit = (text) => (this.word ? `${text}\u00a0${this.word}` : text);
    this.asked = !Number.isNaN(value);
    this.question.hidden = false;
    if (!this.asked) {
      this.question.textContent = this.question.dataset.notNumber;
      return false;
    }
    const likely = meant(value, this.word, this.least, this.most).toFixed(Number(this.input.dataset.places ?? 1));
    const { low, high, least = low, most = high } = this.input.dataset;
    const words = { typed: withUnit(this.typed), meant: withUnit(likely), low: least ?? "–", high: withUnit(most ?? "–") };
    this.question.textContent = say(likely === "NaN" ? this.question.dataset.outside : this.question.dataset.meant, words);
    this.keep.textContent = `${this.verb} ${words.typed}`;
    this.keep.classList.add("quiet");
    this.instead.hidden = likely === "NaN";
    this.instead.value = likely;
    this.instead.textContent = words.meant;
    return false;
  }

  take() {
    this.input.value = this.typed;
    for (const kind of ["input", "change"]) this.input.dispatchEvent(new CustomEvent(kind, { bubbles: true, detail: { asked: this.asked } }));
    this.dialog.close();
    if (this.input.hasAttribute("data-pad-sends")) this.input.form.requestSubmit();
  }
}

if (sheet && inputs.length) {
  const pad = new Pad(sheet);
  for (const input of inputs) {
    input.inputMode = "none"; // the pad stands in for the tablet's own keyboard
    input.addEventListener("click", () => pad.open(input));
    input.addEventListener("keydown", (event) => {
      if (!/^[\d-]$/.test(event.key) || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      pad.open(input, event.key);
    });
  }
  for (const input of document.querySelectorAll("input[data-pad-after]")) {
    for (const choice of input.form.querySelectorAll(`[name="${input.dataset.padAfter}"]`)) {
      // A pointer's pick only: the arrow keys pass over every choice on their way.
      choice.addEventListener("click", (event) => event.pointerType && pad.open(input));
    }
  }
  const opens = document.querySelector("input[data-pad-opens]");
  if (opens) pad.open(opens);
}
