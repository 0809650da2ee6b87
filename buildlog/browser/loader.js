// Last of the scripts that all blocks need. A kind's script may come at any time after it.
window.buildlogAnswer = function (description, changes, page) {
  if (!window.buildlogAnswerInPython) {
    window.__BRYTHON__.runPythonSource(
      "from browser import window\nfrom buildlog.browser.answer import answer\nwindow.buildlogAnswerInPython = answer",
      "own_numbers"
    );
  }
  return window.buildlogAnswerInPython(description, changes, page || "");
};
