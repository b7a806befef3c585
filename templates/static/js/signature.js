// A sheet to sign on, drawn with finger, pen or mouse; what is drawn is sent as strokes.
// Without this script the name that is typed stands alone.
(() => {
  "use strict";
  const SVG = "http://www.w3.org/2000/svg", WIDE = 600, HIGH = 200, LONGEST = 19000;
  for (const field of document.querySelectorAll("input[data-signature]")) {
    const sheet = document.createElementNS(SVG, "svg");
    const line = document.createElementNS(SVG, "path");
    const again = document.createElement("button");
    const box = document.createElement("div");
    sheet.setAttribute("viewBox", `0 0 ${WIDE} ${HIGH}`);
    sheet.setAttribute("role", "img");
    sheet.setAttribute("aria-label", `${field.dataset.signature}, drawn with finger or mouse`);
    sheet.setAttribute("class", "signature-sheet");
    line.setAttribute("d", field.value);
    again.type = "button";
    again.className = "press-soft";
    again.textContent = "Sign again";
    again.setAttribute("aria-label", `${field.dataset.signature}: sign again`);
    box.className = "signature";
    const title = document.createElement("p");
    title.className = "label";
    title.textContent = field.dataset.signature;
    sheet.append(line);
    box.append(title, sheet, again);
    field.after(box);
    let drawing = false;
    const place = (event) => {
      const at = sheet.getBoundingClientRect();
      const within = (value, most) => Math.round(Math.min(Math.max(value, 0), most - 1));
      return `${within((event.clientX - at.left) * WIDE / at.width, WIDE)} ${within((event.clientY - at.top) * HIGH / at.height, HIGH)}`;
    };
    const add = (stroke) => {
      if (field.value.length > LONGEST) return;
      field.value += stroke;
      line.setAttribute("d", field.value);
    };
    sheet.addEventListener("pointerdown", (event) => {
      drawing = true;
      sheet.setPointerCapture(event.pointerId);
      const start = place(event);
      add(`M${start} L${start} `);
      event.preventDefault();
    });
    sheet.addEventListener("pointermove", (event) => { if (drawing) add(`L${place(event)} `); });
    for (const end of ["pointerup", "pointercancel"]) sheet.addEventListener(end, () => { drawing = false; });
    again.addEventListener("click", () => { field.value = ""; line.setAttribute("d", ""); });
  }
})();
