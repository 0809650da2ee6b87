// Sorts long tables by a column, looks for words in them, and brings the keyboard to their start. Without it they stand in the pages' order.
(() => {
  "use strict";
  const NUMBER = /^[+−-]?\d[\d\s\u2009\u202f,]*(\.\d+)?/;

  function key(cell) {
    const text = cell ? cell.textContent.trim() : "";
    const found = NUMBER.exec(text);
    if (!found) return [1, 0, text.toLocaleLowerCase()];
    const number = found[0].replace(/[\s\u2009\u202f,]/g, "").replace("−", "-");
    return [0, Number(number), text.toLocaleLowerCase()];
  }
  function compare(a, b) {
    return a[0] - b[0] || a[1] - b[1] || a[2].localeCompare(b[2]);
  }

  function sortable(table) {
    const body = table.tBodies[0];
    const written = [...body.rows];
    for (const heading of table.tHead.rows[0].cells) {
      const button = document.createElement("button");
      button.type = "button";
      button.className = "buildlog-sort";
      button.append(...heading.childNodes);
      heading.append(button);
      button.addEventListener("click", () => {
        // up, down, as written
        const before = heading.getAttribute("aria-sort");
        for (const other of heading.parentElement.cells) other.removeAttribute("aria-sort");
        const way = before === null ? "ascending" : before === "ascending" ? "descending" : null;
        if (way === null) {
          body.append(...written);
          return;
        }
        heading.setAttribute("aria-sort", way);
        const sign = way === "ascending" ? 1 : -1;
        const rows = written.map((row) => [key(row.cells[heading.cellIndex]), row]);
        rows.sort((a, b) => sign * compare(a[0], b[0]));
        body.append(...rows.map(([, row]) => row));
      });
    }
  }

  function searchable(ledger) {
    const choice = ledger.querySelector(".buildlog-choice");
    const box = document.createElement("input");
    box.type = "search";
    box.placeholder = "Words to look for";
    box.setAttribute("aria-label", "Words to look for among the figures");
    const said = document.createElement("output");
    const rows = [...ledger.querySelectorAll("tr[data-standing]")];
    const look = () => {
      const words = box.value.toLocaleLowerCase().split(/\s+/).filter(Boolean);
      for (const row of rows) {
        const text = row.textContent.toLocaleLowerCase();
        row.hidden = !words.every((word) => text.includes(word));
      }
      // Of those that the choice of standings shows, which the style sheet follows.
      const found = words.length && rows.filter((row) => getComputedStyle(row).display !== "none").length;
      said.textContent = words.length ? `${found} found` : "";
    };
    box.addEventListener("input", look);
    choice.addEventListener("change", look);
    choice.append(box, said);
  }

  // What takes the focus out of sight, Chromium has brought to the middle of the window by its own middle: a
  // table of 18,000 px shows rows far below its start, and the next stop throws the reader up again.
  document.addEventListener("focusin", (event) => {
    const one = event.target;
    if (!one.matches(".buildlog-scroll:focus-visible")) return;
    const { top, height } = one.getBoundingClientRect();
    if (top < 0 && height > innerHeight) one.scrollIntoView({ block: "start" });
  });

  function begin() {
    document.querySelectorAll("table.buildlog-sortable").forEach(sortable);
    document.querySelectorAll(".buildlog-ledger").forEach(searchable);
  }
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", begin);
  else begin();
})();
