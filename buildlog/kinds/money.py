"""Money in declarations: a calculator says "money", the block says which currency it is in.

Each currency is a dimension of its own (`buildlog.figures.units`), so that no sum ever mixes two.
"""

from __future__ import annotations

from dataclasses import replace

from buildlog.kinds.declaration import Input, InputForm, Listed, Number, Output, Table

CURRENCY = "currency"
"""The name of the input that a calculator with prices asks for."""

_DIMENSIONS = {
    "money": ("money in {}", "{}"),
    "money per mass": ("money in {} per mass", "{}/kg"),
    "money per length": ("money in {} per length", "{}/m"),
}


def form_in(form: InputForm, code: str) -> InputForm:
    """A form with its money in a currency, given by its three-letter code (ISO 4217)."""
    if isinstance(form, Number) and form.dimension in _DIMENSIONS:
        dimension, unit = _DIMENSIONS[form.dimension]
        return replace(form, dimension=dimension.format(code), unit=unit.format(code))
    if isinstance(form, Listed) and isinstance(form.of, Number):
        of = form_in(form.of, code)
        assert isinstance(of, Number)
        return replace(form, of=of)
    if isinstance(form, Table):
        return replace(form, columns=inputs_in(form.columns, code))
    return form


def inputs_in(inputs: tuple[Input, ...], code: str) -> tuple[Input, ...]:
    """Declared inputs with their money in a currency."""
    return tuple(replace(one, form=form_in(one.form, code)) for one in inputs)


def output_in(output: Output, code: str) -> Output:
    """A declared output with its money in a currency; without a code it is left as it is."""
    if not code or output.dimension not in _DIMENSIONS:
        return output
    dimension, unit = _DIMENSIONS[output.dimension]
    return replace(output, dimension=dimension.format(code), unit=unit.format(code))
