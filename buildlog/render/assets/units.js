// Lets a reader choose the units. A page is complete without it. It fetches nothing; the choice stays in this
// browser.
(() => {
  "use strict";
  const root = document.documentElement;
  const KEY = "buildlog-units";
  const CHOICES = { written: "As written", metric: "Metric", us: "US units" };
  const shown = ".buildlog-in-metric, .buildlog-in-us, .buildlog-row-metric, .buildlog-row-us";

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
      const figure = both.closest(".buildlog-mark").querySelector(".buildlog-figure");
      if (figure) figure.setAttribute("aria-describedby", both.children[written ? 0 : 1].id);
    }
  }

  function addChoice() {
    if (document.querySelector(".buildlog-units")) return;
    if (!document.querySelector(shown)) return;
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

  // A theme that brings in the next page without loading it keeps its header: where there is nothing to choose,
  // there is no choice.
  if (!globalThis.buildlogUnits) {
    globalThis.buildlogUnits = true;
    globalThis.document$?.subscribe(() => {
      if (!document.querySelector(shown)) document.querySelector(".buildlog-units")?.remove();
    });
  }

  function begin() {
    addChoice();
    describe();
  }
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", begin);
  else begin();
})();
