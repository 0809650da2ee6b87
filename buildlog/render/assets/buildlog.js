// Lets a reader choose the units, close a note with Esc, see a note by tapping, and find the cell that a
// figure leads to. A page is complete without it. It fetches nothing; the choice stays in this browser.
(() => {
  "use strict";
  const root = document.documentElement;
  const KEY = "buildlog-units";
  const CHOICES = { written: "As written", metric: "Metric", us: "US units" };

  function remembered() {
    try { return localStorage.getItem(KEY); } catch { return null; }
  }
  // What the site shows until its reader chooses.
  const first = document.currentScript?.dataset.units ?? "written";
  function choose(units) {
    root.dataset.buildlogUnits = Object.hasOwn(CHOICES, units) ? units : first;
  }
  // Before the page is drawn, so that nothing jumps.
  choose(remembered());

  // Who hears a page hears of a figure what its note says in the units that are shown.
  function describe() {
    const units = root.dataset.buildlogUnits;
    for (const both of document.querySelectorAll(".buildlog-note > .buildlog-both")) {
      const written = units === "written" || both.classList.contains("buildlog-in-" + units);
      const figure = both.closest(".buildlog-mark").querySelector("a.buildlog-figure");
      if (figure) figure.setAttribute("aria-describedby", both.children[written ? 0 : 1].id);
    }
  }

  function addChoice() {
    if (document.querySelector(".buildlog-units")) return;
    if (!document.querySelector(".buildlog-in-metric, .buildlog-in-us")) return;
    const box = document.createElement("div");
    box.className = "buildlog-units";
    const select = document.createElement("select");
    select.setAttribute("aria-label", "Units of the figures");
    select.title = "Units of the figures";
    for (const [value, text] of Object.entries(CHOICES)) {
      select.add(new Option(text, value, false, value === root.dataset.buildlogUnits));
    }
    select.addEventListener("change", () => {
      choose(select.value);
      describe();
      try { localStorage.setItem(KEY, select.value); } catch { /* it then holds for this page */ }
    });
    box.append(select);
    const header = document.querySelector(".md-header__inner");
    const title = header && header.querySelector(".md-header__title");
    if (title) title.after(box);
    else (document.querySelector("main, [role=main]") || document.body).prepend(box);
  }

  // A note is closed with Esc, or by following a link in it, until pointer and focus have left its figure.
  const CLOSED = "buildlog-closed";
  const OPEN = "buildlog-open";
  const mark = (event) => event.target instanceof Element && event.target.closest(".buildlog-mark");
  const reopen = (event) => {
    const one = mark(event);
    if (!one || one.contains(event.relatedTarget)) return;
    if (!one.matches(event.type === "pointerout" ? ":focus-within" : ":hover")) one.classList.remove(CLOSED);
  };
  function closeOthers(but) {
    for (const one of document.querySelectorAll("." + OPEN)) if (one !== but) one.classList.remove(OPEN);
  }
  document.addEventListener("pointerout", reopen);
  document.addEventListener("focusout", reopen);
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    closeOthers(null);
    for (const one of document.querySelectorAll(".buildlog-mark:is(:hover, :focus-within)")) {
      one.classList.add(CLOSED);
    }
  });

  // The first tap shows the note, which holds a link; a second one follows the figure's own.
  let touch = false;
  document.addEventListener("pointerdown", (event) => { touch = event.pointerType === "touch"; });
  document.addEventListener("click", (event) => {
    const one = mark(event);
    closeOthers(one);
    const link = event.target instanceof Element && event.target.closest("a");
    if (!one || !link) return;
    const shown = one.classList.contains(OPEN) || !one.querySelector(".buildlog-note");
    if (touch && !shown && link.matches(".buildlog-figure")) {
      event.preventDefault();
      one.classList.remove(CLOSED);
      one.classList.add(OPEN);
    } else if (link.getAttribute("href") === "#" + one.id) {
      copy(link);
    } else if (link.matches(".buildlog-figure, .buildlog-to-row")) {
      one.classList.remove(OPEN);
      one.classList.add(CLOSED);
      remember(one, link);
    }
  });

  // The link to a figure is in the address bar then, and where the browser lets us, ready to be pasted.
  function copy(link) {
    if (!navigator.clipboard) return;
    const words = link.textContent;
    navigator.clipboard.writeText(link.href).then(() => {
      link.textContent = "Copied";
      setTimeout(() => { link.textContent = words; }, 1500);
    }, () => { /* it is in the address bar */ });
  }

  // The links of a note are no stops of the keyboard: arrows lead from its figure to them and back.
  const linksOf = (one) => [...one.querySelectorAll("a")].filter((link) => link.checkVisibility());
  document.addEventListener("focusin", (event) => {
    const one = mark(event);
    if (!one || !one.querySelector(".buildlog-note")) return;
    for (const link of one.querySelectorAll(".buildlog-leads a")) link.tabIndex = -1;
    one.querySelector("a").setAttribute("aria-keyshortcuts", "ArrowDown");
  });
  document.addEventListener("keydown", (event) => {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    const one = step && mark(event);
    if (!one || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
    const links = linksOf(one);
    const next = links[links.indexOf(document.activeElement) + step];
    if (!next || !links.includes(document.activeElement)) return;
    event.preventDefault();
    next.focus();
  });

  // Of the row that a figure leads to, the cell of its case is marked, and its headings are brought into sight.
  const CASE = "buildlog-case";
  const MARKED = "buildlog-case-marked";
  let led = [];
  function remember(one, link) {
    led = [link.hash, one.dataset.case || ""];
    try { sessionStorage.setItem(CASE, JSON.stringify(led)); } catch { /* it then holds for this page */ }
    if (link.hash === location.hash) setTimeout(show);
  }
  function show() {
    try { led = JSON.parse(sessionStorage.getItem(CASE)) || led; } catch { /* nothing is remembered */ }
    for (const cell of document.querySelectorAll("." + MARKED)) {
      cell.classList.remove(MARKED);
      cell.removeAttribute("aria-current");
    }
    const row = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
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

  function begin() {
    addChoice();
    describe();
    show();
  }
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", begin);
  else begin();
})();
