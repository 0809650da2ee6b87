"""The rows of a duct, read: what each kind of segment needs, what joins what, and which paths run abreast."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import tan
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, as_written, in_row
from buildlog.physics import scoop

COLUMNS: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "inlet": (("diameter", "edge"), ("edge_radius", "temperature")),
    "scoop": (("diameter", "edge", "recovery"), ("edge_radius", "recovery_stopped", "temperature")),
    "hose": (("diameter", "length", "roughness"), ()),
    "bend": (("diameter", "bend_radius", "angle", "roughness"), ()),
    "expansion": (("diameter", "diameter_after"), ("angle", "length", "roughness")),
    "contraction": (("diameter", "diameter_after"), ("angle", "length", "roughness")),
    "filter": (("rated_pressure", "rated_flow", "exponent"), ("area", "diameter")),
    "fitting": (("diameter", "loss_coefficient"), ()),
    "exit": (("diameter",), ()),
}
"""Kind → the columns that it needs, and those that it may have besides name and path."""

_SECTION = ("section", "width", "height")
"""What a piece that is not round has instead of a diameter."""

MOUTHS = ("inlet", "scoop")
"""What takes air from outside."""

SAME_BORE = 0.03
"""Relative: bores that meet without a step worth a row."""

SECTIONS: Mapping[str, tuple[Callable[..., float], Callable[..., float]]] = {
    "rectangular": (scoop.rectangle_area, scoop.rectangle_perimeter),
    "oval": (scoop.oval_area, scoop.oval_perimeter),
}
"""Section → the formulae of its area and its perimeter."""

_STILL = 0.0


@dataclass(frozen=True, kw_only=True)
class DuctSegment:
    """One row. `key` is its name, or else its number, `place` its place from 0; `after` is the bore it leaves
    into, 0 for still air."""

    key: str
    place: int
    kind: str
    path: str
    row: Mapping[str, Any]
    after: float

    def __getitem__(self, column: str) -> float:
        return float(self.row[column])

    @property
    def length(self) -> float:
        """How far it brings the air along the axis; mouths, filters and fittings have no length here."""
        if self.kind == "bend":
            return self["bend_radius"] * self["angle"]
        if "length" in self.row:
            return self["length"]
        if self.kind in ("expansion", "contraction"):
            return abs(self["diameter_after"] - self["diameter"]) / (2 * tan(self["angle"] / 2))
        return 0.0


@dataclass(frozen=True)
class DuctLayout:
    """Segments as they follow each other: all the air, then `paths` side by side, then all the air again."""

    before: tuple[DuctSegment, ...]
    paths: Mapping[str, tuple[DuctSegment, ...]]
    after: tuple[DuctSegment, ...]

    @property
    def segments(self) -> tuple[DuctSegment, ...]:
        return (*self.before, *(segment for path in self.paths.values() for segment in path), *self.after)

    @property
    def first(self) -> tuple[DuctSegment, ...]:
        """The segments that take air from outside."""
        if self.before:
            return self.before[:1]
        return tuple(path[0] for path in self.paths.values()) if self.paths else self.after[:1]

    @property
    def last(self) -> tuple[DuctSegment, ...]:
        """The segments that hand the air on."""
        if self.after:
            return self.after[-1:]
        return tuple(path[-1] for path in self.paths.values()) if self.paths else self.before[-1:]

    @staticmethod
    def read(rows: Sequence[Mapping[str, Any]]) -> DuctLayout:
        """The rows of the input `segments` in order; faults name the input and the row."""
        before: list[Mapping[str, Any]] = []
        paths: dict[str, list[Mapping[str, Any]]] = {}
        after: list[Mapping[str, Any]] = []
        keys: dict[int, str] = {}
        copies = [dict(row) for row in rows]
        for number, row in enumerate(copies, start=1):
            with in_row(number - 1):
                keys[id(row)] = _key(number, row, keys)
                _columns(keys[id(row)], row)
            if "path" in row:
                if after:
                    raise InputsConflict(
                        "segments",
                        f"segment {keys[id(row)]} of path {row['path']} after one of no path",
                        "the rows of all paths together",
                        help="there is one place where paths run side by side",
                        at=(number - 1, "path"),
                    )
                paths.setdefault(row["path"], []).append(row)
            else:
                (after if paths else before).append(row)
        if len(paths) == 1:
            raise InputsConflict(
                "segments",
                f"one path, {next(iter(paths))}",
                "two paths or more, or none",
                help="leave path out where all the air goes one way",
            )
        run, state = _joined(before, keys, None)
        if paths and state not in (None, _STILL):
            raise InputsConflict(
                "segments",
                f"paths that part from the bore of {run[-1].key}",
                "paths that begin outside or in a box",
                help="end with an exit first: branches of a pipe are not computed",
            )
        abreast: dict[str, tuple[DuctSegment, ...]] = {}
        for name, members in paths.items():
            abreast[name], end = _joined(members, keys, state)
            if end != _STILL:
                raise InputsConflict(
                    "segments",
                    f"path {name}, which ends with {abreast[name][-1].kind}",
                    "an exit at the end of each path",
                    help="paths meet in a box: branches of a pipe are not computed",
                )
        rest, _ = _joined(after, keys, _STILL)
        return DuctLayout(run, abreast, rest)


def _key(number: int, row: Mapping[str, Any], taken: Mapping[int, str]) -> str:
    if "name" not in row:
        return str(number)
    name: str = row["name"]
    if not all(letter.isascii() and (letter.isalnum() or letter in "-_") for letter in name) or (
        not any(letter.isalpha() for letter in name)
    ):
        raise InputsConflict(
            "segments",
            f"the name “{name}”",
            "letters, with digits, - and _",
            help="figures in the text name the segment by it",
            at=("name",),
        )
    if name in taken.values():
        raise InputsConflict("segments", f"two segments named {name}", "a name for each", at=("name",))
    return name


def _section(row: dict[str, Any]) -> None:
    """Of a piece that is not round: the bore of the same area, and the hydraulic diameter of its wall."""
    if row["height"] > row["width"]:
        raise InputsConflict(
            "segments",
            f"a height of {_mm(row['height'])}",
            f"up to the width, {_mm(row['width'])}",
            help="the width is the longer side",
            at=("height",),
        )
    area, perimeter = SECTIONS[row["section"]]
    row["diameter"] = scoop.equal_area_diameter(area(row["width"], row["height"]))
    row["hydraulic_diameter"] = scoop.hydraulic_diameter(
        area(row["width"], row["height"]), perimeter(row["width"], row["height"])
    )


def _columns(key: str, row: dict[str, Any]) -> None:
    """Refuse a row that lacks what its kind needs, has what its kind has not, or contradicts itself."""
    kind = row["kind"]
    needed, allowed = COLUMNS[kind]
    if any(column in row for column in _SECTION) and "diameter" in needed:
        if "diameter" in row:
            raise InputsConflict(
                "segments",
                f"segment {key} ({kind}) with diameter and {next(c for c in _SECTION if c in row)}",
                "a diameter, or section with width and height",
                at=("diameter",),
            )
        needed = tuple(column for column in needed if column != "diameter") + _SECTION
    for column in needed:
        if column not in row:
            raise MissingInput("segments", f"segment {key} ({kind}) without {column}", column)
    for column in row:
        if column not in (*needed, *allowed, "name", "kind", "path"):
            raise InputsConflict(
                "segments",
                f"segment {key} ({kind}) with {column}",
                "only " + ", ".join((*needed, *allowed)),
                at=(column,),
            )
    if "width" in row:
        _section(row)
    if kind in MOUTHS:
        _edge(key, row)
    if kind in ("expansion", "contraction"):
        _change_of_bore(key, row)


def _edge(key: str, row: Mapping[str, Any]) -> None:
    """An inlet's edge has a radius if it is rounded, and only then."""
    edge = row["edge"]
    if edge == "rounded" and "edge_radius" not in row:
        raise MissingInput("segments", f"segment {key} ({row['kind']}) without edge_radius", "edge_radius")
    if edge != "rounded" and "edge_radius" in row:
        raise InputsConflict(
            "segments",
            f"segment {key} ({row['kind']}) {edge} with edge_radius",
            "edge_radius with edge: rounded only",
            at=("edge_radius",),
        )


