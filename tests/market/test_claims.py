"""Claims against hand-worked cases, on each side of every boundary. The rules' own citations name the law;
the column ``worked`` does the arithmetic. Figures are per 100 g of the finished food; the piece is the
serving.
"""

import csv
from datetime import date
from pathlib import Path

import pytest
import yaml

from labelgen.composition.dataset import open_dataset
from labelgen.composition.resolve import resolve_kitchen
from labelgen.formulation.batch_records import Ingoing
from labelgen.law.claim_tables import ClaimRule
from labelgen.law.pack import Pack, read_table
from labelgen.market.claims import conditions
from labelgen.market.claims.claim_words import read_claim
from labelgen.market.claims.in_text import claims_in
from labelgen.market.claims.judge import judge_claims, rule_for
from labelgen.market.declaration_records import Serving
from labelgen.market.declare_food import declare
from labelgen.order import Order
from labelgen.recipe.read import read_kitchen
from tests.kitchens import write
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)
HERE = Path(__file__).parent
CASES = [
    row
    for path in sorted(HERE.glob("claim_cases_*.csv"))
    for row in csv.DictReader(path.open(encoding="utf-8", newline=""))
]
WATER = "water: {print: water, food: usda/14411}"


def judged(tmp_path, case):
    """(claim or None, finding of that claim, every finding) of one case, from files as a maker writes
    them.
    """
    folder = write(
        tmp_path,
        case["ingredients"] or WATER,
        "formulations:\n  whole: {{ingredients: [{}], makes: 1}}\nproducts:\n  thing: {{name: Thing, of:"
        " whole, pieces: 10, unit: bar, category: {}, claims: [{!r}]{}}}\n".format(
            ", ".join(f"100 g {name}" for name in yaml.safe_load(case["ingredients"] or WATER)),
            case["category"],
            case["claim"],
            f", {case['product']}" if case["product"] else "",
        ),
        f"producer: {{name: Example Hill Bakes, address: x}}\n{case['kitchen']}\n",
    )
    kitchen, faults = read_kitchen(folder)
    assert not faults, faults
    resolved = resolve_kitchen(kitchen, open_dataset(), ON)
    piece = float(case["piece_g"])
    figures = {}
    for pair in case["figures"].split():
        key, text = pair.split("=")
        values = [float(x) * piece / 10 for x in text.split("~")]
        figures[key] = tuple(values) if len(values) == 3 else values[0]
    lines = [Ingoing(resolved[n], 100.0, ("whole",), amounts(100)) for n in kitchen.ingredients]
    pack = Pack(case["market"], ON)
    serving = Serving("1 bar", f"{piece:g}g", "10 servings per container", piece, 10, False, "the piece")
    claims, findings = judge_claims(
        pack,
        kitchen.products["thing"],
        profile(amounts(10 * piece, **figures), 10, lines),
        kitchen,
        serving,
    )
    return (claims[0] if claims else None), findings[0], findings


@pytest.mark.parametrize(
    "case", CASES, ids=lambda c: f"{c['market']}: {c['claim']}: {c['worked'] or c['expect']}"
)
def test_hand_worked(case, tmp_path):
    claim, finding, _ = judged(tmp_path, case)
    code = {"holds": "claim-holds", "refused": "claim-refused", "caution": "claim-caution"}[case["expect"]]
    assert (finding.code, finding.blocks, claim.allowed) == (
        code,
        case["expect"] == "refused",
        case["expect"] != "refused",
    ), finding.message
    text = " ".join((finding.message, *claim.companions, *claim.under))
    wanted = case["says"].removeprefix("!")
    assert (wanted not in text) if case["says"].startswith("!") else (wanted in text), text
    assert finding.citation and claim.citation


MARKETS = sorted({c["market"] for c in CASES})


