/* The calendar of bookings: free days are picked by dragging or by the keyboard, a booking's end is
   dragged or moved by the keyboard.  Either way a page opens on which it is looked at and saved; without
   this script the same links open the same pages, with the first free day. */
(() => {
  "use strict";
  const table = document.querySelector("[data-calendar]");
  const said = document.querySelector("[data-said]");
  if (!table || !said) return;
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

  /* What is picked in a cell: `from` and `to` are days, the first and the last picked. */
  const picked = new WeakMap();
  const reach = (link) => {
    const first = day_of(link.dataset.first);
    return [first, first + Number(link.dataset.days) - 1];
  };
  const show = (link, from, to) => {
    const first = day_of(link.dataset.first);
    const days = Number(link.dataset.days);
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
    say(`${link.dataset.free}: ${read(first)}${last > first ? ` to ${read(last)}` : ""}`);
  };
  const unpick = (link) => { picked.delete(link); link.querySelector(".cal-pick")?.remove(); };

  /* Another last day of a booking; what it brings with it is shown on the booking's page. */
  const prolong = (link, last) => {
    const to = Math.max(last, day_of(link.dataset.first));
    const at = new URL(link.href);
    if (to === day_of(link.dataset.last)) at.searchParams.delete("last_day");
    else at.searchParams.set("last_day", text_of(to));
    link.href = at;
    picked.set(link, [to, to]);
    const box = link.querySelector(".cal-end") || link.appendChild(Object.assign(document.createElement("span"), { className: "cal-end" }));
    box.textContent = ` to ${read(to)}`;
    say(`to ${read(to)}`);
  };

  const day_at = (link, x) => {
    const box = link.getBoundingClientRect();
    const n = Math.floor((x - box.left) / box.width * Number(link.dataset.days));
    return day_of(link.dataset.first) + Math.min(Math.max(n, 0), Number(link.dataset.days) - 1);
  };

  let drag = null; // {link, from} over free days; {link, x, last, width} at a booking's end
  const EDGE = 14; // px at the end of a bar that take hold of it
  table.addEventListener("pointerdown", (event) => {
    const link = event.target.closest("a[data-free], a[data-booking]");
    if (!link || event.button || event.pointerType === "touch") return; // a finger scrolls and taps
    const box = link.getBoundingClientRect();
    if (link.dataset.free) {
      const from = day_at(link, event.clientX);
      drag = { link, from };
      pick(link, from, from);
    } else if (box.right - event.clientX <= EDGE) {
      const width = link.closest("td").getBoundingClientRect().width / Number(link.dataset.days);
      drag = { link, x: event.clientX, last: day_of(link.dataset.last), width };
    } else return;
    event.preventDefault();
  });
  addEventListener("pointermove", (event) => {
    if (!drag) return;
    if (drag.link.dataset.free) pick(drag.link, drag.from, day_at(drag.link, event.clientX));
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
    const link = event.target.closest("a[data-free]");
    if (link && event.detail && !picked.has(link)) { // a tap by a finger means the day under it
      const day = day_at(link, event.clientX);
      pick(link, day, day);
    }
  });
  /* One stop for Tab; arrows go about.  */
  let here = null;
  const stop_at = (link) => {
    if (here && here !== link) { here.tabIndex = -1; if (here.dataset.free) unpick(here); }
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
    if (link.dataset.booking !== undefined && longer) {
      prolong(link, (picked.get(link) || [day_of(link.dataset.last)])[0] + way);
    } else if (link.dataset.free) {
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
    if (link) stop_at(link);
  });
  table.addEventListener("keydown", (event) => {
    const link = event.target.closest("td a");
    if (!link || event.ctrlKey || event.metaKey || event.altKey) return;
    const moves = {
      ArrowRight: () => step(link, 1, event.shiftKey),
      ArrowLeft: () => step(link, -1, event.shiftKey),
      ArrowDown: () => go(above(link, 1)),
      ArrowUp: () => go(above(link, -1)),
      Escape: () => { if (link.dataset.free) unpick(link); else prolong(link, day_of(link.dataset.last)); },
    };
    if (!moves[event.key]) return;
    event.preventDefault();
    moves[event.key]();
  });
})();
