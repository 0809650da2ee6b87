"""What an input takes, in words: one wording for the manual and for messages."""

from __future__ import annotations

from buildlog.kinds.declaration import Choice, Flag, InputForm, Listed, Number, Table, Text, Tyre, Whole


def form_text(form: InputForm) -> str:
    """A form in words, with its range: ``speed, 1 to 450 km/h``."""
    if isinstance(form, Number):
        return f"{'number' if form.dimension == 'ratio' else form.dimension}{_range(form)}"
    if isinstance(form, Whole):
        return f"whole number, {form.low} to {form.high}"
    if isinstance(form, Choice):
        return "one of " + ", ".join(form.options)
    if isinstance(form, Flag):
        return "yes or no"
    if isinstance(form, Tyre):
        return "metric tyre size, like 195/50R15"
    if isinstance(form, Listed):
        return f"list of {form.shortest} to {form.longest}, each: {form_text(form.of)}"
    if isinstance(form, Table):
        columns = ", ".join(column.name for column in form.columns)
        return f"rows with {columns}" + (", or data: and a CSV file" if form.from_data else "")
    assert isinstance(form, Text)
    return f"text of up to {form.longest} characters"


def _range(form: Number) -> str:
    unit = f" {form.unit}" if form.unit else ""
    if form.low is not None and form.high is not None:
        return f", {form.low:g} to {form.high:g}{unit}"
    if form.low is not None:
        return f", {form.low:g}{unit} or more"
    if form.high is not None:
        return f", {form.high:g}{unit} or less"
    return f", in{unit}" if unit else ""
