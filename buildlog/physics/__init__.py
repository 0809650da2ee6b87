"""Formulae by subject: pure functions of SI floats.

Every public function annotates each parameter and its result with a symbol and an SI unit
(``Annotated[float, "v", "m/s"]``); the working that readers see is made from those annotations and from the
function's own body, so a formula is never typed twice. Docstrings give the formula, the symbols with units,
the valid range, the errors raised and the source. `declared` makes all of that for a formula that is one
operation on its terms.
"""
