"""JSON Schemas of what an author writes in YAML, for editors that know it: blocks, cars and sources, made
from the calculators; front matter and the plugin's options, made from what their readers check by.

Draft 7, which editors understand best. A schema knows names, words, units and the ranges of bare numbers; the
proof knows the rest. Values are read as YAML 1.2 reads them, so that ``yes`` is a word.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any, assert_never

from buildlog.diagnostics import Severity
from buildlog.figures import units
from buildlog.figures.spread import MOST_READINGS
from buildlog.kinds import catalogue
from buildlog.kinds.declaration import (
    Choice,
    Flag,
    Input,
    InputForm,
    Listed,
    Logged,
    Number,
    Quantity,
    Table,
    Text,
    Tyre,
    Whole,
)
from buildlog.kinds.kind import Kind
from buildlog.kinds.money import CURRENCIES
from buildlog.reading import decisions, part_keys
from buildlog.reading.blocks import BLOCK_KEYS, SHOWABLE, TABLE, WHOLE
from buildlog.reading.front_matter_keys import KEY, KEYS, MEASURED, MOST_CELLS, MOST_ITEMS, FrontMatterKey
from buildlog.reading.log_rules import COLUMN_OPTIONS, OPTIONS
from buildlog.reading.plugin_options import OPTIONS as PLUGIN_OPTIONS
from buildlog.reading.plugin_options import PluginOption
from buildlog.reading.predictions import MOST as MOST_PREDICTIONS
from buildlog.report.codes import listed_codes
from buildlog.report.schema_names import NAMES
from buildlog.report.value_pattern import value_pattern

Schema = dict[str, Any]

_DECISION_KEYS = [key for key in decisions.KEYS if key not in BLOCK_KEYS]
_DRAFT = "http://json-schema.org/draft-07/schema#"
_MADE = "Made by `buildlog schema --write`; not for editing."
_WORD = {"type": ["string", "number"]}
_ANY_VALUE = {"type": ["string", "number", "object"]}  # with its unit, an address, or one for each option
_NONE = {"const": "none", "description": "take away the value of the car's sheet or of the block"}
_TYRE = (
    r"^\s*(?:[PpTt]|[Ll][Tt])?\s?[0-9]{1,3}(?:[.,][0-9]{1,2})?\s?(?:[/xX×]\s?[0-9]{1,3}(?:[.,][0-9]{1,2})?)?"
    r"\s?[A-Za-z–-]{1,2}\s?[0-9]{2,3}.*$"
)
_OF_TEXT: dict[str, Schema] = {
    "words": {},
    "link": {"pattern": "^https?://\\S+$"},
    "date": {"pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"},
    "part": {"pattern": f"^{part_keys.NAME}$"},
}
_PART_TEXT: Schema = {**_WORD, "minLength": 1, "maxLength": part_keys.LONGEST}
_PART_DAY: Schema = {"type": "string", "pattern": f"^{part_keys.DAY}$"}
_CASE = "^[A-Za-z0-9_-]+$"
_STATE = {"type": "string", "pattern": "^(?![0-9]+$)[A-Za-z0-9_-]+$"}
_QUANTITY = "^[A-Za-z0-9_-]+(?:\\.\\S.*)?$"
_ROW = {"type": "string", "pattern": _QUANTITY}
_ROWS_IN_SIGHT = {
    "type": "object",
    "additionalProperties": False,
    "properties": {
        TABLE: {
            "description": f"the results that stay in sight: their names, or {WHOLE}",
            "anyOf": [_ROW, {"type": "array", "items": _ROW, "minItems": 1}],
        }
    },
}


def schema(name: str) -> Schema:
    """One of the schemas of `NAMES`."""
    return {
        "block": block_schema,
        "car": car_schema,
        "part": part_schema,
        "sources": sources_schema,
        "front-matter": front_matter_schema,
        "mkdocs": mkdocs_schema,
    }[name]()


def schema_text(name: str) -> str:
    """A schema as its file."""
    return json.dumps(schema(name), ensure_ascii=False, indent=1) + "\n"


def schema_files() -> dict[str, str]:
    """All schemas by file name."""
    return {f"{name}.schema.json": schema_text(name) for name in NAMES}


# --- values ----------------------------------------------------------------------------------


def form_schema(form: InputForm) -> Schema:
    """What an input takes. Where the form is a number of one dimension its values carry the unit."""
    match form:
        case Number():
            return _number(form)
        case Whole():
            return {"type": "integer", "minimum": form.low, "maximum": form.high}
        case Choice() | Flag() | Tyre() | Text():
            return _word_schema(form)
        case Listed():
            return _listed(form)
        case Table():
            return _table(form)
        case Quantity():
            return _ANY_VALUE
        case Logged():
            return _logged(form)
        case _:
            assert_never(form)


def _word_schema(form: Choice | Flag | Tyre | Text) -> Schema:
    match form:
        case Choice():
            return _choice(form)
        case Flag():
            return {"enum": ["yes", "no"]}
        case Tyre():
            return {"type": "string", "pattern": _TYRE}
        case Text():
            return {**_WORD, "maxLength": form.longest, **_OF_TEXT[form.of]}


def _choice(form: Choice) -> Schema:
    # A word such as 10.9 is a number to an editor, unless it stands in quotes.
    words: list[object] = list(form.options)
    return {"enum": words + [number for word in form.options if (number := _as_number(word)) is not None]}


def _as_number(word: str) -> float | None:
    """A word that YAML takes for a number where it is not quoted."""
    try:
        return float(word)
    except ValueError:
        return None


def _dimensions(dimension: str) -> tuple[str, ...]:
    """A dimension; for money, which a block gives in its own currency, that of every currency."""
    if dimension in units.DIMENSIONS:
        return (dimension,)
    first, *rest = dimension.split(" ", 1)
    end = f" {rest[0]}" if rest else ""
    return tuple(
        name for name in units.DIMENSIONS if name.startswith(f"{first} in ") and name[len(first) + 7 :] == end
    )


def _value_name(dimension: str) -> str:
    return "value_" + dimension.replace(" ", "_")


def _values(inputs: Iterable[Input]) -> Schema:
    """The definitions of all values with units that some inputs take."""
    dimensions = {number.dimension for declared in inputs for number in declared.form.numbers}
    return {
        _value_name(dimension): {"type": "string", "pattern": value_pattern(*_dimensions(dimension))}
        for dimension in sorted(dimensions)
    }


def _number(form: Number) -> Schema:
    written: Schema = {"$ref": f"#/definitions/{_value_name(form.dimension)}"}
    readings: Schema = {"type": "array", "minItems": 2, "maxItems": MOST_READINGS, "items": written}
    if not form.bare:
        return {"anyOf": [written, readings]}
    unit = units.find(form.unit, form.dimension)
    bare: Schema = {"type": "number"}
    if form.low is not None:
        bare["minimum"] = unit.to_si(form.low)
    if form.high is not None:
        bare["maximum"] = unit.to_si(form.high)
    return {"anyOf": [bare, written, {**readings, "items": {"anyOf": [bare, written]}}]}


def _listed(form: Listed) -> Schema:
    return {
        "type": "array",
        "minItems": form.shortest,
        "maxItems": form.longest,
        "items": form_schema(form.of),
    }


def _table(form: Table) -> Schema:
    rows = {
        "type": "array",
        "minItems": form.shortest,
        "maxItems": form.longest,
        "items": {
            "type": "object",
            "properties": {column.name: _input(column) for column in form.columns},
            "required": [column.name for column in form.columns if column.required],
            "additionalProperties": False,
        },
    }
    heading = {
        "type": "object",
        "properties": {"heading": _WORD, "unit": {"type": "string"}},
        "required": ["heading"],
        "additionalProperties": False,
    }
    data = {
        "type": "object",
        "properties": {
            "data": {"type": "string", "description": "a CSV file under the content folder"},
            "columns": {
                "type": "object",
                "description": "what the file calls the columns, where it calls them otherwise",
                "propertyNames": {"enum": [column.name for column in form.columns]},
                "additionalProperties": {"anyOf": [_WORD, heading]},
            },
        },
        "required": ["data"],
        "additionalProperties": False,
    }
    return {"anyOf": [rows, data, *_plain_lists(form)]}


def _plain_lists(form: Table) -> list[Schema]:
    """The shorter ways of writing a table: a list of one column's values, and such lists by name."""
    plain = next((column.form for column in form.columns if column.name == form.plain), None)
    if plain is None:
        return []
    values: Schema = {"type": "array", "minItems": 1, "maxItems": form.longest, "items": form_schema(plain)}
    if not form.grouped:
        return [values]
    named = {"type": "object", "propertyNames": {"not": {"const": "data"}}, "additionalProperties": values}
    return [values, named]


