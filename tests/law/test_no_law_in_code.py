"""Numbers and words of the law sit in data. Every figure in the code is one of a few plain ones, or is
named here with what it is instead: when this test fails, move the figure into a table, or say why it is
none of the law's. No text of the code names a statute, a regulation or a place in one.
"""

import ast
import re
from pathlib import Path

import labelgen
from labelgen.law.pack import read_table
from labelgen.law.registry import markets
from labelgen.law.tables import TABLES

ROOM = Path(labelgen.__file__).parent / "market"
PLAIN = {0, 1, 2, 10, 100, 1000}
#: file -> figures that are arithmetic, the calendar, or limits against slips of the finger.
OTHERS = {
    "../composition/packet.py": {0.5, 5},  # half a digit
    "../law/pack.py": {3, 0.5},  # near names offered
    "../law/transition.py": {366},  # days after which nobody vouches for the tables
    "../law/rounding.py": {9, 12, 40},  # the largest amount, as a power of ten; digits kept; signs shown
    "allergens/declaration.py": {3},  # letters of a word too short to be looked for inside others
    "claims/amounts.py": {0.05},  # what shows as 0.0 in a message
    "claims/around.py": {3, 4, 5, 20000},  # letters of short words; words remembered
    "claims/straightened.py": {64, 5000},  # ways of reading tried; texts remembered
    "claims/phrases.py": {20000},  # words remembered
    "claims/in_text.py": {3, 5, 8, 14, 5000},  # words looked at together; texts remembered
    "statement/additives.py": {4000},  # names remembered
    "claims/claim_words.py": {12, 5000, 20000},  # the most words looked at as one claim; texts remembered
    "dates.py": {7, 12, 31, 366, 2000, 2999, 3700},  # the calendar; the longest shelf life believed
    "allergens/emphasis.py": {60, 3},  # letters of a short line, of a short word
    "allergens/existing_label.py": {3},  # letters of a short word
    "statement/quantities.py": {0.6},  # how near a name must be to be offered
    "statement/entries.py": {9},  # decimals kept against binary dust
    "nutrition/nutrition_panel.py": {6},  # decimals kept against binary dust
    # half a step, kitchen fractions, how near two amounts are the same
    "nutrition/measure.py": {0.5, 3, 4, 8, 0.001, 0.02},
    "nutrition/reference.py": {4, 5},  # names offered
    "nutrition/liquid.py": {8},  # the finest part of a measure
    "nutrition/robustness.py": {0.005},  # what is worth measuring
    "nutrition/panel_rows.py": {0.999},  # nearly all
    # halves, kitchen fractions, decimals, names offered, the most parts tried
    "nutrition/serving.py": {9, 0.5, 72},
}