@pytest.mark.parametrize("market", MARKETS)
def test_every_rule_has_both_sides(market):
    """A rule judged by figures or ingredients needs a case that holds and one that does not; a ban needs a
    ban.
    """
    pack, seen = Pack(market, ON), {}
    for case in CASES:
        if case["market"] == market:
            for asked in read_claim(case["claim"]):
                rule = rule_for(pack, asked)
                seen.setdefault(rule.locator + rule.text, set()).add(case["expect"])
    lacking = []
    for rule in pack.entries(ClaimRule):
        kind, expects = rule.kind, seen.get(rule.locator + rule.text, set())
        if kind == "refused":
            good = expects == {"refused"} or rule.key == "unlisted"
        elif kind == "plain":
            good = "holds" in expects
        elif kind == "disclosure":
            texts = {
                (c["says"].startswith("!"), rule.name in c["says"])
                for c in CASES
                if c["market"] == market and c["says"].lstrip("!").startswith("See")
            }
            good = (False, True) in texts and any(negated for negated, _ in texts)
        elif any(c.only for c in rule.conditions):
            good = expects == {"refused"}  # of a liquid: test_claim_liquids.py
        else:
            good = "refused" in expects and expects & {"holds", "caution"}
        if not good:
            lacking.append(f"{rule.key}: {sorted(expects)}")
    assert not lacking


def test_every_condition_decides_a_case_on_either_side(tmp_path, monkeypatch):
    """Every condition of every rule, on every basis it names, is met by the figures of some case and
    missed by those of another.
    """
    met, missed, judge = set(), set(), conditions.judge

    def noted(food, conditions, tag=""):
        answers = judge(food, conditions, tag)
        bases = [
            (str(sorted(vars(c).items())), per)
            for c in conditions
            for per in c.per
            if per != "small" or food.small
        ]
        for basis, answer in zip(bases, answers, strict=True):
            (
                (met if answer.holds else missed).add((food.pack.market, *basis))
                if answer.holds or not answer.remedy
                else None
            )
        return answers

    monkeypatch.setattr(conditions, "judge", noted)
    for n, case in enumerate(CASES):
        judged(tmp_path / str(n), case)
    wanted = {
        (m, str(sorted(vars(c).items())), per)
        for m in MARKETS
        for r in Pack(m, ON).entries(ClaimRule)
        for c in (*r.conditions, *r.or_conditions)
        for per in c.per
    }
    # a level of a disclosure is turned round when it is judged, and has a test of its own
    # liquids: test_claim_liquids.py
    wanted = {w for w in wanted if "'over'" not in w[1] and "'only'" not in w[1]}
    assert sorted(wanted - met) == [] and sorted(wanted - missed) == []


def test_every_companion_stands_in_a_case_and_one_with_a_condition_is_spared_in_another(tmp_path):
    """What a claim brings along, by the first words of it that no figure fills."""
    stands, spared = set(), set()
    for n, case in enumerate(CASES):
        claim, *_ = judged(tmp_path / str(n), case)
        if claim is None or not claim.allowed:
            continue
        said = (*claim.companions, *claim.under)
        for asked in read_claim(case["claim"]):
            rule = rule_for(Pack(case["market"], ON), asked)
            for companion in rule.companions:
                key = (case["market"], rule.locator + rule.text, companion.text)
                begins, ends = (
                    part.strip() for part in (companion.text.split("{")[0], companion.text.rpartition("}")[2])
                )
                (stands if any(x.startswith(begins) and x.endswith(ends) for x in said) else spared).add(key)
    every = {
        (m, r.locator + r.text, c.text): {n.rstrip("_") for n in vars(c)} - {"text", "mark"}
        for m in MARKETS
        for r in Pack(m, ON).entries(ClaimRule)
        for c in r.companions
    }
    assert [key for key in every if key not in stands] == [] and [
        key for key, conditions in every.items() if conditions and key not in spared
    ] == []


def test_conditions_are_well_formed():
    """Every condition of every market has one limit and bases the engine knows; companions and limits use
    known keys.
    """
    limits, other = (
        {"below", "at_most", "at_least", "over"},
        {
            "tag",
            "tags",
            "per",
            "unit",
            "kcal_per_g",
            "corrected",
            "daily",
            "liquid",
            "only",
        },
    )
    for market in MARKETS:
        for rule in read_table(market, ClaimRule):
            for condition in (*rule.conditions, *rule.or_conditions):
                assert len(limits & set(vars(condition))) == 1 and set(vars(condition)) <= limits | other, (
                    market,
                    rule.key,
                )
                assert all(
                    p in ("reference", "serving", "small", "pack") or p.split()[1] in ("g", "kcal")
                    for p in condition.per
                ), (market, rule.key)
            for companion in rule.companions:
                assert companion.text, (market, rule.key)


