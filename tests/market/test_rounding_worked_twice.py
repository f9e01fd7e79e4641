"""Every rounding rule of Europe, Canada and Australia worked out a second time, in fractions and from the
law's own words, and compared at every edge: on it, a hundredth and a ten-thousandth beside it, on halves, and
where binary arithmetic leaves dust.

Guidance of December 2012 to Regulation (EU) 1169/2011 and its Annex XIII; Food and Drug Regulations, tables
of B.01.401 and B.01.402; Standard 1.2.8-7 and -8 of the Food Standards Code with labelgen's whole kJ and mg
and tenths of a gram.
"""

from datetime import date
from fractions import Fraction as F

import pytest

from labelgen.law.by_name import declare_rule
from labelgen.law.pack import Pack

ON = date(2026, 12, 1)


def nearest(x, step):
    """Halves go up."""
    return (F(x) / F(step) + F(1, 2)).__floor__() * F(step)


def figures(x, count):
    size = F(1)
    while x and x >= 10 * size:
        size *= 10
    while x and x < size:
        size /= 10
    return nearest(x, size / 10 ** (count - 1)) if x else F(0)


def plain(x):
    text = f"{float(x):.6f}".rstrip("0").rstrip(".")
    return text


def above(limit, words, fine, change):
    """European: words or nothing up to a limit, then a fine step below a change, ten times as coarse from
    it.
    """
    return lambda x: (
        {"0", words} if x <= F(limit) else {plain(nearest(x, fine if x < change else 10 * F(fine)))}
    )


def steps(*bands):
    """Canadian: (below, step) pairs; a step of 0 declares nothing."""
    return lambda x: {
        plain(
            next(
                nearest(x, step) if F(step) else F(0)
                for below, step in bands
                if below is None or x < F(below)
            )
        )
    }


_UP = "5.0000000001"  # at most 5
EU = {
    **dict.fromkeys(
        ("fat", "carbohydrate", "sugars", "polyols", "starch", "fibre", "protein"),
        above("0.5", "<0.5", "0.1", 10),
    ),
    **dict.fromkeys(("saturates", "monounsaturates", "polyunsaturates"), above("0.1", "<0.1", "0.1", 10)),
    "salt": above("0.0125", "<0.01", "0.01", 1),
    "energy_kj": steps((None, 1)),
    "energy_kcal": steps((None, 1)),
    **dict.fromkeys(
        (
            "vitamin_a",
            "folic_acid",
            "chloride",
            "calcium",
            "phosphorus",
            "magnesium",
            "iodine",
            "potassium",
        ),
        lambda x: {plain(figures(x, 3))},
    ),
    **dict.fromkeys(
        (
            "vitamin_d",
            "vitamin_e",
            "vitamin_k",
            "vitamin_c",
            "thiamin",
            "riboflavin",
            "niacin",
            "vitamin_b6",
            "vitamin_b12",
            "biotin",
            "pantothenic_acid",
            "iron",
            "zinc",
            "copper",
            "manganese",
            "fluoride",
            "selenium",
            "chromium",
            "molybdenum",
        ),
        lambda x: {plain(figures(x, 2))},
    ),
}
CA = {
    "calories": steps((5, 1), ("50.0000000001", 5), (None, 10)),
    "sodium": steps((5, 1), ("140.0000000001", 5), (None, 10)),
    "cholesterol": steps((None, 5)),
    **dict.fromkeys(("fat", "saturated", "trans"), steps(("0.5", "0.1"), (_UP, "0.5"), (None, 1))),
    **dict.fromkeys(
        ("fat_all_free", "saturated_free", "trans_free"), steps(("0.5", 0), (_UP, "0.5"), (None, 1))
    ),
    **dict.fromkeys(
        ("carbohydrate", "fibre", "sugars", "sugar_alcohol", "soluble_fibre", "insoluble_fibre", "starch"),
        steps(("0.5", 0), (None, 1)),
    ),
    "protein": steps(("0.5", "0.1"), (None, 1)),
    **dict.fromkeys(
        ("potassium", "calcium", "phosphorus", "chloride"), steps((5, 0), (50, 10), (250, 25), (None, 50))
    ),
    **dict.fromkeys(
        ("iron", "vitamin_e", "vitamin_k", "niacin", "biotin", "zinc", "chromium", "molybdenum"),
        steps(("0.05", 0), ("0.5", "0.1"), ("2.5", "0.25"), (None, "0.5")),
    ),
    "vitamin_a": steps((5, 0), (50, 10), (250, 50), (None, 100)),
    **dict.fromkeys(
        ("vitamin_c", "vitamin_d", "selenium"), steps(("0.1", 0), (1, "0.2"), (5, "0.5"), (None, 1))
    ),
    **dict.fromkeys(
        ("thiamine", "riboflavin", "vitamin_b6", "manganese", "vitamin_b12"),
        steps(("0.005", 0), ("0.05", "0.01"), ("0.25", "0.025"), (None, "0.05")),
    ),
    **dict.fromkeys(
        ("folate", "choline", "iodide", "magnesium"), steps((1, 0), (10, 2), (50, 5), (None, 10))
    ),
    "pantothenate": steps(("0.01", 0), ("0.1", "0.02"), ("0.5", "0.05"), (None, "0.1")),
    "copper": steps(("0.0015", 0), ("0.025", "0.002"), ("0.05", "0.005"), (None, "0.01")),
    **dict.fromkeys(
        ("polyunsaturated", "monounsaturated", "omega_3", "omega_6"),
        steps((1, "0.1"), (_UP, "0.5"), (None, 1)),
    ),
}


