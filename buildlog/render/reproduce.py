"""What it takes to repeat the figures of a page: versions, hashes, commands, and the files to take away."""

from __future__ import annotations

import json
import platform
import shlex
from collections.abc import Collection
from dataclasses import dataclass

from buildlog.book.book import Book, Page
from buildlog.book.provenance import provenance
from buildlog.book.repeating import computed_blocks, hash_lines, input_hash
from buildlog.figures import units
from buildlog.kinds.results import BlockResult, CaseResult, Value, card_anchor
from buildlog.render.bundle import FOLDER, bundle_commands, bundle_path, powershell_commands, program_path
from buildlog.render.pieces import LinkPiece, Rendered, render
from buildlog.render.program import running_program
from buildlog.render.translated import translated
from buildlog.render.words import say
from buildlog.version import __version__

FORMAT = 1


@dataclass(frozen=True, kw_only=True)
class Repeated:
    """A block of the page: how to see it computed, and the files with its data."""

    title: str
    anchor: str
    command: str
    files: tuple[LinkPiece, ...]


# --- the files -------------------------------------------------------------------------------


def record_path(key: str) -> str:
    """Where the page's inputs and results are published as JSON."""
    return f"{FOLDER}/{key}.json"


def page_files(book: Book, key: str) -> dict[str, str]:
    """The files of a page by their path under content. The same content gives the same bytes. A block's
    results as CSV are in its card."""
    if not computed_blocks(book, key):
        return {}
    return {record_path(key): page_record(book, key)}


def page_record(book: Book, key: str) -> str:
    """Inputs as written and results in SI units and in the unit shown, as JSON."""
    blocks = []
    for block, result in computed_blocks(book, key):
        made = provenance(book, block)
        blocks.append(
            {
                "id": block.id,
                "kind": block.kind,
                "title": result.title,
                "car": result.car,
                "common": [{"name": one.name, "of": one.of, "by": one.by} for one in result.common],
                "hashes": {"inputs": made.inputs, "calculator": made.calculator, "data": made.data},
                "cases": [_case(case, result) for case in result.cases.values()],
            }
        )
    document = {
        "format": FORMAT,
        "page": key,
        "buildlog": __version__,
        "python": platform.python_version(),
        "hash": input_hash(book, key),
        "blocks": blocks,
    }
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def _case(case: CaseResult, result: BlockResult) -> dict[str, object]:
    inputs = {
        name: {"written": given.written, "origin": given.origin, "reference": given.reference}
        for name, given in case.given.items()
    }
    results: list[dict[str, object]] = []
    for output, item in result.rows():
        value = result.value(case.name, output.name, item)
        if isinstance(value, Value):
            unit = units.find(value.unit, value.dimension)
            results.append(
                {
                    "quantity": output.name,
                    "key": item,
                    "si": value.si,
                    "expanded_uncertainty_si": value.expanded_uncertainty,
                    "of_inputs_si": value.expanded_of_inputs,
                    "of_method_si": value.expanded_of_method,
                    "interval_si": None if value.interval is None else list(value.interval),
                    "dimension": value.dimension,
                    "value": unit.from_si(value.si),
                    "unit": unit.symbol,
                }
            )
        elif value is not None:
            results.append({"quantity": output.name, "key": item, "text": value})
    return {"case": case.name, "inputs": inputs, "results": results, **_doubts(case)}


def _doubts(case: CaseResult) -> dict[str, object]:
    """What the results rest on besides the inputs: assumed and method's doubts, limits, the draws made."""
    told: dict[str, object] = {
        "assumed": {name: list(given.assumptions) for name, given in case.given.items() if given.assumptions},
        "method": [
            {"doubt": doubt.origin, "about": doubt.about, "size": doubt.size(), "source": doubt.source}
            for doubt in case.doubted.values()
            if not doubt.own
        ],
        "limits": [
            {"quantity": limit.output, "key": limit.key, "least_si": limit.least, "most_si": limit.most}
            for limit in case.limits
        ],
    }
    if (made := case.simulation) is not None:
        told["monte_carlo"] = {
            "draws": made.draws,
            "seed": made.seed,
            "interpolated": made.interpolated,
            "without_result": made.without_result,
            "cut": list(made.cut),
        }
    return told


# --- the section ------------------------------------------------------------------------------


def render_reproduce(book: Book, page: Page, published: Collection[str]) -> Rendered | None:
    """The section at the end of a page, or None where it computes nothing. `published` are the paths under
    content of files that the site has; without them the commands are what there is."""
    blocks = computed_blocks(book, page.key)
    if not blocks:
        return None
    known = frozenset(published)
    repeated = []
    for block, result in blocks:
        files = [LinkPiece(page=None, anchor="", text=name, file=name) for name in _data_files(result)]
        repeated.append(
            Repeated(
                title=translated(result).title or block.id,
                anchor=card_anchor(block.id),
                command=f"buildlog working {shlex.quote(f'{page.key}#{block.id}')}",
                files=tuple(file for file in files if file.file in known),
            )
        )
    record = LinkPiece(
        page=None, anchor="", text=say("inputs and results of this page as JSON"), file=record_path(page.key)
    )
    bundle = LinkPiece(page=None, anchor="", text=say("the bundle of this page"), file=bundle_path(page.key))
    path = shlex.quote(page.path)
    commands, program = [f"buildlog proof {path}", f"buildlog ledger --hashes {path}"], None
    on_windows: list[str] = []
    if bundle.file in known:
        running = running_program()
        commands = bundle_commands(page, running)
        on_windows = powershell_commands(page, running)
        program = LinkPiece(
            page=None, anchor="", text=say("the program that computed it"), file=program_path(running)
        )
    return render(
        "reproduce.html.j2",
        blocks=repeated,
        version=__version__,
        python=platform.python_version(),
        commands="\n".join(commands),
        on_windows="\n".join(on_windows),
        hashes="\n".join(hash_lines(book, page.key)),
        bundle=bundle if program else None,
        program=program,
        record=record if record.file in known else None,
    )


def _data_files(result: BlockResult) -> list[str]:
    cases = result.cases.values()
    return sorted({file for case in cases for given in case.given.values() for file in given.files})
