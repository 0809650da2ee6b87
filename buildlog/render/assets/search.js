// Says that the search cannot run where a browser refuses it its index: in a page that was opened from a folder.
(() => {
  "use strict";
  if (location.protocol !== "file:") return;
  const SHORT = "Search needs a web server";
  const WORDS = `${SHORT}: a browser lets no page that was opened from a folder read the index.`;
  function note() {
    const said = document.createElement("p");
    said.className = "buildlog-no-search";
    said.textContent = SHORT;
    said.title = WORDS;
    return said;
  }
  function say() {
    const search = document.querySelector('.md-search, [role="search"]');
    if (!search) return;
    for (const box of search.querySelectorAll("input")) {
      box.readOnly = true;
      box.placeholder = SHORT;
      box.setAttribute("aria-label", WORDS);
    }
    // Material takes its search away there without a word, and leaves the way to it on a phone.
    if (!search.matches(".md-search")) return;
    search.before(note());
    for (const way of document.querySelectorAll('label.md-header__button[for="__search"]')) way.hidden = true;
    document.querySelector(".md-footer-meta__inner")?.append(note());
  }
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", say);
  else say();
})();
