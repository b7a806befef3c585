// The page of what waits on this phone: each press with its time, what was typed and, if it was
// refused, why, with a way to mend it and to let it go.
"use strict";
(() => {
  const page = document.querySelector("[data-waiting-list]");
  const { Outbox } = self, words = page.dataset;
  const list = page.querySelector("ol"), pattern = page.querySelector("template");
  const acts = JSON.parse(document.getElementById("phone-acts").textContent);
  const HIDDEN = /^(csrfmiddlewaretoken|act_key|form_key|key|about|page|yard|order|clock|also_shown|also|text_.*)$/;
  const WHY = [".faults", ".said-error", ".errorlist", ".plate .answer"]; // the first that is there says why

  function actOf(path) {
    const found = acts.find(([at]) => new RegExp(`^${at.split("*").join("[^/]+")}$`).test(path));
    return found ? found[1] : path;
  }
  function labelsOf(entry) {
    try { return JSON.parse(localStorage.getItem(`labels:${entry.key}`)) || {}; } catch { return {}; }
  }
  function typed(entry) {
    const labels = labelsOf(entry);
    return entry.fields.filter(([name, each]) => !HIDDEN.test(name) && each !== "").map(([name, each]) => {
      const item = document.createElement("li");
      const value = typeof each === "string" ? each : each.name;
      item.textContent = each === "on" || name === "done" ? labels[name] || name : `${labels[name] || name}: ${value}`;
      return item;
    });
  }
  function why(entry) {
    const said = new DOMParser().parseFromString(entry.answer || "", "text/html");
    said.querySelector(".faults > p")?.remove(); // that nothing is saved yet goes without saying here
    const found = WHY.map((one) => said.querySelector(one)).find(Boolean);
    return found ? found.textContent.trim().replace(/\s+/g, " ") : "";
  }
  function hidden(form, name, value) {
    const input = document.createElement("input");
    input.name = name;
    input.type = typeof value === "string" ? "hidden" : "file";
    if (typeof value === "string") input.value = value;
    else {
      const files = new DataTransfer();
      files.items.add(value);
      input.files = files.files;
      input.hidden = true;
    }
    form.append(input);
  }
  // The site shows the form again with what was typed and what is wrong with it.
  function mend(entry) {
    const form = document.createElement("form");
    form.method = "post";
    form.action = entry.headers["HX-Request"] ? words.round : entry.url;
    if (entry.fields.some(([, each]) => typeof each !== "string")) form.enctype = "multipart/form-data";
    for (const [name, value] of entry.fields) hidden(form, name, value);
    document.body.append(form);
    form.submit();
  }
  function line(entry) {
    const made = pattern.content.cloneNode(true), put = (name) => made.querySelector(`[data-${name}]`);
    const path = new URL(entry.url, location.href).pathname;
    const tag = Outbox.value(entry, "about") || decodeURIComponent(path.split("/")[2] || "");
    put("what").textContent = [actOf(path), tag].filter(Boolean).join(" · ");
    put("when").textContent = new Date(entry.at).toLocaleString(document.documentElement.lang, { weekday: "short", hour: "numeric", minute: "2-digit" });
    put("state").textContent = entry.state === "refused" ? `${words.refused} ${why(entry)}` : words.waits;
    put("typed").replaceChildren(...typed(entry));
    put("mend").hidden = entry.state !== "refused";
    put("mend").addEventListener("click", () => mend(entry));
    put("let-go").addEventListener("click", async ({ target }) => {
      if (target.dataset.sure === undefined) {
        target.dataset.sure = "";
        target.textContent = words.sure;
        return;
      }
      await Outbox.letGo(entry.id);
      Outbox.tell({ changed: true });
      self.NoSignal.show();
      show();
    });
    return made;
  }
  async function show() {
    const [rows, person] = [await Outbox.all(), await Outbox.person()];
    const mine = rows.filter((one) => one.person === person), others = rows.length - mine.length;
    list.replaceChildren(...mine.map(line));
    page.querySelector("[data-none]").hidden = rows.length > 0;
    const more = page.querySelector("[data-others]");
    more.hidden = !others;
    more.textContent = (others === 1 ? words.otherOne : words.otherMany).replace("{n}", String(others));
  }
  Outbox.hear((said) => (said.changed ? show() : null));
  show().catch(() => { /* a browser that keeps nothing */ });
})();
