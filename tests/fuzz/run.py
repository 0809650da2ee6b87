"""Look for texts that break a promise, guided by which lines of the code they reach: ``make fuzz``.

    python -m tests.fuzz.run [--seconds N] [--keep] [TARGET …]

Each target (`targets.py`) is searched for so many seconds in a process of its own, by atheris, which is
libFuzzer for Python and has to be on the path. A text that breaks a promise is written to
`crashes/TARGET.txt`, where `make test` finds it: mend the code, and leave it there as a case. With ``--keep``
the corpus becomes the smallest set found that reaches as much.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
from pathlib import Path

from tests.fuzz.kept_texts import CORPUS, CRASHES, as_text, read_texts, write_texts
from tests.house import ROOT

WORK = ROOT / ".cache" / "fuzz"
LONGEST = {"scanner": 1500, "yaml": 800, "labels": 120, "data": 600, "amend": 800, "page": 1200}
"""Most bytes of a text: what is wrong in a long one is wrong in a short one, and found sooner."""
SECONDS_EACH = 30
MEMORY_MB = 3000


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    options.add_argument("--seconds", type=int, default=120, help="how long each target is searched")
    options.add_argument("--keep", action="store_true", help="write the corpus anew")
    options.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    options.add_argument("targets", nargs="*", metavar="TARGET", help=", ".join(LONGEST))
    given, more = options.parse_known_args()
    if given.inside:
        _search(given.targets[0], more)
    found = [_told(target, given.seconds, given.keep) for target in given.targets or LONGEST]
    return int(any(found))


def _told(target: str, seconds: int, keep: bool) -> bool:
    """Search one target; whether a text was found that breaks a promise."""
    folder = WORK / target
    crashes = WORK / f"{target}-crashes"
    shutil.rmtree(crashes, ignore_errors=True)
    for made in (folder, crashes):
        made.mkdir(parents=True, exist_ok=True)
    for at, text in enumerate((*read_texts(CORPUS, target), *read_texts(CRASHES, target))):
        (folder / f"kept-{at}").write_bytes(text.encode())
    words = WORK / "words.dict"
    words.write_text("".join(f'"{_escaped(word)}"\n' for word in _words()), "ascii")
    print(f"{target}: {seconds} s", flush=True)
    limits = (f"-timeout={SECONDS_EACH}", f"-rss_limit_mb={MEMORY_MB}", f"-max_len={LONGEST[target]}")
    run = _inside(
        target,
        *limits,
        f"-max_total_time={seconds}",
        f"-dict={words}",
        f"-artifact_prefix={crashes}/",
        folder,
    )
    broken = [as_text(path.read_bytes()) for path in sorted(crashes.iterdir())]
    if broken:
        write_texts(CRASHES, target, [*read_texts(CRASHES, target), *broken])
        print(run.stdout[-6000:])
        print(f"{target}: broken by {broken[0]!r}, now in {CRASHES / target}.txt", flush=True)
    elif run.returncode:
        print(run.stdout[-6000:])
        sys.exit(f"{target}: the search ended with {run.returncode}")
    else:
        print(next((line for line in reversed(run.stdout.splitlines()) if "cov:" in line), ""), flush=True)
    if keep and not broken:
        _keep(target, folder, limits)
    return bool(broken)


def _keep(target: str, folder: Path, limits: tuple[str, ...]) -> None:
    """Write the fewest texts that reach as much as all that the search has come by."""
    least = WORK / f"{target}-least"
    shutil.rmtree(least, ignore_errors=True)
    least.mkdir()
    merged = _inside(target, *limits, "-merge=1", least, folder)
    texts = [as_text(path.read_bytes()) for path in least.iterdir()]
    if merged.returncode or not texts:  # a merge that was stopped gives nothing, and calls that well
        sys.exit(f"{target}: the corpus stays as it was.\n{merged.stdout[-6000:]}")
    write_texts(CORPUS, target, texts)


def _inside(target: str, *arguments: str | Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "tests.fuzz.run", "--inside", target, *map(str, arguments)]
    return subprocess.run(
        command,
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
        check=False,
    )


def _search(target: str, arguments: list[str]) -> None:
    """Never comes back: libFuzzer ends the process."""
    try:
        import atheris  # type: ignore[import-not-found, import-untyped, unused-ignore]
    except ImportError:
        sys.exit("atheris is missing: make fuzz puts it into .cache/fuzz")
    with atheris.instrument_imports(include=["buildlog"]):
        from tests.fuzz.targets import TARGETS
    function = TARGETS[target]
    atheris.Setup([sys.argv[0], *arguments], lambda data: function(as_text(data)))
    atheris.Fuzz()


def _words() -> list[str]:
    """What pages are made of, for the search to put in."""
    from tests.figures.test_stated import MARKS, NUMBERS, WORDS
    from tests.page.mutated import DEFINITIONS, FIGURES, LEAVES, TOKENS

    lines = [line for leaf in LEAVES for line in leaf]
    block = (
        "```yaml calc\n",
        "kind: gearing\n",
        "inputs:\n  ",
        "cases:\n",
        "calc:a#shorter-final.after.",
        "id: ",
    )
    signs = (
        "&x",
        "*x",
        "!!str",
        "<<: ",
        "? ",
        ": ",
        "- ",
        "|\n  ",
        ">-\n",
        "{",
        "}",
        "[",
        "]",
        "---\n",
        "engine_speed [rpm]",
        "torque [N·m]",
        ";",
        '""',
    )
    words = {
        *TOKENS,
        *FIGURES,
        *DEFINITIONS,
        *lines,
        *f"{WORDS} {NUMBERS} {MARKS}".split(" "),
        *block,
        *signs,
    }
    return sorted(word for word in words if word)


def _escaped(word: str) -> str:
    """A word in libFuzzer's form."""
    return "".join(f"\\x{byte:02x}" for byte in word.encode())


if __name__ == "__main__":
    sys.exit(main())