def _logged(form: Logged) -> Schema:
    """A log with the map of its columns."""
    options: Schema = {name: {"description": says} for name, says in OPTIONS.items()}
    columns = {channel.name: {"description": channel.about, **_COLUMN} for channel in form.channels}
    options["columns"] = {
        **options["columns"],
        "type": "object",
        "properties": columns,
        "required": [channel.name for channel in form.channels if channel.required],
        "additionalProperties": False,
    }
    files = {"type": "array", "items": _WORD, "minItems": 1, "maxItems": form.longest}
    options["data"] = {**options["data"], "anyOf": [_WORD, files]}
    return {
        "type": "object",
        "properties": options,
        "required": ["time", "columns"],
        "oneOf": [{"required": ["data"]}, {"required": ["text"]}],
        "additionalProperties": False,
    }


_COLUMN: Schema = {
    "anyOf": [
        {"type": "string"},
        {
            "type": "object",
            "properties": {name: {"description": says} for name, says in COLUMN_OPTIONS.items()},
            "additionalProperties": False,
        },
    ]
}


def _input(declared: Input) -> Schema:
    parts = [declared.about, declared.form.wanted]
    if declared.default is not None:
        parts.append(f"default {declared.default}")
    elif not declared.required:
        parts.append("optional")
    return {"description": "; ".join(filter(None, parts)), "anyOf": [form_schema(declared.form)]}


