// Cards, and the panel at the head of a page: each is one stop of the Tab key, and the arrow keys go through it.
// All is complete without it.
(() => {
  "use strict";
  const say = (text) => (globalThis.buildlogSay || String)(text); // in the page’s language

  // --- a heading of a row, a column or a table is heard without the links beside it ---

  let named = 0;
  function nameAlone(card) {
    for (const heading of card.querySelectorAll("th, caption")) {
      const link = heading.querySelector(":scope > .buildlog-here");
      if (!link) continue;
      const name = document.createElement("span");
      name.id = `buildlog-heading-${named += 1}`;
      while (heading.firstChild !== link) name.append(heading.firstChild);
      heading.prepend(name);
      const bearer = heading.tagName === "CAPTION" ? heading.parentElement : heading;
      bearer.setAttribute("aria-labelledby", name.id);
    }
  }

  // --- one way into a card, arrows within ---

  const BOXES = ".buildlog-card, .buildlog-panel";
  const STOPS = ".buildlog-here, summary, a[href]";
  function stopsOf(card) {
    // What is filled in has the arrow keys for itself, and so has a figure for its note.
    return [...card.querySelectorAll(STOPS)].filter((one) => !one.closest("form, .buildlog-mark"));
  }
  const seen = (one) => one.checkVisibility();
  function enter(card, stop) {
    for (const one of stopsOf(card)) one.tabIndex = one === stop ? 0 : -1;
  }
  function prepare() {
    for (const card of document.querySelectorAll(BOXES)) {
      nameAlone(card);
      const stops = stopsOf(card);
      const first = stops.find(seen) || stops[0];
      if (!first) continue;
      enter(card, first);
      const hint = document.createElement("span");
      hint.className = "buildlog-keys";
      hint.id = (card.id || "buildlog-panel") + "_keys";
      hint.textContent = say("Arrow keys lead through, Tab leads on");
      (card.querySelector(".buildlog-head") || card).append(hint);
      first.setAttribute("aria-describedby", hint.id);
    }
  }
  // A theme that brings in the next page without loading it runs this once more: what listens, listens already.
  if (globalThis.buildlogCards) return prepare();
  globalThis.buildlogCards = true;
  const STEPS = { ArrowDown: 1, ArrowUp: -1, Home: -Infinity, End: Infinity };
  document.addEventListener("keydown", (event) => {
    const from = event.target instanceof Element && event.target.closest(STOPS);
    const card = from && from.closest(BOXES);
    if (!card || !(event.key in STEPS) || event.ctrlKey || event.altKey || event.metaKey) return;
    const stops = stopsOf(card).filter(seen);
    if (!stops.includes(from)) return;
    const to = stops[Math.min(stops.length - 1, Math.max(0, stops.indexOf(from) + STEPS[event.key]))];
    event.preventDefault();
    enter(card, to);
    to.focus();
  });
  // Who gets into a card by another way, with the pointer say, goes on from there.
  document.addEventListener("focusin", (event) => {
    const card = event.target instanceof Element && event.target.closest(BOXES);
    if (card && stopsOf(card).includes(event.target)) enter(card, event.target);
  });
  // The way in stays one that can be seen.
  document.addEventListener("toggle", (event) => {
    const card = event.target instanceof Element && event.target.closest(BOXES);
    const stops = card ? stopsOf(card) : [];
    if (stops.length && !stops.some((one) => one.tabIndex === 0 && seen(one))) enter(card, stops.find(seen) || stops[0]);
  }, true);

  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", prepare);
  else prepare();
})();
