// Notes on figures: closed with Esc, seen by tapping, gone through with the arrow keys; and the link to a figure,
// to copy. A note is complete without it.
(() => {
  "use strict";
  const say = (text) => (globalThis.buildlogSay || String)(text); // in the page’s language
  // A theme that brings in the next page without loading it runs this once more: what listens, listens already.
  if (globalThis.buildlogNotes) return;
  globalThis.buildlogNotes = true;

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
    }
  });

  // The link to a figure is in the address bar then, and where the browser lets us, ready to be pasted.
  function copy(link) {
    const words = link.textContent;
    globalThis.buildlogCopy?.(link.href).then(() => {
      link.textContent = say("Copied");
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
})();
