/* The calendar of bookings: free days are picked by dragging or by the keyboard, a booking's end is
   dragged or moved by the keyboard.  Either way a page opens on which it is looked at and saved; without
   this script the same links open the same pages, with the first free day. */
(() => {
  "use strict";
  const table = document.querySelector("[data-calendar]");
  const said = document.querySelector("[data-said]");
  const shown = document.querySelector("[data-read]");
  if (!table || !said || !shown) return;
  for (const hint of document.querySelectorAll("[data-with-script]")) hint.hidden = false;

  const A_DAY = 86400000;
  const day_of = (text) => Date.parse(`${text}T00:00:00Z`) / A_DAY;
  const text_of = (day) => new Date(day * A_DAY).toISOString().slice(0, 10);
  const read = (day) => new Date(day * A_DAY).toLocaleDateString(document.documentElement.lang || "en", {
    weekday: "short", day: "numeric", month: "short", timeZone: "UTC",
  });
  const say = (words) => { said.textContent = words; };
  const links = (row) => [...row.querySelectorAll("td a")];
  const rows = [...table.tBodies[0].rows].filter((row) => links(row).length);

  /* What a cell does not say itself follows from its place: its days, and the machine at the head of its row. */
  const opening = day_of(table.dataset.calendar);
  const tag_of = (link) => link.closest("tr").cells[0].querySelector("a").textContent;
  const days_of = (link) => link.closest("td").colSpan;
  const first_of = (link) => {
    let day = opening;
    for (let cell = link.closest("td").previousElementSibling; cell.tagName === "TD"; cell = cell.previousElementSibling) day += cell.colSpan;
    return day;
  };
  const is_free = (link) => !link.classList.contains("bar") && !link.classList.contains("cal-why");
  const is_movable = (link) => link.classList.contains("bar-booked") || link.classList.contains("bar-out");
  const begun_of = (link) => (link.dataset.first ? day_of(link.dataset.first) : first_of(link));
  const last_of = (link) => (link.dataset.last ? day_of(link.dataset.last) : first_of(link) + days_of(link) - 1);

  /* Below the calendar stands in full what the cell says that is pointed at, or has the focus. */
  const words_of = (link) => {
    const strips = [...link.querySelectorAll("i:not([aria-hidden])")].map((one) => one.textContent).join(", ");
    return strips + link.querySelector("b").textContent;
  };
  const tell = (link) => {
    const [from, to] = link.classList.contains("bar") ? [begun_of(link), last_of(link)] : [first_of(link), first_of(link) + days_of(link) - 1];
    const what = link.classList.contains("bar") ? link.textContent : words_of(link);
    const why = (link.getAttribute("aria-describedby") || "").split(" ").filter(Boolean).map((id) => document.getElementById(id).textContent);
    shown.textContent = [`${tag_of(link)}, ${read(from)}${to > from ? ` to ${read(to)}` : ""}: ${what}.`, ...why].join(" ");
  };

  /* What is picked in a cell: `from` and `to` are days, the first and the last picked. */
  const picked = new WeakMap();
  const reach = (link) => {
    const first = first_of(link);
    return [first, first + days_of(link) - 1];
  };
  const show = (link, from, to) => {
    const first = first_of(link);
    const days = days_of(link);
    let box = link.querySelector(".cal-pick");
    if (!box) { box = document.createElement("span"); box.className = "cal-pick"; link.append(box); }
    box.style.left = `${(from - first) / days * 100}%`;
    box.style.width = `${(to - from + 1) / days * 100}%`;
  };
  const pick = (link, from, to) => {
    const [least, most] = reach(link);
    const [one, other] = [from, to].map((day) => Math.min(Math.max(day, least), most));
    picked.set(link, [one, other]);
    const [first, last] = one <= other ? [one, other] : [other, one];
    const at = new URL(link.href);
    at.searchParams.set("first_day", text_of(first));
    at.searchParams.set("last_day", text_of(last));
    link.href = at;
    show(link, first, last);
    say(`${tag_of(link)}: ${read(first)}${last > first ? ` to ${read(last)}` : ""}`);
  };
  const unpick = (link) => { picked.delete(link); link.querySelector(".cal-pick")?.remove(); };

  /* Another last day of a booking; what it brings with it is shown on the booking's page. */
  const prolong = (link, last) => {
    const to = Math.max(last, begun_of(link));
    const at = new URL(link.href);
    if (to === last_of(link)) at.searchParams.delete("last_day");
    else at.searchParams.set("last_day", text_of(to));
    link.href = at;
    picked.set(link, [to, to]);
    const box = link.querySelector(".cal-end") || link.appendChild(Object.assign(document.createElement("span"), { className: "cal-end" }));
    box.textContent = ` to ${read(to)}`;
    say(`to ${read(to)}`);
  };

  const day_at = (link, x) => {
    const box = link.getBoundingClientRect();
    const n = Math.floor((x - box.left) / box.width * days_of(link));
    return first_of(link) + Math.min(Math.max(n, 0), days_of(link) - 1);
  };

  let drag = null; // {link, from} over free days; {link, x, last, width} at a booking's end
  const EDGE = 14; // px at the end of a bar that take hold of it
  table.addEventListener("pointerdown", (event) => {
    const link = event.target.closest("td a");
    if (!link || !(is_free(link) || is_movable(link)) || event.button || event.pointerType === "touch") return; // a finger scrolls and taps
    const box = link.getBoundingClientRect();
    if (is_free(link)) {
      const from = day_at(link, event.clientX);
      drag = { link, from };
      pick(link, from, from);
    } else if (box.right - event.clientX <= EDGE) {
      const width = link.closest("td").getBoundingClientRect().width / days_of(link);
      drag = { link, x: event.clientX, last: last_of(link), width };
    } else return;
    event.preventDefault();
  });
  addEventListener("pointermove", (event) => {
    if (!drag) return;
    if (is_free(drag.link)) pick(drag.link, drag.from, day_at(drag.link, event.clientX));
    else prolong(drag.link, drag.last + Math.round((event.clientX - drag.x) / drag.width));
  });
  addEventListener("pointerup", (event) => {
    if (!drag) return;
    const { link } = drag;
    drag = null;
    if (!link.contains(event.target)) location.assign(link.href); // let go on it, the browser's own press follows
  });
  table.addEventListener("dragstart", (event) => event.preventDefault());
  table.addEventListener("click", (event) => {
    const link = event.target.closest("td a");
    if (link && is_free(link) && event.detail && !picked.has(link)) { // a tap by a finger means the day under it
      const day = day_at(link, event.clientX);
      pick(link, day, day);
    }
  });
  /* One stop for Tab; arrows go about.  */
  let here = null;
  const stop_at = (link) => {
    if (here && here !== link) { here.tabIndex = -1; if (is_free(here)) unpick(here); }
    here = link;
    link.tabIndex = 0;
  };
  for (const row of rows) for (const link of links(row)) link.tabIndex = -1;
  if (rows.length) stop_at(links(rows[0])[0]);
  const go = (link) => {
    if (!link) return;
    stop_at(link);
    link.focus();
    link.scrollIntoView({ block: "nearest", inline: "nearest" });
  };
  const beside = (link, way) => { const all = links(link.closest("tr")); return all[all.indexOf(link) + way]; };
  const above = (link, way) => {
    const row = rows[rows.indexOf(link.closest("tr")) + way];
    if (!row) return null;
    const middle = link.getBoundingClientRect().left;
    return links(row).reduce((best, one) => {
      const off = (each) => Math.abs(each.getBoundingClientRect().left - middle);
      return best && off(best) <= off(one) ? best : one;
    }, null);
  };
  const step = (link, way, longer) => {
    if (is_movable(link) && longer) {
      prolong(link, (picked.get(link) || [last_of(link)])[0] + way);
    } else if (is_free(link)) {
      const [least, most] = reach(link);
      const at = picked.get(link);
      if (!at) { if (longer || way > 0) pick(link, least, longer ? least + Math.max(way, 0) : least); else go(beside(link, way)); }
      else if (longer) pick(link, at[0], at[1] + way);
      else if (at[0] + way < least || at[0] + way > most) go(beside(link, way));
      else pick(link, at[0] + way, at[0] + way);
    } else if (!longer) go(beside(link, way));
  };
  table.addEventListener("focusin", (event) => {
    const link = event.target.closest("td a");
    if (link) { stop_at(link); tell(link); }
  });
  table.addEventListener("pointerover", (event) => {
    const link = event.target.closest("td")?.querySelector("a");
    if (link) tell(event.target.closest("td a") || link);
  });
  table.addEventListener("keydown", (event) => {
    const link = event.target.closest("td a");
    if (!link || event.ctrlKey || event.metaKey || event.altKey) return;
    const moves = {
      ArrowRight: () => step(link, 1, event.shiftKey),
      ArrowLeft: () => step(link, -1, event.shiftKey),
      ArrowDown: () => go(above(link, 1)),
      ArrowUp: () => go(above(link, -1)),
      Escape: () => { if (is_free(link)) unpick(link); else if (is_movable(link)) prolong(link, last_of(link)); },
    };
    if (!moves[event.key]) return;
    event.preventDefault();
    moves[event.key]();
  });
})();
