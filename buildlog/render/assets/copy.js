// Copies lines that a reader is to type or to compare. Without it they can be marked as any text.
(() => {
  "use strict";
  const say = (text) => (globalThis.buildlogSay || String)(text); // in the page’s language
  function copied(text) {
    if (navigator.clipboard && isSecureContext) return navigator.clipboard.writeText(text);
    // Where a page has no leave to write to the clipboard: a site on a plain address, older browsers.
    const box = document.createElement("textarea");
    box.value = text;
    box.style.cssText = "position:fixed;opacity:0";
    document.body.append(box);
    box.select();
    const done = document.execCommand("copy");
    box.remove();
    return done ? Promise.resolve() : Promise.reject(new Error("not copied"));
  }
  globalThis.buildlogCopy = copied; // for the links of notes, and of a reader's own numbers
  function mark(lines) {
    const range = document.createRange();
    range.selectNodeContents(lines);
    const chosen = getSelection();
    chosen.removeAllRanges();
    chosen.addRange(range);
  }
  function ready() {
    const said = document.createElement("span");
    said.className = "buildlog-said";
    said.setAttribute("role", "status");
    for (const button of document.querySelectorAll("button.buildlog-copy[hidden]")) {
      const lines = button.parentElement.querySelector("pre");
      if (!lines) continue;
      button.hidden = false;
      button.addEventListener("click", async () => {
        button.after(said);
        said.textContent = "";
        let word = say("Copied");
        try { await copied(lines.textContent.trimEnd() + "\n"); } catch { word = say("Marked: copy it with the keyboard"); mark(lines); }
        button.focus();
        button.textContent = word;
        said.textContent = word;
        setTimeout(() => { button.textContent = say("Copy"); }, 4000);
      });
    }
  }
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", ready);
  else ready();
})();