MACS = {
    "ingredients": (
        "almonds: {print: almonds, food: usda/12061, contains: [tree_nut/almond]}\nsugar: {print: sugar,"
        " food: usda/19335, contains: []}"
    ),
    "recipes": (
        "formulations:\n  mac: {ingredients: [200 g almonds, 100 g sugar], makes: 15}\nproducts:\n  macs:"
        " {name: {en: Macs, fr: Macs}, of: mac, pieces: 10, unit: {en: cookie, fr: biscuit}, category:"
        " cookies, claims: %s}\n"
    ),
}


def declared(tmp_path, claims, market="ca"):
    from labelgen.chain import roll_up_folder
    from labelgen.market.declare_food import declare

    folder = write(
        tmp_path,
        MACS["ingredients"],
        MACS["recipes"] % claims,
        f"producer: {{name: Example Hill Bakes, address: x}}\nmarkets: [{market}]\n",
    )
    rolled = roll_up_folder(folder)
    assert not [f for f in rolled.findings if f.blocks], rolled.findings
    return declare(
        rolled.profiles["macs"], rolled.kitchen.products["macs"], rolled.kitchen, Order(market, ON)
    )


def test_a_claim_stands_in_both_languages(tmp_path):
    """FDR B.01.012: what is printed in one official language is printed in the other."""
    d = declared(tmp_path, "[gluten-free, {en: 6 g protein per serving, fr: 6 g de protéines par portion}]")
    assert [c.text for c in d.claims] == ["Gluten-free", "6 g protein per serving"]
    assert [c.text for c in d.second.claims] == ["Sans gluten", "6 g de protéines par portion"]


def test_a_claim_without_wording_in_the_other_language_stops_the_label(tmp_path):
    d = declared(tmp_path, "[6 g protein per serving]")
    assert [c.text for c in d.claims] == ["6 g protein per serving"]
    assert [f for f in d.findings if f.code == "wording-missing" and f.blocks and "6 g protein" in f.message]


def test_a_nutrient_claim_ends_the_exemptions_and_adds_its_rows(tmp_path):
    """21 CFR 101.9(j)(1), (j)(18): any nutrient content claim; a gluten-free claim is none."""
    lost = [
        f for f in declared(tmp_path / "a", "[low sodium]", "us").findings if f.code == "panel-exemption-lost"
    ]
    assert len(lost) == 1 and "(j)(1)" in lost[0].message and "(j)(18)" in lost[0].message
    assert not [
        f
        for f in declared(tmp_path / "b", "[gluten free]", "us").findings
        if f.code == "panel-exemption-lost"
    ]


def test_a_variant_does_not_inherit_a_laboratory_result(tmp_path):
    """What was measured on one recipe says nothing of another."""
    folder = write(
        tmp_path,
        MACS["ingredients"] + "\npecans: {print: pecans, food: usda/12142, contains: [tree_nut/pecan]}",
        MACS["recipes"] % '[gluten free], tested: {gluten: "<5 mg/kg, Example Lab, 2026-11-02"}'
        + "variants:\n  pecan-macs: {of: macs, name: Pecan macs, replace: {almonds: pecans}}\n",
        "producer: {name: Example Hill Bakes, address: x}\nmarkets: [us]\nhandles: [wheat]\n",
    )
    from labelgen.chain import roll_up_folder
    from labelgen.market.declare_food import declare

    rolled = roll_up_folder(folder)
    found = {
        k: [
            f.code
            for f in declare(rolled.profiles[k], p, rolled.kitchen, Order("us", ON)).findings
            if f.code.startswith("claim-")
        ]
        for k, p in rolled.kitchen.products.items()
    }
    assert found == {"macs": ["claim-holds"], "pecan-macs": ["claim-refused"]}


@pytest.mark.parametrize(
    "text",
    [
        "",
        "!!!",
        "free",
        "no",
        "gluten",
        "low",
        "3 g",
        "free from gluten and love",
        "sugar free sugar free",
        "-3 g net carbs per cookie",
        "certified gluten free",
        "kosher",
        "made with love",
    ],
)
def test_words_nobody_vouches_for_are_refused(text):
    assert read_claim(text) == ()


