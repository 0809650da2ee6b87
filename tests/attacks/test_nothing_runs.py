"""A proof of a stranger's pages opens no connection, starts no program, writes nothing and reads nothing
outside the site: Python itself tells of each (an audit hook, PEP 578), in a process of its own. On several
cores it starts buildlog's own processes, and nothing else, which do none of this either."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from buildlog.kept.store import FOLDER
from tests.attacks.test_paths import NAMES, attacked
from tests.attacks.test_yaml_bombs import BILLION
from tests.house import ROOT
from tests.samples import GEARING, calc

# Tells what a process does beyond reading the site: of `told`, once it is `on`.
HOOK = """
import os, sys
real = os.path.realpath
root, hostile = os.environ["HOUSE"], os.environ["HOSTILE"]
inside = [real(os.path.join(hostile, name)) for name in ("content", "mkdocs.yml", "known-findings.yml")]
kept = [real(path) for path in os.environ["KEPT"].split(os.pathsep) if path]
loaded = [real(path) for path in (root + "/buildlog", sys.prefix, sys.base_prefix, *sys.path[1:])]
told, on = [], False
ours, own = [], set()  # how buildlog's own processes are started, and which those are
many = os.environ["BUILDLOG_CORES"] != "1"
FORBIDDEN = ("socket.", "subprocess.", "os.exec", "os.fork", "os.posix_spawn", "os.spawn", "os.system",
    "pty.", "urllib.", "http.", "ftplib.", "smtplib.", "imaplib.", "poplib.", "webbrowser.",
    "ctypes.", "os.remove",
    "os.rename", "os.mkdir", "os.rmdir", "os.link", "os.symlink", "os.truncate", "os.chmod", "os.chown",
    "os.utime", "shutil.", "tempfile.", "os.kill", "os.putenv", "sqlite3.", "pickle.")
RECORDS = ("buildlog", "builtins", *(("pathlib",) if many else ()))
def within(path, places):
    return any(path == place or path.startswith(place + os.sep) for place in places)
def hook(event, given):
    if not on:
        return
    if event == "pickle.find_class" and (kept or many) and given[0].partition(".")[0] in RECORDS:
        return
    if event == "subprocess.Popen" and ours and list(given[1]) == ours:
        return
    if event == "os.kill" and given[0] in own:
        return
    named = given[0] if given else None
    if event.startswith("os.") and isinstance(named, (str, bytes)) and within(real(os.fsdecode(named)), kept):
        return
    if event.startswith(FORBIDDEN):
        told.append([event, repr(given)[:200]])
    elif event == "open" and isinstance(given[0], (str, bytes)):
        path, mode, flags = os.fsdecode(given[0]), given[1], given[2]
        full = real(path)
        if within(full, kept) or (ours and full == os.devnull):
            return
        if not within(full, inside) and not within(full, loaded):
            told.append(["open", path])
        elif flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT) or set(mode or "") & set("wax+"):
            told.append(["write", path])
    elif event in ("os.listdir", "os.scandir"):
        full = real(os.fsdecode(given[0] or "."))
        if not within(full, [*inside, real(hostile)]) and not within(full, loaded):
            told.append([event, full])
sys.addaudithook(hook)
"""
# The same in each process of buildlog's own, which writes what is told after each block.
WORKER = f"""{HOOK}
import json
import buildlog.book.monte_carlo
from buildlog.book import worker
answers, place = worker.answer, os.open(os.environ["TOLD"], os.O_WRONLY | os.O_APPEND)
def answer(*given):
    try:
        return answers(*given)
    finally:
        os.write(place, (json.dumps(told) + chr(10)).encode())
        told.clear()
