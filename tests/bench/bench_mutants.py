"""How many small faults, put into the code on purpose, the tests notice: mutation testing with mutmut, on a sample.

    pip install mutmut
    python tests/bench/bench_mutants.py [--each 40] [--seed 1] [--rooms composition/text pdf] [--keep FOLDER]

A copy of the tree is made in a temporary folder (or in --keep, where a later run goes on from what it knows). Of every
room named in ROOMS so many mutants are drawn at random, and each is tried against the tests that reach it. A survivor is
a fault that no test notices: it is printed as a diff, to be killed by a test or explained.
"""

from __future__ import annotations

import argparse
import json
import random
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
#: Where a fault would let an allergen, a claim or a printed word go wrong -> the tests that guard it.
ROOMS = {
    "composition/text": ("labelgen/composition/text/*.py", ["tests/allergens", "tests/composition"]),
    "composition/allergens": ("labelgen/composition/allergens.py", ["tests/composition", "tests/market"]),
    "market/allergens": ("labelgen/market/allergens/*.py", ["tests/market", "tests/export"]),
    "market/claims": ("labelgen/market/claims/*.py", ["tests/market"]),
    "market/statement": ("labelgen/market/statement/*.py", ["tests/market"]),
    "pdf": ("labelgen/pdf/*.py", ["tests/pdf", "tests/layout"]),
    "ledger": ("labelgen/ledger/*.py", ["tests/ledger"]),
}
#: Exit codes by which mutmut tells that every test passed with a mutant, and that none reaches it.
SURVIVED, UNTESTED = {0}, {5, 33}
COPIED = ("labelgen", "reference", "templates", "tests", "README.md", "DEVELOPERS.md", "pyproject.toml")
SETTINGS = """
[tool.mutmut]
source_paths = ["labelgen"]
use_git_change_detection = false
track_dependencies = false
only_mutate = {only}
also_copy = ["reference", "templates", "README.md", "DEVELOPERS.md"]
pytest_add_cli_args = ["-q", "-p", "no:cacheprovider"]
pytest_add_cli_args_test_selection = {tests}
timeout_multiplier = 8.0
timeout_constant = 5.0
"""
#: Tests that ask how the tree lies, or start a process of their own: they cannot see a mutant of the process they run in.
LEFT_OUT = ("test_layering.py", "test_docs.py", "test_no_law_in_code.py")


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--each", type=int, default=40, help="mutants tried of each room")
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--rooms", nargs="*", default=list(ROOMS), choices=list(ROOMS))
    options.add_argument("--keep", type=Path, help="folder for the copy, kept afterwards")
    asked = options.parse_args()
    if shutil.which("mutmut") is None and not Path(sys.executable).with_name("mutmut").exists():
        print("mutmut is not installed: pip install mutmut", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory() as scratch:
        for room in asked.rooms:
            tree = (asked.keep or Path(scratch)).resolve() / room.replace("/", "-")
            _lay(tree, *ROOMS[room])
            _run(tree, "no such mutant")  # makes the mutants and asks which test reaches which function
            chosen = _draw(tree, asked.each, f"{asked.seed} {room}")
            _run(tree, *chosen)
            _tell(tree, room, chosen)
    return 0


def _lay(tree: Path, only: str, tests: list[str]) -> None:
    for name in COPIED:
        source, target = ROOT / name, tree / name
        if source.is_dir():
            shutil.copytree(source, target, dirs_exist_ok=True, ignore=shutil.ignore_patterns("__pycache__", "ledger.sqlite*"))
        else:
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(source, target)
    for name in LEFT_OUT:
        for found in (tree / "tests").rglob(name):
            found.unlink()
    with (tree / "pyproject.toml").open("a", encoding="utf-8") as file:
        file.write(SETTINGS.format(only=json.dumps([only]), tests=json.dumps(tests)))


def _run(tree: Path, *names: str) -> None:
    mutmut = Path(sys.executable).with_name("mutmut")
    subprocess.run([str(mutmut) if mutmut.exists() else "mutmut", "run", *names], cwd=tree, check=False)


def _results(tree: Path) -> dict[str, int | None]:
    """Mutant -> exit code of its tests, None where it was not tried."""
    told: dict[str, int | None] = {}
    for meta in (tree / "mutants" / "labelgen").rglob("*.meta"):
        told |= json.loads(meta.read_text(encoding="utf-8"))["exit_code_by_key"]
    return told


def _draw(tree: Path, each: int, seed: str) -> list[str]:
    every = sorted(_results(tree))
    return sorted(random.Random(seed).sample(every, min(each, len(every))))


def _tell(tree: Path, room: str, names: list[str]) -> None:
    told = {name: _results(tree).get(name) for name in names}
    survived = [n for n, code in told.items() if code in SURVIVED]
    untested = [n for n, code in told.items() if code in UNTESTED or code is None]
    killed = len(told) - len(survived) - len(untested)
    print(f"\n{room}: {len(_results(tree))} mutants, {len(told)} tried, {killed} killed ({killed / max(1, len(told)):.1%}), {len(survived)} survived, {len(untested)} reached by no test", flush=True)
    for name in (*survived, *untested):
        print(f"\n## {name}", flush=True)
        subprocess.run([str(Path(sys.executable).with_name("mutmut")), "show", name], cwd=tree, check=False)


if __name__ == "__main__":
    raise SystemExit(main())