def _optional(declared: Input) -> Schema:
    """An input of a block: its value, or the word that takes it away."""
    value = _input(declared)
    return {**value, "anyOf": [*value["anyOf"], _NONE]}


# --- the files -----------------------------------------------------------------------------


def _inputs(properties: Schema) -> Schema:
    return {"type": ["object", "null"], "properties": properties, "additionalProperties": False}


def _kind_schema(kind: Kind) -> Schema:
    """What a kind says of a block: the names and values of its inputs, and what can be sought in it."""
    inputs = f"#/definitions/kind_{kind.name}"
    numbers = [declared.name for declared in kind.inputs if declared.form.number is not None]
    quantities = [output.name for output in kind.outputs if output.dimension != "text"]
    if kind.name == decisions.KIND:
        return _decision_schema(kind)
    quantity = f"^(?:{'|'.join(quantities)})(?:\\.\\S.*)?$"
    return {
        "properties": {
            "inputs": {"$ref": inputs},
            "cases": {"additionalProperties": {"$ref": f"#/definitions/case_{kind.name}"}},
            "find": {"enum": numbers},
            "so_that": {"propertyNames": {"pattern": quantity}},
            "sweep": {"pattern": f"^(?:{'|'.join(numbers) or '(?!)'}) from "},
            **dict.fromkeys(_DECISION_KEYS, False),
        }
    }


def _decision_schema(kind: Kind) -> Schema:
    """What a block that is a decision has, and has not."""
    (requires,) = kind.inputs
    others = [key for key in BLOCK_KEYS if key not in decisions.KEYS]
    return {
        "required": [requires.name],
        "properties": {requires.name: _input(requires), **dict.fromkeys(others, False)},
    }


