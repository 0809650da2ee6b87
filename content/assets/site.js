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
