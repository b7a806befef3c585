// What waits on this phone is told where it belongs: at its machine on the list, in its line of the
// round, on its sheet.  And what each field of a press was called is kept for the list of what waits.
"use strict";
(() => {
  const { Outbox } = self, words = document.querySelector("[data-no-signal]")?.dataset;
  if (!words || !("indexedDB" in window)) return;
  const time = (at) => new Date(at).toLocaleTimeString(document.documentElement.lang, { hour: "numeric", minute: "2-digit" });

  function lineIn(place) {
    let line = place.querySelector(":scope > [data-wait-mark]");
    if (!line) {
      line = document.createElement("p");
      line.dataset.waitMark = "";
      place.append(line);
    }
    return line;
  }
  function placesOf(entry) {
    const machine = new URL(entry.url, location.href).pathname.split("/").slice(0, 3).join("/") + "/";
    if (location.pathname === machine) return [document.querySelector(".plate")];
    const links = [...document.querySelectorAll("li.sheet a.press")];
    return links.filter((link) => new URL(link.href).pathname === machine).map((link) => link.closest("li"));
  }
  function inRound(entry) {
    for (const [name, typed] of entry.fields) {
      const field = name.startsWith("value-") && typed ? document.getElementById(name) : null;
      const said = field?.closest(".round-line")?.querySelector(".round-said");
      if (!said) continue;
      if (!field.value) field.value = typed;
      lineIn(said).textContent = sentence(entry);
    }
  }
  const sentence = (entry) => (entry.state === "refused" ? words.markRefused : words.mark).replace("{t}", time(entry.at));
  async function show() {
    const mine = (await Outbox.all()).filter((one) => one.person === words.person);
    for (const old of document.querySelectorAll("[data-wait-mark]")) old.remove();
    for (const entry of mine) {
      inRound(entry);
      for (const place of placesOf(entry)) lineIn(place).textContent = sentence(entry);
    }
  }
  function firstWords(label) { // without what stands beside it: a unit of time, "if any"
    const texts = document.createTreeWalker(label, NodeFilter.SHOW_TEXT);
    let words = "";
    while (!words && texts.nextNode()) words = texts.currentNode.textContent.trim().replace(/\s+/g, " ");
    return words.slice(0, 80);
  }
  function keepLabels({ target }) {
    const key = target.elements.act_key?.value;
    if (!key) return;
    const labels = {};
    for (const field of target.elements) {
      const label = field.closest("fieldset.field")?.querySelector("legend") || field.labels?.[0];
      if (label && field.name) labels[field.name] = firstWords(label);
    }
    try { localStorage.setItem(`labels:${key}`, JSON.stringify(labels)); } catch { /* full or forbidden */ }
  }
  document.addEventListener("submit", keepLabels);
  Outbox.hear(show);
  show().catch(() => { /* a browser that keeps nothing */ });
})();