def block_schema() -> Schema:
    """The body of a ``yaml calc`` fence."""
    kinds = [catalogue.load_kind(name) for name in catalogue.kind_names()]
    value = {"type": ["string", "number"]}
    address = {"type": "string", "pattern": _QUANTITY}
    target = {"type": "string", "pattern": "^[a-z0-9_]+(?:\\.[a-z0-9_]+)?$"}
    return {
        "$schema": _DRAFT,
        "$comment": _MADE,
        "title": "A calculation block of buildlog",
        "type": "object",
        "required": ["id", "kind"],
        "additionalProperties": False,
        "properties": {
            "id": {
                "description": "its name on the page",
                "type": ["string", "integer"],
                "pattern": "^[a-z0-9]+(?:-[a-z0-9]+)*$",
            },
            "kind": {
                "description": "which calculator",
                "oneOf": [{"const": kind.name, "description": kind.title} for kind in kinds],
            },
            "title": {**_WORD, "description": "what the card is headed with"},
            "car": {
                "description": "a sheet of content/cars",
                "type": "string",
                "pattern": "^[a-z0-9-]+$",
            },
            "state": {**_STATE, "description": "a state of the car's sheet; the last one if left out"},
            "part": {
                "description": "the part that the pattern shows: a file of content/parts",
                "type": "string",
                "pattern": f"^{part_keys.NAME}$",
            },
            "inputs": {"description": "what goes into the calculation"},
            "common": {
                "description": "errors that several inputs share, by name",
                "type": "object",
                "additionalProperties": {
                    "type": "object",
                    "required": ["of", "by"],
                    "additionalProperties": False,
                    "properties": {
                        "of": {
                            "description": "inputs, or columns of a table, like changes.mass",
                            "anyOf": [target, {"type": "array", "items": target, "minItems": 1}],
                        },
                        "by": {"description": "how far: ± 0.5 %, or ± 0.2 kg", "type": "string"},
                    },
                },
            },
            "requires": {"description": "what a decision asks of each option, a row each"},
            "options": {
                "description": "what a decision is between: names, or names with the case of each",
                "anyOf": [
                    {"type": "array", "items": {"type": "string", "pattern": _CASE}, "minItems": 1},
                    {
                        "type": "object",
                        "propertyNames": {"pattern": _CASE},
                        "additionalProperties": {"type": "string", "pattern": _CASE},
                        "minProperties": 1,
                    },
                ],
            },
            "chosen": {"description": "the option that was taken", "type": "string", "pattern": _CASE},
            "cases": {
                "description": "named sets of changed inputs",
                "type": ["object", "null"],
                "propertyNames": {"pattern": _CASE},
            },
            "show": {
                "description": "what the card shows",
                "anyOf": [
                    {"enum": list(SHOWABLE)},
                    _ROWS_IN_SIGHT,
                    {"type": "array", "items": {"anyOf": [{"enum": list(SHOWABLE)}, _ROWS_IN_SIGHT]}},
                ],
            },
            "find": {"description": "an input to find for a goal", "type": "string"},
            "so_that": {
                "description": "the goal: one quantity and its value",
                "type": "object",
                "minProperties": 1,
                "maxProperties": 1,
                "additionalProperties": value,
            },
            "between": {
                "description": "the bounds to look in: low, high",
                "type": "array",
                "items": value,
                "minItems": 2,
                "maxItems": 2,
            },
            "sweep": {
                "description": "an input to sweep: NAME from LOW to HIGH by STEP",
                "type": "string",
                "pattern": "^[a-z0-9_]+ from .+ to .+ by .+$",
            },
            "of": {
                "description": "the quantities to list over the sweep",
                "anyOf": [address, {"type": "array", "items": address, "minItems": 1, "maxItems": 12}],
            },
            "predicts": {
                "description": "what foretold quantities of this block: QUANTITY: calc:PAGE#BLOCK.QUANTITY",
                "type": "object",
                "minProperties": 1,
                "maxProperties": MOST_PREDICTIONS,
                "propertyNames": {"pattern": _QUANTITY},
                "additionalProperties": {"type": "string", "pattern": "^\\s*calc:\\S"},
            },
        },
        "dependencies": {
            "find": ["so_that", "between"],
            "so_that": ["find", "between"],
            "between": ["find", "so_that"],
            "state": ["car"],
            "sweep": ["of"],
            "of": ["sweep"],
        },
        "allOf": [
            {
                "if": {"properties": {"kind": {"const": kind.name}}, "required": ["kind"]},
                "then": _kind_schema(kind),
            }
            for kind in kinds
        ],
        "definitions": {
            **{
                f"kind_{kind.name}": _inputs({part.name: _optional(part) for part in kind.inputs})
                for kind in kinds
                if kind.name != decisions.KIND
            },
            **{f"case_{kind.name}": _case(kind) for kind in kinds},
            **_values(part for kind in kinds for part in kind.inputs),
        },
    }