def _change_of_bore(key: str, row: Mapping[str, Any]) -> None:
    """A cone is given by its angle or by its length, and goes the way that its kind says."""
    kind = row["kind"]
    given = [column for column in ("angle", "length") if column in row]
    if not given:
        raise MissingInput(
            "segments",
            f"segment {key} ({kind}) without angle or length",
            "one of them: angle: 180° for a step",
        )
    if len(given) == 2:
        raise InputsConflict(
            "segments", f"segment {key} ({kind}) with angle and length", "one of them", at=("length",)
        )
    if (row["diameter_after"] > row["diameter"]) != (kind == "expansion"):
        raise InputsConflict(
            "segments",
            f"segment {key} ({kind}) from {_mm(row['diameter'])} to {_mm(row['diameter_after'])}",
            "an expansion that widens, a contraction that narrows",
            at=("diameter_after",),
        )


def _mm(length: float) -> str:
    return as_written(length, f"{length * 1000:.4g} mm")


def _joined(
    rows: Sequence[Mapping[str, Any]], keys: Mapping[int, str], state: float | None
) -> tuple[tuple[DuctSegment, ...], float | None]:
    """Segments that fit each other. `state` is the bore before: 0 for still air, None where it is open."""
    segments: list[DuctSegment] = []
    places = {row: place for place, row in enumerate(keys)}
    for row in rows:
        key, kind = keys[id(row)], row["kind"]
        loose = kind == "filter" and "diameter" not in row
        wanted = _STILL if kind in MOUTHS or loose else row["diameter"]
        if state is not None and abs(wanted - state) > SAME_BORE * state:
            with in_row(places[id(row)]):
                _refuse(key, kind, wanted, state)
        still = kind == "exit" or loose
        state = _STILL if still else row.get("diameter_after", row["diameter"])
        segments.append(
            DuctSegment(
                key=key, place=places[id(row)], kind=kind, path=row.get("path", ""), row=row, after=state
            )
        )
    return tuple(segments), state


def _refuse(key: str, kind: str, wanted: float, state: float) -> None:
    if wanted == _STILL:
        raise InputsConflict(
            "segments",
            f"segment {key} ({kind}) on a bore of {_mm(state)}",
            "still air before it: an exit",
            help="give a filter its diameter where it is rated from hose to hose",
            at=("kind",),
        )
    if state == _STILL:
        raise InputsConflict(
            "segments",
            f"segment {key} ({kind}) in still air",
            "an inlet before it",
            help="air that enters a pipe loses something",
            at=("kind",),
        )
    raise InputsConflict(
        "segments",
        f"segment {key} ({kind}) of {_mm(wanted)} after a bore of {_mm(state)}",
        "an expansion or a contraction between them",
        help="a step costs pressure",
        at=("diameter",),
    )
