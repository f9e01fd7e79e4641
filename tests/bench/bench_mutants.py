"""How many small faults, put into the code on purpose, the tests notice: mutants made by mutmut, on a sample.

    pip install mutmut        # nothing else needs it
    python tests/bench/bench_mutants.py [--each 20] [--seed 1] [--rooms composition/text pdf] [--keep FOLDER]

A copy of the tree is made in a temporary folder (or in --keep, where a later run goes on from what it
knows). Of every room named in ROOMS so many mutants are drawn at random, and each is tried against those of
the room's tests that reach it. Printed are: the mutants there are, those tried, killed, survived, reached
by no test. A mutant that makes the tests run on past their time counts as killed. A survivor is a fault
that no test notices: it is printed as a diff, to be killed by a test or explained.

Not drawn are mutants that change nothing a label depends on (HARMLESS): how a file is opened where the
default is the same, and whether zip checks lengths that are always the same. mutmut itself leaves out
whatever has a decorator. Not run are tests that cannot see a mutant or only throw chance at the code
(LEFT_OUT). A test that is red without any mutant must be named by --without, else mutmut cannot begin.
"""

from __future__ import annotations

import argparse
import ast
import difflib
import json
import random
import re
import shutil
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
#: Where a fault would let an allergen, a claim or a printed word go wrong -> the tests that guard it.
ROOMS = {
    "composition/text": (
        "labelgen/composition/text/*.py",
        (
            "composition/test_{letters,lexicon,statement,clauses,derived}.py "
            "composition/test_{answers,kinds,understood,allergens,wordings}.py allergens/test_*.py"
        ),
    ),
    "composition/allergens": (
        "labelgen/composition/ingredient_allergens.py",
        (
            "composition/test_{allergens,allergen_codes,named}.py "
            "composition/test_{wordings,derived}.py market/test_{allergens,warned_names}.py"
        ),
    ),
    "market/allergens": (
        "labelgen/market/allergens/*.py",
        (
            "market/test_{allergens,cross_contact,conserved,existing_label}.py "
            "market/test_{matrix,thresholds,warned_names}.py commands/test_allergens_of_a_kitchen.py"
        ),
    ),
    "market/claims": ("labelgen/market/claims/*.py", "market/test_claim*.py market/test_comparison.py"),
    "market/statement": (
        "labelgen/market/statement/*.py",
        (
            "market/test_{ingredients,statement_words,additive_languages,"
            "warned_names,allergens}.py markets/*/test_{statement,ingredients}.py"
        ),
    ),
    "pdf": ("labelgen/pdf/*.py", "pdf/test_*.py"),
    "ledger": ("labelgen/ledger/*.py", "ledger/test_*.py"),
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
pytest_add_cli_args = {options}
pytest_add_cli_args_test_selection = {tests}
timeout_multiplier = 8.0
timeout_constant = 5.0
"""
#: Parts of the names of tests that ask how the tree lies or start a process of their own (they cannot see a
#: mutant of the process they run in), and of those that throw chance texts at the code and take most time.
LEFT_OUT = ("layering", "docs", "hostile", "any_text", "property", "every_part_of_a_tree", "footnote_marks")
#: What a mutant changes if it is harmless, as a pattern that is cut out of the line before and after it.
HARMLESS = re.compile(r",? ?\b(?:encoding|newline|strict)=(?:\"[^\"]*\"|\w+)")


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--each", type=int, default=20, help="mutants tried of each room")
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--rooms", nargs="*", default=list(ROOMS), choices=list(ROOMS))
    options.add_argument("--keep", type=Path, help="folder for the copy, kept afterwards")
    options.add_argument("--without", nargs="*", default=[], help="leave out tests so named")
    asked = options.parse_args()
    if shutil.which("mutmut") is None:
        print("mutmut is not installed: pip install mutmut", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory() as scratch:
        for room in asked.rooms:
            tree = (asked.keep or Path(scratch)).resolve() / room.replace("/", "-")
            _lay(tree, *ROOMS[room], [*LEFT_OUT, *asked.without])
            _run(tree, "no such mutant")  # makes the mutants and asks which test reaches which function
            chosen = _draw(tree, asked.each, f"{asked.seed} {room}")
            _run(tree, *chosen)
            _tell(tree, f"{room}, seed {asked.seed}", chosen)
    return 0


def _lay(tree: Path, only: str, tests: str, left_out: list[str]) -> None:
    for name in COPIED:
        source, target = ROOT / name, tree / name
        if source.is_dir():
            shutil.rmtree(target, ignore_errors=True)
            shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(source, target)
    globs = [one for pattern in tests.split() for one in _unfold(pattern)]
    found = sorted({str(p.relative_to(ROOT)) for one in globs for p in (ROOT / "tests").glob(one)})
    options = ["-q", "-p", "no:cacheprovider", "-k", " and ".join(f"not {word}" for word in left_out)]
    with (tree / "pyproject.toml").open("a", encoding="utf-8") as file:
        asked = {"only": [only], "options": options, "tests": found}
        file.write(SETTINGS.format(**{name: json.dumps(value) for name, value in asked.items()}))


def _unfold(pattern: str) -> list[str]:
    """A pattern with a list in braces as one pattern for each item."""
    before, brace, rest = pattern.partition("{")
    items, _, after = rest.partition("}")
    return [f"{before}{item}{after}" for item in items.split(",")] if brace else [pattern]


def _run(tree: Path, *names: str) -> None:
    command = ["mutmut", "run", "--max-children", "2", *names]
    told = subprocess.run(command, cwd=tree, capture_output=True, text=True)
    if not (tree / "mutants" / "mutmut-stats.json").exists():
        raise SystemExit(f"{told.stdout[-3000:]}\nmutmut could not begin: see --without")


@cache
def _functions(file: Path) -> dict[str, list[str]]:
    """The lines of every function that mutmut wrote into a file, each function under its name."""
    source = file.read_text(encoding="utf-8")
    lines = source.splitlines()
    found = (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.FunctionDef))
    return {node.name: lines[node.lineno - 1 : node.end_lineno] for node in found}


def _show(tree: Path, name: str) -> str:
    """What a mutant changes, as a diff without what stands around it."""
    module, _, function = name.rpartition(".")
    known = _functions((tree / "mutants").joinpath(*module.split(".")).with_suffix(".py"))
    names = function.rpartition("_")[0] + "_orig", function
    before, after = ([line.replace(n, "it") for line in known[n]] for n in names)
    changed = difflib.unified_diff(before, after, lineterm="", n=0)
    return "\n".join(line for line in changed if not line.startswith(("+++", "---", "@@")))


def _results(tree: Path) -> dict[str, int | None]:
    """Mutant -> exit code of its tests, None where it was not tried."""
    told: dict[str, int | None] = {}
    for meta in (tree / "mutants" / "labelgen").rglob("*.meta"):
        told |= json.loads(meta.read_text(encoding="utf-8"))["exit_code_by_key"]
    return told


def _draw(tree: Path, each: int, seed: str) -> list[str]:
    every = sorted(_results(tree))
    random.Random(seed).shuffle(every)
    chosen: list[str] = []
    while every and len(chosen) < each:
        name = every.pop()
        if not _is_harmless(_show(tree, name)):
            chosen.append(name)
    return sorted(chosen)


def _is_harmless(diff: str) -> bool:
    lines = diff.splitlines()
    before, after = (HARMLESS.sub("", "\n".join(x[1:] for x in lines if x[0] == sign)) for sign in "-+")
    return before == after


def _tell(tree: Path, title: str, names: list[str]) -> None:
    every = _results(tree)
    told = {name: every.get(name) for name in names}
    survived = [n for n, code in told.items() if code in SURVIVED]
    untested = [n for n, code in told.items() if code in UNTESTED or code is None]
    killed = len(told) - len(survived) - len(untested)
    share = f"{killed / max(1, len(told)):.0%}"
    counts = f"{len(told)} tried, {killed} killed ({share}), {len(survived)} survived"
    print(f"\n{title}: {len(every)} mutants, {counts}, {len(untested)} reached by no test", flush=True)
    for name in (*survived, *untested):
        print(f"\n## {name}\n{_show(tree, name)}", flush=True)


if __name__ == "__main__":
    raise SystemExit(main())