def _case(kind: Kind) -> Schema:
    """What a case changes: inputs of the kind, and the state of the car."""
    given = f"#/definitions/kind_{kind.name}/properties"
    state = {**_STATE, "description": "the state of the car in this case"}
    return _inputs({"state": state, **{part.name: {"$ref": f"{given}/{part.name}"} for part in kind.inputs}})


def _every_input() -> Schema:
    """Every input of every kind: where kinds differ over a name, any of their forms will do."""
    taken: dict[str, list[Schema]] = {}
    for kind in catalogue.kind_names():
        for declared in catalogue.load_kind(kind).inputs:
            schema = _optional(declared)
            # Kinds share names of inputs, which a car's sheet gives once for all of them.
            if schema not in taken.setdefault(declared.name, []):
                taken[declared.name].append(schema)
    return {name: _any(forms) for name, forms in sorted(taken.items())}


def _any(forms: Iterable[Schema]) -> Schema:
    first, *more = forms
    return {"anyOf": [first, *more]} if more else first


def car_schema() -> Schema:
    """A sheet of content/cars."""
    inputs = {"$ref": "#/definitions/inputs"}
    return {
        "$schema": _DRAFT,
        "$comment": _MADE,
        "title": "A car's sheet for buildlog",
        "type": "object",
        "additionalProperties": False,
        "properties": {
            "name": {**_WORD, "description": "what the car is called"},
            "about": {**_WORD, "description": "the car in a sentence"},
            "state": {**_STATE, "description": "the name of its first state"},
            "inputs": {"description": "what is true of the car in every episode", **inputs},
            "changes": {
                "description": "what was changed later, each with the inputs that it changed",
                "type": "array",
                "items": {
                    "type": "object",
                    "required": ["state"],
                    "additionalProperties": False,
                    "properties": {
                        "state": {**_STATE, "description": "the name of the state that it makes"},
                        "since": {**_WORD, "description": "when, or in which episode"},
                        "inputs": inputs,
                    },
                },
            },
        },
        "definitions": {
            "inputs": _inputs(_every_input()),
            **_values(part for kind in catalogue.kind_names() for part in catalogue.load_kind(kind).inputs),
        },
    }


def part_schema() -> Schema:
    """A part's file in content/parts."""
    return {
        "$schema": _DRAFT,
        "$comment": _MADE,
        "title": "A part for buildlog",
        "type": "object",
        "required": [name for name, key in part_keys.KEYS.items() if key.required],
        "additionalProperties": False,
        "properties": {name: _part_key(key) for name, key in part_keys.KEYS.items()},
        "dependencies": {name: list(key.with_it) for name, key in part_keys.KEYS.items() if key.with_it},
        "definitions": _values(
            Input(name=name, form=form, about=key.about)
            for name, key in part_keys.KEYS.items()
            if key.dimension
            for form in _numbers_of_parts(key.dimension)
        ),
    }


def _part_key(key: part_keys.PartKey) -> Schema:
    return {"description": f"{key.about}: {key.expected}", **_part_value(key)}


