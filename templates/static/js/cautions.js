// A caution that was read today on this phone stands as one line; a press shows it whole again.
// Once all are read the first alone stands there, and a press brings the others back.
// On paper all of them stand whole: the style sheet sees to that.
"use strict";
(() => {
  const cautions = [...document.querySelectorAll("details[data-caution]")];
  if (!cautions.length) return;
  const store = (() => { try { return window.localStorage; } catch { return null; } })();
  const now = new Date();
  const day = `${now.getFullYear()}-${now.getMonth() + 1}-${now.getDate()}`;
  const read = (() => {
    try {
      const said = JSON.parse(store.getItem("cautions"));
      return said?.day === day ? new Set(said.read) : new Set();
    } catch { return new Set(); }
  })();
  const keep = () => { try { store.setItem("cautions", JSON.stringify({ day, read: [...read] })); } catch { /* forbidden */ } };

  for (const one of cautions) {
    if (read.has(one.dataset.caution)) one.open = false;
    one.addEventListener("toggle", () => {
      if (one.open) return;
      read.add(one.dataset.caution);
      keep();
    });
  }
  for (const button of document.querySelectorAll("[data-all-read]")) {
    const group = button.closest("section");
    const inside = [...group.querySelectorAll("details[data-caution]")];
    const words = button.textContent;
    const show = () => {
      const all = inside.every((one) => read.has(one.dataset.caution));
      if (!all) delete group.dataset.shown;
      group.dataset.read = all && !group.dataset.shown ? "all" : "";
      button.textContent = all ? button.dataset.allRead.replace("{n}", inside.length) : words;
      button.hidden = all && (inside.length === 1 || "shown" in group.dataset);
    };
    button.addEventListener("click", () => {
      if (inside.every((one) => read.has(one.dataset.caution))) group.dataset.shown = "yes";
      else {
        inside.forEach((one) => read.add(one.dataset.caution));
        for (const one of cautions) if (read.has(one.dataset.caution)) one.open = false; // at the steps too
      }
      keep();
      show();
    });
    inside.forEach((one) => one.addEventListener("toggle", show));
    show();
  }
})();
