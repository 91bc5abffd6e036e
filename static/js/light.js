// Paper or dim: the tablet remembers, the page obeys before its first paint.
(() => {
  const root = document.documentElement;
  const kept = () => {
    try {
      return localStorage.getItem("light");
    } catch {
      return null; // storage is shut: the page stays paper
    }
  };
  const show = (light) => {
    if (light === "dim") root.dataset.light = "dim";
    else delete root.dataset.light;
  };
  show(kept());
  document.addEventListener("DOMContentLoaded", () => {
    const lightSwitch = document.querySelector("[data-light-switch]");
    if (!lightSwitch) return;
    const press = () => lightSwitch.setAttribute("aria-pressed", String(root.dataset.light === "dim"));
    lightSwitch.hidden = false;
    press();
    lightSwitch.addEventListener("click", () => {
      const next = root.dataset.light === "dim" ? "paper" : "dim";
      show(next);
      press();
      try {
        localStorage.setItem("light", next);
      } catch {
        // Not remembered, but shown.
      }
    });
  });
})();
