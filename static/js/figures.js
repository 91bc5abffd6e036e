// Figures as the numeric pad reads them, and the scale that it draws them on.

/** The figure in a text, NaN where there is none. */
export const number = (text) => (text === undefined || text === "" ? NaN : Number(text));

/** A translated sentence with its gaps filled. */
export const say = (text, words) => text.replace(/%\((\w+)\)s/g, (_, name) => words[name]);

/** The figure that a slip of the point, the unit or the sign would have come from, or NaN. */
export function meant(value, unit, low, high) {
  const slips = [value / 10, value / 100, value * 10];
  if (unit === "°C") slips.push((value - 32) / 1.8);
  if (unit === "°F") slips.push(value * 1.8 + 32);
  slips.push(-value);
  const found = slips.find((each) => !(each < low) && !(each > high));
  return Number.isNaN(low) && Number.isNaN(high) ? NaN : (found ?? NaN);
}

/** Where a value lands on the scale (0 to 480), the expected range being the middle half. */
export function landing(value, low, high) {
  const both = high - low;
  const span = both > 0 ? both : Math.max(5, Math.abs(Number.isNaN(low) ? high : low) / 10);
  const x = Number.isNaN(low) ? 360 + ((value - high) / span) * 240 : 120 + ((value - low) / span) * 240;
  return Math.min(471, Math.max(9, x));
}

/** The expected range on the pad's scale; a range open at one end runs out of the picture. */
export function drawScale(scale, low, high, label, unit) {
  const [, band, lowMark, highMark] = scale.querySelectorAll("line");
  scale.toggleAttribute("hidden", !low && !high);
  scale.setAttribute("aria-label", label);
  band.setAttribute("x1", low ? 120 : 0);
  band.setAttribute("x2", high ? 360 : 480);
  lowMark.setAttribute("visibility", low ? "visible" : "hidden");
  highMark.setAttribute("visibility", high ? "visible" : "hidden");
  scale.querySelector(".low").textContent = low && !high ? `${low} ${unit}` : (low ?? "");
  scale.querySelector(".high").textContent = high ? `${high} ${unit}` : "";
}
