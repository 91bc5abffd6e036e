// What the pad asked about and the cook kept all the same is not asked again by the server. Only where the
// figure sends its form by itself: a form with more to it may have other questions.

document.addEventListener("change", (event) => {
  const input = event.target;
  if (!event.detail?.asked || !input.hasAttribute("data-pad-sends") || input.form.elements.sure) return;
  input.form.append(Object.assign(document.createElement("input"), { type: "hidden", name: "sure", value: "on" }));
});