@pytest.mark.parametrize(
    "text, keys",
    [
        ("GLUTEN‑FREE", ["gluten_free"]),
        ("Free From: Gluten", ["gluten_free"]),
        ("dairy-free, egg-free and nut-free", ["free_from"] * 3),
        ("wheat & gluten free", ["gluten_free", "free_from"]),
        ("high protein; low salt", ["protein_high", "low_sodium"]),
        ("no preservatives", ["free_from"]),
    ],
)
def test_spelling_and_joining_do_not_matter(text, keys):
    assert [a.key for a in read_claim(text)] == keys


@pytest.mark.parametrize("on, holds", [(date(2023, 12, 12), True), (date(2023, 12, 13), False)])
def test_australia_counts_more_as_added_sugar_from_its_day(on, holds):
    """Food Standards Code amendment 224 (P1062), in force 13 December 2023: maltodextrin counts, and 10 g
    sugars is the most.
    """
    rule = Pack("au", on).entry(ClaimRule, "no_added_sugar")
    assert ("maltodextrin" not in rule.without) == holds and (len(rule.conditions) == 1) == holds


POLYOLS = {
    "CHOCDF": 100,
    "FIBTG": 0,
    "POLYL": 100,
    "MALTITOL": 30,
    "ISOMALT": 70,
    "SUGAR": 0,
    "SUGAD": 0,
    "FAT": 0,
    "FASAT": 0,
    "FATRN": 0,
    "CHOLE": 0,
    "NA": 0,
    "PROCNT": 0,
}


def named(market, **more):
    return declare(
        profile(amounts(100, **POLYOLS), 20),
        product(unit="sweet", category="candies", **more),
        KITCHEN,
        Order(market, date(2026, 12, 1)),
    )


def test_a_claim_inside_the_name_is_judged_like_any_other():
    """100 g of polyols and nothing else. "Sugar free" asks for a sugar alcohol row (21 CFR
    101.9(c)(6)(iv)) and for fibre, 0 where there is none (Standard 1.2.8 of the Code); in Canada the food
    must be free of energy too, and 240 kcal a 100 g are not.
    """
    us, au, ca = (
        named(m, name="Hill drops", identity="Sugar-free boiled sweets") for m in ("us", "au", "ca")
    )
    assert [r.declared for r in us.panel.columns[0].rows if r.key == "sugar_alcohol"] == ["30g"]
    assert [r.declared for r in au.panel.columns[0].rows if r.tag == "FIBTG"] == ["0 g"]
    assert any(f.code == "claim-refused" and f.blocks for f in ca.findings)
    # beside the name, which says the claim itself
    assert [(c.text, c.said) for c in us.claims] == [("", "Not a low calorie food.")]
    assert not au.claims  # it is printed in the name already


@pytest.mark.parametrize("market", ["us", "eu", "uk", "ca", "au", "nz"])
def test_a_gluten_free_name_on_a_food_of_wheat_stops_the_label(market):
    """21 CFR 101.91(a)(3); Regulation (EU) No 828/2014, Annex; Food and Drug Regulations, B.24.018;
    Standard 1.2.7, S4-3.
    """
    food = profile(amounts(100, **POLYOLS), 20, [line("wheat flour", 100, contains=["wheat"])])
    d = declare(
        food,
        product(name="Gluten-free drops", category="candies"),
        KITCHEN,
        Order(market, date(2026, 12, 1)),
    )
    assert any(f.code == "claim-refused" and f.blocks for f in d.findings)


@pytest.mark.parametrize(
    "name, claims",
    [
        ("Sugar-free boiled sweets", ("Sugar-free",)),
        ("Hill drops, low fat and high in fibre", ("low fat and high in fibre",)),
        ("Dairy-free vegan brownies", ("Dairy-free", "vegan")),
        ("Free range egg biscuits", ()),
        ("Light rye crispbread", ("Light",)),
        ("Organic wholemeal bread", ("Organic", "wholemeal")),
        ("Almond cookies with erythritol and chicory fiber", ()),
        ("Butter biscuits", ()),
    ],
)
def test_claims_are_found_between_the_words_of_a_name(name, claims):
    assert claims_in(name) == claims
