// Steps folded by what they are about say how many of them are done.  Once the last of an open
// group is done the next group with something left opens; nothing closes under the finger.
"use strict";
(() => {
  const groups = [...document.querySelectorAll(".step-group")];
  if (!groups.length) return;
  let touched = false; // whether anybody pressed or typed here yet

  // A step is done once it is ticked or answered and all that is measured at it is typed.
  function isDone(step) {
    const inputs = [...step.querySelectorAll("input, select, textarea")].filter((one) => one.name && one.form === step.closest("form"));
    const given = (one) => (["radio", "checkbox"].includes(one.type) ? one.checked : one.value.trim() !== "");
    return [...new Set(inputs.map((one) => one.name))].every((name) => inputs.some((one) => one.name === name && given(one)));
  }
  const asking = (group) => [...group.querySelectorAll(".step")].filter((step) => step.querySelector("[name]"));
  const left = (group) => asking(group).some((step) => !isDone(step));
  function count(group) {
    const place = group.querySelector("[data-count]"), steps = asking(group);
    if (!place) return;
    const text = place.dataset.count.replace("{n}", steps.filter(isDone).length).replace("{m}", steps.length);
    if (place.textContent !== text) place.textContent = text;
  }
  const siblings = (group) => groups.filter((one) => one.parentElement === group.parentElement);
  function openNext(group) {
    if (left(group)) return;
    const all = siblings(group), next = all.slice(all.indexOf(group) + 1).find(left);
    if (next) next.open = true;
  }
  // What was kept on this phone is put back after the page came: the first open group is another one then.
  function settle(group) {
    count(group);
    if (touched || group.querySelector(".errorlist")) return;
    const all = siblings(group), first = all.find(left);
    for (const one of all) if (!one.querySelector(".errorlist")) one.open = one === first;
  }

  document.addEventListener("input", ({ target }) => {
    const group = target.closest?.(".step-group");
    if (!group) return;
    touched = true;
    count(group);
  });
  document.addEventListener("change", ({ target }) => {
    const group = target.closest?.(".step-group");
    if (group && !target.matches("[type=text]")) openNext(group);
  });
  document.addEventListener("click", ({ target }) => { if (target.closest?.(".step-group > summary")) touched = true; });
  document.addEventListener("kept", ({ target }) => { // it does not bubble
    const group = target.closest?.(".step-group");
    if (group) settle(group);
  }, true);

  // Browsers that cannot unfold by a style sheet unfold for the printer.
  let folded = [];
  window.addEventListener("beforeprint", () => {
    folded = groups.filter((one) => !one.open);
    folded.forEach((one) => { one.open = true; });
  });
  window.addEventListener("afterprint", () => { folded.forEach((one) => { one.open = false; }); });
})();
