// Tables: the row that a figure leads to is brought into sight with its headings, the folds around it open, the cell
// of its case marked; what scrolls is a stop of the Tab key; on paper what is folded stands open. A page is complete
// without it.
(() => {
  "use strict";
  // Of the row that a figure leads to, the cell of its case is marked, and its headings are brought into sight.
  const CASE = "buildlog-case";
  const MARKED = "buildlog-case-marked";
  let led = [];
  function remember(one, link) {
    led = [link.hash, one.dataset.case || ""];
    try { sessionStorage.setItem(CASE, JSON.stringify(led)); } catch { /* it then holds for this page */ }
    if (link.hash === location.hash) setTimeout(show);
  }
  // What follows # in an address may be anything.
  function decoded(text) {
    try { return decodeURIComponent(text); } catch { return text; }
  }
  function show() {
    try { led = JSON.parse(sessionStorage.getItem(CASE)) || led; } catch { /* nothing is remembered */ }
    for (const cell of document.querySelectorAll("." + MARKED)) {
      cell.classList.remove(MARKED);
      cell.removeAttribute("aria-current");
    }
    const row = document.getElementById(decoded(location.hash.slice(1)));
    if (!row || !row.matches(".buildlog-table tr, .buildlog-table td")) return;
    let folded = false;
    for (let fold = row.closest("details"); fold; fold = fold.parentElement.closest("details")) {
      folded = folded || !fold.open;
      fold.open = true;
    }
    if (folded) row.scrollIntoView();
    const [hash, name] = Array.isArray(led) ? led : [];
    const cell = hash === location.hash && name
      && [...row.querySelectorAll("[data-case]")].find((other) => other.dataset.case === name);
    if (cell) {
      cell.classList.add(MARKED);
      cell.setAttribute("aria-current", "true");
    }
    const top = row.closest("table").getBoundingClientRect().top;
    const header = document.querySelector(".md-header");
    const covered = header ? Math.max(0, header.getBoundingClientRect().bottom) : 0;
    const below = row.getBoundingClientRect().bottom - top;
    if (top < covered && below < innerHeight - covered) scrollBy({ top: top - covered - 8, behavior: "instant" });
  }
  document.addEventListener("click", (event) => {
    const link = event.target instanceof Element && event.target.closest("a");
    const one = link && link.closest(".buildlog-mark");
    if (!one || event.defaultPrevented || link.getAttribute("href") === "#" + one.id) return;
    if (link.matches(".buildlog-figure, .buildlog-to-row")) remember(one, link);
  });
  addEventListener("hashchange", show);

  // On paper cautions, inputs and sources stand open; what is folded stays so afterwards.
  let unfolded = [];
  addEventListener("beforeprint", () => {
    unfolded = [...document.querySelectorAll("details:is(.buildlog-fold, .buildlog-caution):not([open], .buildlog-on-screen, .buildlog-all)")];
    for (const one of unfolded) one.open = true;
  });
  addEventListener("afterprint", () => {
    for (const one of unfolded) one.open = false;
  });

  // --- what scrolls can be reached, what does not is no stop ---

  const NAMES = ["role", "tabindex", "aria-label"];
  const told = new WeakMap();
  // What is in it is watched as well: other units are wider, and the box stays as wide as it was.
  const watch = new ResizeObserver((seen) => {
    for (const target of new Set(seen.map((one) => one.target.closest(".buildlog-scroll")))) {
      const scrolls = target.scrollWidth > target.clientWidth;
      target.classList.toggle("buildlog-fits", !scrolls);
      for (const [name, value] of told.get(target)) {
        if (scrolls) target.setAttribute(name, value);
        else target.removeAttribute(name);
      }
    }
  });
  function watchAll() {
    for (const one of document.querySelectorAll(".buildlog-scroll[tabindex]")) {
      told.set(one, NAMES.filter((name) => one.hasAttribute(name)).map((name) => [name, one.getAttribute(name)]));
      watch.observe(one);
      for (const inner of one.children) watch.observe(inner);
    }
  }

  function begin() {
    show();
    watchAll();
  }
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", begin);
  else begin();
})();
