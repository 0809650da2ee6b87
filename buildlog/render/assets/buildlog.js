// Lets a reader choose the units, close a note with Esc, and see a note by tapping. A page is complete
// without it. It fetches nothing; the choice stays in this browser.
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
      try { localStorage.setItem(KEY, select.value); } catch { /* it then holds for this page */ }
    });
    box.append(select);
    const header = document.querySelector(".md-header__inner");
    const title = header && header.querySelector(".md-header__title");
    if (title) title.after(box);
    else (document.querySelector("main, [role=main]") || document.body).prepend(box);
  }

  // A note is closed with Esc until the pointer or the focus has left its figure.
  const CLOSED = "buildlog-closed";
  const OPEN = "buildlog-open";
  const mark = (event) => event.target instanceof Element && event.target.closest(".buildlog-mark");
  const reopen = (event) => {
    const one = mark(event);
    if (one && !one.contains(event.relatedTarget)) one.classList.remove(CLOSED);
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
    if (!one || !touch || !event.target.closest("a.buildlog-figure")) return;
    if (one.classList.contains(OPEN) || !one.querySelector(".buildlog-note")) return;
    event.preventDefault();
    one.classList.remove(CLOSED);
    one.classList.add(OPEN);
  });

  // On paper inputs and sources stand open; what is folded stays so afterwards.
  let unfolded = [];
  addEventListener("beforeprint", () => {
    unfolded = [...document.querySelectorAll("details.buildlog-fold:not([open], .buildlog-on-screen)")];
    for (const one of unfolded) one.open = true;
  });
  addEventListener("afterprint", () => {
    for (const one of unfolded) one.open = false;
  });

  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", addChoice);
  else addChoice();
})();
