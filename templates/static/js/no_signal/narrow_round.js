// Where there is no signal the site cannot look for a machine: the lines of the open page are narrowed.
"use strict";
(() => {
  const field = document.getElementById("q"), said = document.querySelector("[data-narrowed]");
  if (!field || !said) return;
  function narrow() {
    const words = field.value.toLowerCase().split(/\s+/).filter(Boolean);
    for (const line of document.querySelectorAll(".round-line")) {
      const text = line.querySelector(".round-machine").textContent.toLowerCase();
      line.hidden = !words.every((word) => text.includes(word));
    }
    said.hidden = !words.length;
  }
  document.addEventListener("htmx:sendError", ({ target }) => { if (field.form.contains(target)) narrow(); });
  document.addEventListener("htmx:afterSwap", () => { said.hidden = true; });
  if (!document.documentElement.dataset.keptAt) return;
  field.value = new URL(location.href).searchParams.get("q") || field.value;
  narrow();
})();