worker.answer, on = answer, True
worker.work()
"""
# Runs a tame proof first, so that what is loaded is loaded; then tells what a hostile one does beyond reading
# the site: as JSON, on the last line.
CHILD = f"""
import json, os, sys
root, tame, worker, arguments = os.environ["HOUSE"], sys.argv[1], sys.argv[2], sys.argv[3:]
sys.path[:0] = [root]
sys.dont_write_bytecode = True
from click.testing import CliRunner
from buildlog.cli import main
command, *more = arguments
cores, os.environ["BUILDLOG_CORES"] = os.environ["BUILDLOG_CORES"], "1"
CliRunner().invoke(main, [command, *more, "--site", tame])
os.environ["BUILDLOG_CORES"] = cores
{HOOK}
if many:
    import subprocess
    from buildlog.book import ahead
    from tests import many_cores
    many_cores.use()
    assert ahead.PROGRAM.endswith("from buildlog.book.worker import work; work()")
    ahead.PROGRAM = ahead.PROGRAM.partition("from")[0] + "exec(" + repr(worker) + ")"
    options = ["-I", "-X", f"utf8={{sys.flags.utf8_mode}}", "-B"]
    ours = [sys.executable, *options, "-c", ahead.PROGRAM, *sys.path]
    started = ahead.Work._started
    def noted(self):
        process = started(self)
        own.add(process.pid)
        return process
    ahead.Work._started = noted
on = True
if "--prove-it" in os.environ.get("ATTACK", ""):
    import socket
    socket.socket().close(); open("/etc/hostname").close(); os.system("true")
run = CliRunner().invoke(main, [command, *more, "--site", hostile])
on = False
assert run.exception is None or isinstance(run.exception, SystemExit), repr(run.exception)
print(json.dumps({{"told": told, "exit": run.exit_code, "output": run.output[-2000:], "own": len(own)}}))
"""
RUNS = "import pathlib; pathlib.Path(__file__).with_name('owned').touch()\n"


def audited(
    tmp_path: Path,
    hostile: Path,
    *command: str,
    prove: bool = False,
    keeping: bool = False,
    cores: int = 1,
) -> tuple[list[list[str]], int]:
    """What a command does beyond reading the site; `keeping` it may keep results in the site's own folder for
    them, and read the user's secret. On several `cores` it may start processes of its own, of which the same
    is told."""
    state = tmp_path / "state"
    kept = f"{hostile / FOLDER.parent}{os.pathsep}{state / 'buildlog'}"
    tame = tmp_path / "tame"
    (tame / "content").mkdir(parents=True, exist_ok=True)
    (tame / "content" / "a.md").write_text(f"[9 mm](cite:x) 5 mm\n\n{GEARING}", "utf-8")
    there = tmp_path / "told"
    there.write_text("", "utf-8")
    run = subprocess.run(
        [sys.executable, "-I", "-c", CHILD, str(tame), WORKER, *command],
        cwd=hostile,
        env={
            **os.environ,
            "ATTACK": "--prove-it" if prove else "",
            "KEPT": kept if keeping else "",
            "XDG_STATE_HOME": str(state),
            "HOUSE": str(ROOT),
            "HOSTILE": str(hostile),
            "TOLD": str(there),
            "BUILDLOG_CORES": str(cores),
        },
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert run.returncode == 0, run.stderr[-3000:]
    answer = json.loads(run.stdout.splitlines()[-1])
    blocks = [json.loads(line) for line in there.read_text("utf-8").splitlines()]
    assert answer["own"] == (cores - 1 if blocks else 0)
    assert bool(blocks) == (cores > 1)
    return [*answer["told"], *(told for block in blocks for told in block)], answer["exit"]


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All that the other attacks reach out with, in one site, and programs wherever one is looked for."""
    folder = tmp_path_factory.mktemp("hostile")
    content = attacked(folder)
    pages = {
        f"names-{at}.md": f"![a]({name}) [1 mm](<calc:{name}#a.b>) [1 mm](cite:{name})\n\n"
        + calc(f'id: a\nkind: parts\ninputs: {{currency: EUR, parts: {{data: "{name}"}}}}')
        for at, name in enumerate(NAMES)
    }
    pages["snippets.md"] = "".join(f'--8<-- "{name}"\n\n' for name in NAMES if "\\0" not in name) + GEARING
    pages["included.md"] = "".join(f'{{% include "{name}" %}}\n\n' for name in NAMES) + GEARING
    pages["fetched.md"] = f'--8<-- "http://127.0.0.1:9/a.md"\n\n![a](http://127.0.0.1:9/a.png)\n\n{GEARING}'
    pages["templates.md"] = (
        "{{ ''.__class__ }} {% set x = 1 %} ${x} <?php x ?>\n\n```python exec=\"on\"\nx\n```\n"
    )
    pages["bomb.md"] = calc(BILLION)
    pages["tags.md"] = calc("id: !!python/object/apply:os.system ['touch owned']\nkind: gearing")
    for name, text in pages.items():
        (content / name).write_text(text, "utf-8")
    (content / "sources.yml").write_text("sheet: {title: T, url: 'http://127.0.0.1:9/'}\n", "utf-8")
    (folder / "mkdocs.yml").write_text(
        "site_name: x\ndocs_dir: content\nhooks: [hooks.py]\n"
        "markdown_extensions: [pymdownx.snippets, owned_too]\n"
        "plugins: [include-markdown, macros, {gen-files: {scripts: [hooks.py]}}, no-such-plugin, buildlog]\n",
        "utf-8",
    )
    for place in (folder, content):
        for name in (
            "hooks.py",
            "main.py",
            "yaml.py",
            "click.py",
            "sitecustomize.py",
            "buildlog.py",
            "conftest.py",
        ):
            (place / name).write_text(RUNS, "utf-8")
    return folder