def small(limit, words, fine):
    """Australian: words below a limit, else a step or three figures, whichever is coarser."""
    return lambda x: {words} if x < limit else {plain(nearest(x, max(F(fine), figures_step(x))))}


def figures_step(x):
    size = F(1, 1000)
    while x >= 1000 * size:
        size *= 10
    return size


AU = {
    **{
        f"{n}_lt": small(1, "LESS THAN 1", "0.1")
        for n in (
            "protein",
            "fat",
            "saturated",
            "trans",
            "polyunsaturated",
            "monounsaturated",
            "carbohydrate",
            "sugars",
            "fibre",
        )
    },
    "sodium_lt": small(5, "LESS THAN 5", 1),
    "potassium_lt": small(5, "LESS THAN 5", 1),
    "energy_kj_lt": small(40, "LESS THAN 40", 1),
    "energy_kj": small(0, "", 1),
    "sodium_mg": small(0, "", 1),
    "grams_1dp": small(0, "", "0.1"),
}
EDGES = (
    "0",
    "0.0015",
    "0.005",
    "0.01",
    "0.0125",
    "0.015",
    "0.025",
    "0.0375",
    "0.05",
    "0.1",
    "0.15",
    "0.25",
    "0.45",
    "0.5",
    "0.55",
    "0.625",
    "0.75",
    "0.95",
    "0.995",
    "1",
    "1.05",
    "2.5",
    "2.675",
    "4.5",
    "4.75",
    "5",
    "5.5",
    "7.5",
    "9.95",
    "10",
    "10.5",
    "12.5",
    "15",
    "39.5",
    "40",
    "45",
    "47.5",
    "50",
    "55",
    "62.5",
    "99.95",
    "137.5",
    "140",
    "145",
    "237.5",
    "249.5",
    "250",
    "275",
    "999.5",
    "1000",
    "1005",
    "1235",
)
NEAR = sorted(
    {x for e in EDGES for d in ("0", "0.01", "-0.01", "0.0001", "-0.0001") if (x := F(e) + F(d)) >= 0}
    | {F("0.5000000001"), F("0.4999999999"), F("4.4999999999")}
)