#: room of another kind -> its figures: what reading, weighing and drawing need.
ROOMS = {
    "quantity.py": {3},  # digits of a thousand
    "cli.py": {  # lengths of a screen's words
        200,
        50000,
    },
    "commands": {  # columns, names offered, the calendar
        0.005,
        0.4,
        3,
        4,
        6,
        8,
        12,
        15,
        20,
        25.4,
        41,
        44,
        60,
        72,
        10000,
    },
    "composition": {  # search weights, lengths of words, units, web answers
        1e-06,
        0.001,
        0.1,
        0.15,
        0.005,
        0.02,
        0.03,
        0.05,
        0.2,
        0.3,
        0.5,
        0.55,
        0.6,
        0.65,
        0.66,
        0.7,
        0.72,
        0.75,
        0.77,
        0.8,
        0.9,
        0.93,
        0.97,
        0.98,
        1.1,
        3,
        4,
        4.184,
        5,
        6,
        7,
        8,
        12,
        12.75,
        15,
        16,
        20,
        24,
        30,
        40,
        60,
        63,
        78,
        85,
        110,
        150,
        200,
        250,
        300,
        400,
        401,
        403,
        404,
        429,
        500,
        502,
        503,
        504,
        1024,
        10000,
        20000,
    },
    "export": {  # sheets and files
        20,
        60,
        85,
        200,
        10000,
        5000000,
    },
    "formulation": {  # decimals, slips of a scale
        0.001,
        0.01,
        0.02,
        0.05,
        0.1,
        0.2,
        2.542,
        3,
        4,
        6,
        128,
        1e200,
    },
    "layout": {  # points, millimetres, paper and pen
        1e-06,
        0.01,
        0.1,
        0.12,
        0.15,
        0.2,
        0.24,
        0.25,
        0.293,
        0.3,
        0.35,
        0.36,
        0.4,
        0.45,
        0.5,
        0.55,
        0.6,
        0.7,
        0.8,
        0.85,
        0.88,
        0.9,
        1.2,
        1.25,
        1.3,
        1.4,
        1.5,
        2.54,
        3,
        4,
        5,
        5.67,
        6,
        7,
        8,
        9,
        11,
        12,
        13,
        16,
        20,
        22,
        25.4,
        26,
        28,
        30,
        31,
        34,
        40,
        41,
        50,
        52,
        60,
        64,
        67,
        68,
        72,
        76,
        84,
        95,
        120,
        144,
        150,
        168,
        256,
        310,
        595.28,
        612,
        792,
        841.89,
        2000,
        4096,
        5000,
        8192,
        10000,
        1e09,
    },
    "ledger": {  # places in a record
        0.05,
        3,
        4,
        5,
        6,
        7,
        8,
        9,
        11,
        12,
        13,
        14,
        60,
    },
    "order.py": {  # the last year of the calendar that is believed
        2999,
    },
    "nutrients.py": {  # energy and places
        0.5,
        3,
    },
    "paths.py": {  # bytes
        12,
        200000000,
    },
    "pdf": {  # points, colours, glyphs
        0.001,
        0.01,
        0.02,
        0.05,
        0.055,
        0.0722,
        0.1,
        0.16,
        0.2,
        0.2126,
        0.25,
        0.3,
        0.45,
        0.5,
        0.6,
        0.7152,
        1.055,
        1.7,
        2.2,
        2.4,
        2.5,
        3,
        4,
        5,
        6,
        8,
        10.31475,
        12,
        12.92,
        15,
        16,
        20,
        21,
        24,
        25.4,
        32,
        40,
        45,
        60,
        64,
        72,
        80,
        90,
        127,
        128,
        135,
        160,
        180,
        200,
        255,
        256,
        300,
        360,
        420,
        2400,
        4000,
        12000000,
        500,
        1024,
    },
    "recipe": {  # slips of the finger, bytes of a file
        0.001,
        0.05,
        0.2,
        0.6,
        2.2,
        3,
        4,
        8,
        12,
        13,
        25.4,
        50,
        96,
        2000,
        5000,
        200000,
        4000000,
        1e15,
    },
}
#: What only a text of the law, or one that names its place, says.
NAMES_OF_LAW = re.compile(
    r"\bRegulations?\b|\bCFR\b|\bU\.?S\.?C\b|\bDirectives?\b|\bAnnex\b|\bArticle \d|\bSchedule"
    r" \d|\bStandard \d|\bB\.\d\d\.\d|§\s*\d"
)


def texts(path):
    """(line, text) of the code, without its docstrings: they tell where a rule is from."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    told = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef))
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node.lineno, node.value


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
    assert {
        name: values - OTHERS.get(name, set())
        for name, values in found.items()
        if values - OTHERS.get(name, set())
    } == {}


def test_only_known_figures_in_the_other_rooms():
    found: dict[str, set] = {}
    for path in ROOM.parent.rglob("*.py"):
        room = path.relative_to(ROOM.parent).parts[0]
        if room not in ("market", "law"):
            found.setdefault(room, set()).update(figures(path))
    unknown = {room: values - ROOMS.get(room, set()) for room, values in found.items()}
    assert {room: values for room, values in unknown.items() if values} == {}


def test_no_text_of_the_code_names_a_law():
    code = ROOM.parent.rglob("*.py")
    named = [(path.name, *told) for path in code for told in texts(path) if NAMES_OF_LAW.search(told[1])]
    assert named == []


def test_what_names_a_law_is_seen(tmp_path):
    code = tmp_path / "rule.py"
    code.write_text(
        '"""21 CFR 101.9."""\nWHY = f"by Article 9 of {1}"\nWHERE = "§ 101"\nELSE = "an article of'
        ' clothing"\n',
        encoding="utf-8",
    )
    assert {line for line, text in texts(code) if NAMES_OF_LAW.search(text)} == {2, 3}


def test_the_tables_do_hold_figures():
    """The other side of the rule: the data are not empty shells."""
    held = sum(
        len(re.findall(r"\d", str(dict(e.written))))
        for m in markets()
        for t in ("rounding", "energy", "daily_values")
        for e in read_table(m.code, TABLES[t])
    )
    assert held > 2000 and len(TABLES) > 20
