// Gives the other scripts their words in the language of a page. A theme may bring in the next page, in another
// language, without loading it.
(() => {
  "use strict";
  const language = LANGUAGE;
  const texts = TEXTS;
  const spoken = () => {
    const said = document.querySelector("article[lang], main[lang], [role=main][lang]") || document.documentElement;
    return said.lang.split("-")[0].toLowerCase() === language;
  };
  globalThis.buildlogSay = (text) => (spoken() && texts[text]) || text;
  // What a row of a card is called there: a calculation knows the English of it alone.
  globalThis.buildlogRow = (row) => {
    if (!spoken()) return "";
    const headings = [row.closest("table").querySelector("caption:not(.buildlog-hidden)"), row.querySelector("th")];
    return headings.filter(Boolean).map((one) => {
      const words = one.cloneNode(true);
      for (const other of words.querySelectorAll("a, .buildlog-unit, .buildlog-besides")) other.remove();
      return words.textContent.replace(/\s+/g, " ").trim();
    }).join(", ");
  };
})();