@pytest.mark.parametrize(
    "command",
    [
        ["proof"],
        ["proof", "--all", "--drafts"],
        ["proof", "--format", "sarif"],
        ["proof", "--format", "annotations"],
        ["ledger"],
        ["ledger", "--format", "csv"],
        ["amend"],
        ["working", "snippets#shorter-final"],
    ],
    ids=" ".join,
)
def test_a_proof_reads_the_site_and_does_nothing_else(
    tmp_path: Path, hostile: Path, command: list[str]
) -> None:
    before = sorted(path.name for path in hostile.rglob("*"))
    told, code = audited(tmp_path, hostile, *command, "--no-cache")
    assert told == []
    assert code in (0, 1)
    assert sorted(path.name for path in hostile.rglob("*")) == before
    assert not list(hostile.rglob("owned"))


@pytest.mark.parametrize("run", ["first", "second"])
def test_what_is_kept_for_the_next_run_is_all_that_a_proof_writes(
    tmp_path: Path, hostile: Path, run: str
) -> None:
    """It writes into the site's folder for it alone, and reads nothing more but the user's secret."""
    (hostile / FOLDER).mkdir(parents=True, exist_ok=True)
    before = sorted(path for path in hostile.rglob("*") if FOLDER.parent.name not in path.parts)
    for _ in range(2 if run == "second" else 1):
        told, code = audited(tmp_path, hostile, "proof", keeping=True)
    assert told == []
    assert code in (0, 1)
    assert sorted(path for path in hostile.rglob("*") if FOLDER.parent.name not in path.parts) == before
    assert list((hostile / FOLDER).glob("??/*"))
    shutil.rmtree(hostile / FOLDER.parent)


@pytest.mark.parametrize("keeping", [False, True], ids=["nothing kept", "keeping"])
def test_on_several_cores_it_starts_its_own_program_and_nothing_else(
    tmp_path: Path, hostile: Path, keeping: bool
) -> None:
    """What it starts is compared word by word; nothing of the site is on the list of where it looks for
    modules."""
    if keeping:
        (hostile / FOLDER).mkdir(parents=True, exist_ok=True)
    command = ["proof"] if keeping else ["proof", "--no-cache"]
    told, code = audited(tmp_path, hostile, *command, keeping=keeping, cores=3)
    assert told == []
    assert code in (0, 1)
    assert not list(hostile.rglob("owned"))
    shutil.rmtree(hostile / FOLDER.parent, ignore_errors=True)


def test_the_hook_would_tell(tmp_path: Path, hostile: Path) -> None:
    told, _ = audited(tmp_path, hostile, "proof", prove=True)
    assert {event for event, _ in told} >= {"socket.__new__", "os.system", "open"}
