"""Numbers of the law sit in data. Every figure in the declare room's code is one of a few plain ones, or is named here with
what it is instead: when this test fails, move the figure into a table, or say why it is none of the law's."""

import ast
import re
from pathlib import Path

import labelgen
from labelgen.law.pack import TABLES, read_table
from labelgen.law.registry import markets

ROOM = Path(labelgen.__file__).parent / "market"
PLAIN = {0, 1, 2, 10, 100, 1000}
#: file -> figures that are arithmetic, the calendar, or limits against slips of the finger.
OTHERS = {
    "../composition/packet.py": {0.5, 5},  # half a digit
    "../law/pack.py": {3, 0.5},  # near names offered
    "../law/transition.py": {366},  # days after which nobody vouches for the tables
    "../law/rounding.py": {9, 12},  # the largest amount, as a power of ten; digits kept
    "allergens/declaration.py": {3},  # letters of a word too short to be looked for inside others
    "claims/amounts.py": {0.05},  # what shows as 0.0 in a message
    "claims/words.py": {12, 5000, 20000},  # the most words looked at as one claim; texts remembered
    "dates.py": {7, 12, 31, 366, 2000, 2999, 3700},  # the calendar; the longest shelf life believed
    "allergens/emphasis.py": {60, 3},  # letters of a short line, of a short word
    "allergens/existing_label.py": {3},  # letters of a short word
    "statement/entries.py": {9},  # decimals kept against binary dust
    "nutrition/panel.py": {6},  # decimals kept against binary dust
    "nutrition/liquid.py": {8},  # the finest part of a measure
    "nutrition/robustness.py": {0.005},  # what is worth measuring
    "nutrition/rows.py": {0.999},  # nearly all
    "nutrition/serving.py": {3, 4, 5, 8, 9, 0.5, 0.001, 72},  # halves, kitchen fractions, decimals, names offered, the most parts tried
}


def figures(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Constant) and type(node.value) in (int, float):
            value = abs(node.value)
            if value not in PLAIN and not 0 < value <= 1e-9 and value != 1e6:
                yield value


def test_only_plain_figures_in_code():
    found = {str(path.relative_to(ROOM)): set(figures(path)) for path in ROOM.rglob("*.py")}
    found |= {f"../law/{path.name}": set(figures(path)) for path in (ROOM.parent / "law").glob("*.py")}
    found["../composition/packet.py"] = set(figures(ROOM.parent / "composition" / "packet.py"))
    assert {name: values - OTHERS.get(name, set()) for name, values in found.items() if values - OTHERS.get(name, set())} == {}


def test_the_tables_do_hold_figures():
    """The other side of the rule: the data are not empty shells."""
    held = sum(len(re.findall(r"\d", str(dict(e.values)))) for m in markets() for t in ("rounding", "energy", "daily_values") for e in read_table(m.code, t))
    assert held > 2000 and len(TABLES) > 20
