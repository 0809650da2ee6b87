"""A file before and after as a unified diff, which patch programs take and which gives no terminal orders."""

from __future__ import annotations

import difflib

from buildlog.files.text import Lines
from buildlog.report.printable import printable, printable_line

BYTE_ORDER_MARK = "\ufeff"


def diff_text(before: str, after: str, path: str, new_path: str = "") -> str:
    """The diff of a file, which may have another path after. The texts are whole files, with their mark."""
    moved = bool(new_path) and new_path != path
    lines = list(
        difflib.unified_diff(
            _lines(before), _lines(after), f"a/{path}", f"b/{new_path or path}", lineterm="", n=1
        )
    )
    if moved:
        head = [f"diff --git a/{path} b/{new_path}", f"rename from {path}", f"rename to {new_path}"]
        lines = [*head, *lines]
    return "\n".join(_safe(part) for line in lines for part in line.split("\n"))


def _lines(text: str) -> list[str]:
    """The lines of a page as a diff wants them, the last one with its remark where it has no end."""
    every = Lines(text)
    *lines, last = (
        f"{line}\r" if text.startswith("\r\n", start + len(line)) else line
        for start, line in zip(every.starts, every.raw, strict=True)
    )
    if not last:
        return lines
    return [*lines, f"{last}\n\\ No newline at end of file"]


def _safe(line: str) -> str:
    """A line of a diff that gives neither a terminal nor a CI runner orders. Tabs do no harm there, nor do
    the return at a line's end and the mark at the file's beginning, which a patch has to have."""
    sign = 2 if line[1:2] == BYTE_ORDER_MARK else 1
    begins, inside = line[:sign], line[sign:]
    ends = ""
    if inside.endswith("\r"):
        inside, ends = inside[:-1], "\r"
    shown = begins + "\t".join(printable(part) for part in inside.split("\t")) + ends
    return printable_line(shown)