@pytest.mark.parametrize(
    "market, rule",
    [(m, r) for m, rules in (("eu", EU), ("uk", EU), ("ca", CA), ("au", AU), ("nz", AU)) for r in rules],
)
def test_at_every_edge(market, rule):
    again, pack = {"eu": EU, "uk": EU, "ca": CA, "au": AU, "nz": AU}[market][rule], Pack(market, ON)
    wrong = []
    for x in NEAR:
        typed = f"{float(x):.10f}".rstrip("0").rstrip(".") or "0"
        said = declare_rule(pack, rule, typed).text
        figure = said.split(" DFE")[0].rpartition(" ")[0] if said[-1].isalpha() else said
        if plain_text(figure) not in again(x):
            wrong.append((typed, said, again(x)))
    assert wrong == []


def plain_text(figure):
    return figure.rstrip("0").rstrip(".") if "." in figure and "<" not in figure else figure


def test_dust_of_binary_arithmetic_moves_nothing():
    """0.1 + 0.2 and 2.675 as floats; a sum of tenths that should be a half."""
    eu = Pack("eu", ON)
    for made, text in (
        (0.1 + 0.2, "<0.5 g"),
        (sum([0.1] * 5), "<0.5 g"),
        (0.15 + 0.1 + 0.3 + 1e-16, "0.6 g"),
        (2.65, "2.7 g"),
        (9.95, "10.0 g"),
    ):
        assert declare_rule(eu, "fat", made).text == text


@pytest.mark.parametrize(
    "market, pattern, references",
    [
        (
            "eu",
            "nrv_percent_{}",
            {
                "vitamin_a": 800,
                "vitamin_d": 5,
                "vitamin_e": 12,
                "vitamin_k": 75,
                "vitamin_c": 80,
                "thiamin": "1.1",
                "riboflavin": "1.4",
                "niacin": 16,
                "vitamin_b6": "1.4",
                "folic_acid": 200,
                "vitamin_b12": "2.5",
                "biotin": 50,
                "pantothenic_acid": 6,
                "potassium": 2000,
                "chloride": 800,
                "calcium": 800,
                "phosphorus": 700,
                "magnesium": 375,
                "iron": 14,
                "zinc": 10,
                "copper": 1,
                "manganese": 2,
                "fluoride": "3.5",
                "selenium": 55,
                "chromium": 40,
                "molybdenum": 50,
                "iodine": 150,
            },
        ),
        (
            "eu",
            "ri_percent_{}",
            {
                "energy_kj": 8400,
                "energy_kcal": 2000,
                "fat": 70,
                "saturates": 20,
                "carbohydrate": 260,
                "sugars": 90,
                "protein": 50,
                "salt": 6,
            },
        ),
        (
            "au",
            "pct_di_{}",
            {
                "energy": 8700,
                "protein": 50,
                "fat": 70,
                "saturated": 24,
                "carbohydrate": 310,
                "sugars": 90,
                "sodium": 2300,
                "fibre": 30,
            },
        ),
    ],
)
def test_percentages_and_significance(market, pattern, references):
    """Whole percent, halves up; 15 % of a reference value is significant in solid food, 7.5 % in a drink."""
    pack = Pack(market, ON)
    for nutrient, reference in references.items():
        for percent in ("7.49", "7.5", "12.49", "12.5", "14.99", "15", "99.5", "120.5"):
            amount = f"{float(F(percent) * F(reference) / 100):.8f}"
            assert (
                declare_rule(pack, pattern.format(nutrient), amount).text
                == f"{plain(nearest(F(percent), 1))}%"
            ), (nutrient, percent)
            if pattern.startswith("nrv"):
                assert declare_rule(pack, f"significant_solid_{nutrient}", amount).text == (
                    "yes" if F(percent) >= 15 else "no"
                )
                assert declare_rule(pack, f"significant_beverage_{nutrient}", amount).text == (
                    "yes" if F(percent) >= F("7.5") else "no"
                )