def _part_value(key: part_keys.PartKey) -> Schema:
    match key.shape:
        case "text":
            if key.words:
                return {"enum": list(key.words)}
            return {**_PART_TEXT, **({"pattern": f"^(?:{key.pattern})$"} if key.pattern else {})}
        case "day":
            return _PART_DAY
        case "value":
            names = (_value_name(number.dimension) for number in _numbers_of_parts(key.dimension))
            return _any({"$ref": f"#/definitions/{name}"} for name in names)
        case "names":
            name: Schema = {"type": "string", "pattern": f"^{part_keys.NAME}$"}
            return _one_or_several(name)
        case "drawings":
            of: Schema = {**_PART_TEXT, "description": part_keys.DRAWING_KEYS["of"]}
            digest = {
                "type": ["string", "integer"],
                "pattern": f"^{part_keys.DIGEST}$",
                "description": part_keys.DRAWING_KEYS["digest"],
            }
            with_digest: Schema = {
                "type": "object",
                "required": ["of"],
                "additionalProperties": False,
                "properties": {"of": of, "digest": digest},
            }
            return _one_or_several({"anyOf": [_PART_TEXT, with_digest]})
        case "history":
            return _one_or_several(_any(map(_part_event, part_keys.HAPPENED)))
        case _:
            assert_never(key.shape)


def _one_or_several(item: Schema) -> Schema:
    return {"anyOf": [item, {"type": "array", "maxItems": part_keys.MOST, "items": item}]}


def _part_event(what: str) -> Schema:
    day = {**_PART_DAY, "description": part_keys.HAPPENED[what]}
    if what == "fitted":
        day = {"anyOf": [{"const": part_keys.AS_BUILT}, _PART_DAY], "description": part_keys.HAPPENED[what]}
    besides = {
        name: {**_PART_TEXT, "description": part_keys.BESIDES[name]} for name in part_keys.TAKEN_BY[what]
    }
    needed = [part_keys.NEEDED[what]] if what in part_keys.NEEDED else []
    return {
        "type": "object",
        "required": [what, *needed],
        "additionalProperties": False,
        "properties": {what: day, **besides},
    }


def _numbers_of_parts(dimension: str) -> list[Number]:
    """What the mass of a part may be, or its price in any currency."""
    if dimension != "money":
        return [Number(dimension=dimension, unit="", low=0)]
    return [Number(dimension=f"money in {code}", unit=code) for code in sorted(CURRENCIES)]


def sources_schema() -> Schema:
    """content/sources.yml."""
    texts = {
        "publisher": "who published it",
        "edition": "which edition, issue or year",
        "page": "page, clause or table",
        "about": "anything a reader should know of it",
    }
    described = {name: {**_WORD, "description": text} for name, text in texts.items()}
    url = {"type": "string", "pattern": "^https?://", "description": "where it can be read"}
    return {
        "$schema": _DRAFT,
        "$comment": _MADE,
        "title": "The sources of a build log",
        "type": ["object", "null"],
        "propertyNames": {"pattern": "^[A-Za-z0-9_-]+$"},
        "additionalProperties": {
            "type": "object",
            "additionalProperties": False,
            "properties": {
                "title": {**_WORD, "description": "a document's title"},
                "who": {**_WORD, "description": "whose word it is"},
                "when": {**_WORD, "description": "when it was said"},
                "url": url,
                **described,
                "facts": {
                    "type": "object",
                    "description": "the figures that it gives, by name: 39 ± 3 N·m",
                    "propertyNames": {"pattern": "^[a-z0-9]+([-_][a-z0-9]+)*$"},
                    "additionalProperties": {"type": ["string", "number"]},
                },
            },
            "oneOf": [{"required": ["title"]}, {"required": ["who", "when"]}],
        },
    }


# --- pages and settings ------------------------------------------------------------------------


