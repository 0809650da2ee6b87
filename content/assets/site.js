// The keyboard's way into what scrolls sideways and holds nothing to stop at, which the theme leaves out.
(() => {
  "use strict";
  function reach() {
    for (const box of document.querySelectorAll("pre > code, .md-typeset__scrollwrap")) {
      if (box.scrollWidth > box.clientWidth) box.tabIndex = 0;
    }
  }
  addEventListener("load", reach);
  addEventListener("resize", reach);
})();

// Links of headings to themselves are for the pointer: the table of contents leads to the same addresses.
(() => {
  "use strict";
  function passBy() {
    for (const link of document.querySelectorAll(".headerlink")) link.tabIndex = -1;
  }
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", passBy);
  else passBy();
})();
