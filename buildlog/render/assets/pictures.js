// Shows a picture of a figure over the page, as large as the window; the arrow keys go on to the others of its
// figure. Without it the same link leads to the picture's own file.
(() => {
  "use strict";
  const say = (text) => (globalThis.buildlogSay || String)(text); // in the page’s language
  if (!("HTMLDialogElement" in globalThis)) return;
  if (globalThis.buildlogPictures) return; // run once more by a theme that brings in the next page
  globalThis.buildlogPictures = true;
  let dialog = null;

  function make() {
    dialog = document.createElement("dialog");
    dialog.className = "buildlog-enlarged";
    const close = document.createElement("button");
    close.type = "button";
    close.textContent = say("Close");
    dialog.append(document.createElement("img"), document.createElement("p"), close);
    // A click beside the picture, on it or on the button: all of them close.
    dialog.addEventListener("click", () => dialog.close());
    dialog.addEventListener("keydown", (event) => {
      const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
      if (!step) return;
      const links = dialog.links;
      dialog.at = (dialog.at + step + links.length) % links.length;
      show(links[dialog.at]);
      event.preventDefault();
    });
    document.body.append(dialog);
  }

  function show(link) {
    const small = link.querySelector("img");
    const large = dialog.querySelector("img");
    large.src = link.href;
    large.alt = small.alt;
    const shape = small.width && small.height ? small.width / small.height : 1;
    const most = /\.svg$/i.test(new URL(link.href).pathname) ? "" : `, ${small.naturalWidth}px`;
    large.style.width = `min(96vw, calc(88vh * ${shape})${most})`;
    const box = link.closest(".buildlog-picture");
    const label = box && box.querySelector(".buildlog-picture-label");
    const number = dialog.links.length > 1 ? ` (${dialog.at + 1} of ${dialog.links.length})` : "";
    dialog.querySelector("p").textContent = label ? label.textContent + number : number.trim();
    dialog.setAttribute("aria-label", label ? label.textContent : small.alt || say("Picture"));
  }

  document.addEventListener("click", (event) => {
    const link = event.target instanceof Element && event.target.closest("a.buildlog-enlarge");
    if (!link || event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
    event.preventDefault();
    if (!dialog?.isConnected) make();
    dialog.links = [...(link.closest("figure") || link.parentElement).querySelectorAll("a.buildlog-enlarge")];
    dialog.at = dialog.links.indexOf(link);
    show(link);
    dialog.showModal();
  });
})();