def front_matter_schema() -> Schema:
    """The front matter of a page. What does not stand under our key is others'."""
    return {
        "$schema": _DRAFT,
        "$comment": _MADE,
        "title": "The front matter of a page with buildlog",
        "type": "object",
        "properties": {
            "title": {"description": "the page's title, for the site generator and for links to the page"},
            "description": {"description": "what the page is about, for the site generator and for search"},
            KEY: {
                "description": "what the page says to buildlog",
                "type": "object",
                "additionalProperties": False,
                "properties": {name: _front_matter_key(key) for name, key in KEYS.items()},
                "dependencies": {"series": ["episode"], "episode": ["series"], "updated": ["date"]},
            },
        },
    }


def _front_matter_key(key: FrontMatterKey) -> Schema:
    described: Schema = {"description": f"{key.about}: {key.expected}"}
    if key.shape == "one":
        return {**described, **_text_of(key)}
    item = _measured() if key.shape == "measured" else _text_of(key)
    return {**described, "anyOf": [_text_of(key), {"type": "array", "maxItems": MOST_ITEMS, "items": item}]}


def _text_of(key: FrontMatterKey) -> Schema:
    if key.words:
        return {"enum": list(key.words)}
    if not key.pattern:
        return {**_WORD, "pattern": "\\S"}
    written = {"pattern": f"^(?:{key.pattern})$"}
    if key.most:
        return {"type": ["integer", "string"], "minimum": 1, "maximum": key.most, **written}
    return {"type": "string", **written} if key.shape == "one" else {**_WORD, **written}


def _measured() -> Schema:
    """What is to be measured: words alone, with their unit, or with unit and readings."""
    unit: Schema = {"type": "string", "pattern": "\\S"}
    name: Schema = {**_WORD, "pattern": "\\S"}
    readings: Schema = {
        "description": f"how many, up to {MOST_CELLS}, or what each is called",
        "anyOf": [
            {"enum": [*range(1, MOST_CELLS + 1), *map(str, range(1, MOST_CELLS + 1))]},
            {"type": "array", "minItems": 1, "maxItems": MOST_CELLS, "items": name},
        ],
    }
    both = dict(zip(MEASURED, (unit, readings), strict=True))
    said: Schema = {"type": "object", "properties": both, "additionalProperties": False}
    return {"anyOf": [name, {"type": "object", "additionalProperties": {"anyOf": [unit, said]}}]}


def mkdocs_schema() -> Schema:
    """A site's settings, as far as they are our plugin's options."""
    ours = {
        "description": "options of buildlog",
        "type": ["object", "null"],
        "additionalProperties": False,
        "properties": {name: _plugin_option(option) for name, option in PLUGIN_OPTIONS.items()},
    }
    plugin = {"properties": {KEY: ours}}
    return {
        "$schema": _DRAFT,
        "$comment": _MADE,
        "title": "mkdocs.yml, as far as it is about buildlog",
        "type": "object",
        "properties": {
            "plugins": {
                "description": "plugins with their options",
                "type": ["array", "object", "null"],
                "items": {"type": ["string", "object"], **plugin},
                **plugin,
            }
        },
    }


def _plugin_option(option: PluginOption) -> Schema:
    return {"description": option.about, **_option_values(option)}


def _option_values(option: PluginOption) -> Schema:
    """What an option takes; where nothing is said its default holds, but a list has to be one."""
    match option.form:
        case "word":
            return {"enum": [*option.words, None]}
        case "nouns":
            return {"type": "array", "items": {"type": "string", "pattern": "\\S"}}
        case "levels":
            return {
                "type": ["object", "null"],
                "additionalProperties": False,
                "properties": {
                    code.name: {"description": code.meaning, "enum": list(option.words)}
                    for code in listed_codes()
                    if code.severity is not Severity.ERROR
                },
            }
        case "address":
            return {"type": ["string", "null"], "pattern": "^(?:https|mailto):\\S+$"}
        case "switch":  # or !ENV with a list, as other plugins have it
            words = ["on", "off", "yes", "no"]
            return {"anyOf": [{"enum": [True, False, *words, None]}, {"type": "array"}]}
        case _:
            assert_never(option.form)
