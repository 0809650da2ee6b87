// Gives the other scripts their words in the language of a page. A theme may bring in the next page, in another
// language, without loading it.
(() => {
  "use strict";
  const language = LANGUAGE;
  const texts = TEXTS;
  globalThis.buildlogSay = (text) => {
    const said = document.querySelector("article[lang], main[lang], [role=main][lang]") || document.documentElement;
    return (said.lang.split("-")[0].toLowerCase() === language && texts[text]) || text;
  };
})();
