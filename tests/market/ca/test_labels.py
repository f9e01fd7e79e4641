"""Canadian labels worked by hand, on both sides of a threshold.

Law: Food and Drug Regulations B.01.401 (rounding; percent of daily value), B.01.002A (serving of stated
size), B.01.350 (nutrition symbol), Table of Daily Values of 20 October 2022, Table of Reference Amounts (from
memory but for muffins).
Energy: CFIA average factors 4, 9, 4; dietary fibre 2 kcal/g (Health Canada, 2012); polyols from memory.
"""

from datetime import date

import pytest

from labelgen.market.declare_food import declare
from labelgen.order import Order
from labelgen.recipe.models import IngredientSpec
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 11, 25)
NUMBERS = ("FAT", "FASAT", "FATRN", "CHOCDF", "FIBTG", "SUGAR", "PROCNT", "CHOLE", "NA", "K", "CA", "FE")


def declared(pack_g, per_100g, pieces, on=ON, lines=(), **about):
    """The declaration of a pack [g] whose figures are given per 100 g in the order of NUMBERS, or by key."""
    figures = per_100g if isinstance(per_100g, dict) else dict(zip(NUMBERS, per_100g, strict=True))
    lines = [line(n, g, water=1) for n, g in lines or (("flour", 60), ("butter", 40))]
    kitchen = KITCHEN.model_copy(
        update={
            "ingredients": {
                i.ingredient.name: IngredientSpec(name=i.ingredient.name, print_name=i.ingredient.print_name)
                for i in lines
            }
        }
    )
    also = {"fr": {"name": "Chose", "unit": about.pop("unit_fr", "biscuit")}}
    made = profile(amounts(pack_g, **{k: v * pack_g / 100 for k, v in figures.items()}), pieces, lines)
    return declare(made, product(also=also, **about), kitchen, Order("ca", on))


def rows(panel):
    return [(r.label, r.declared, r.percent) for r in panel.columns[0].rows]


def needs_symbol(declaration):
    return [f.message for f in declaration.findings if f.code == "not-ready-nutrition-symbol"]


def test_biscuits_of_25_g():
    """Twelve biscuits of 25 g; reference amount 30 g: 25/30 = 0.83, so one biscuit is the serving.

    Per 25 g: fat 20/4 = 5 g; saturated 8/4 = 2 g; trans 0.4/4 = 0.1 g; carbohydrate 62/4 = 15.5 -> 16 g;
    fibre 1 g; sugars 7.5 -> 8 g; protein 1.5 -> 2 g; cholesterol 15 mg; sodium 80 mg; potassium 45 -> 50 mg
    (half goes up); calcium 7.5 -> 10 mg; iron 0.5 mg.
    Percent: 5/75 = 6.7 -> 7; (2 + 0.1)/20 = 10.5 -> 11; 1/28 = 3.6 -> 4; 7.5/100 = 7.5 -> 8; from the rounded
    amount 80/2300 = 3.5 -> 3; 50/3400 = 1.5 -> 1; 10/1300 = 0.8 -> 1; 0.5/18 = 2.8 -> 3.
    Energy: 4 x 1.5 + 9 x 5 + 4 x (15.5 - 1) + 2 x 1 = 6 + 45 + 58 + 2 = 111 -> 110.
    """
    label = declared(300, (20, 8, 0.4, 62, 4, 30, 6, 60, 320, 180, 30, 2), 12, category="cookies")
    assert (label.panel.serving.household, label.panel.serving.metric) == ("1 cookie", "25 g")
    assert rows(label.panel) == [
        ("Calories", "110", ""),
        ("Fat", "5 g", "7%"),
        ("Saturated", "2 g", ""),
        ("+ Trans", "0.1 g", ""),
        ("Saturated + Trans", "", "11%"),
        ("Carbohydrate", "16 g", ""),
        ("Fibre", "1 g", "4%"),
        ("Sugars", "8 g", "8%"),
        ("Protein", "2 g", ""),
        ("Cholesterol", "15 mg", ""),
        ("Sodium", "80 mg", "3%"),
        ("Potassium", "50 mg", "1%"),
        ("Calcium", "10 mg", "1%"),
        ("Iron", "0.5 mg", "3%"),
    ]
    french = label.panel.second
    assert (french.title, french.serving_heading, french.serving.household) == (
        "Valeur nutritive",
        "pour",
        "1 biscuit",
    )
    assert [r[0] for r in rows(french)] == [
        "Calories",
        "Lipides",
        "saturés",
        "+ trans",
        "saturés + trans",
        "Glucides",
        "Fibres",
        "Sucres",
        "Protéines",
        "Cholestérol",
        "Sodium",
        "Potassium",
        "Calcium",
        "Fer",
    ]
    assert [r[1:] for r in rows(french)] == [r[1:] for r in rows(label.panel)]
    assert label.panel.footnote == "*5% or less is a little, 15% or more is a lot"
    assert french.footnote == "*5 % ou moins c’est peu, 15 % ou plus c’est beaucoup"
    assert "".join(r.text for r in label.second.ingredients) == "Ingrédients : Farine, Beurre."
    assert label.net_quantity == "300 g"
    # the symbol is judged by 30 g: 8 x 0.3 = 2.4 g saturated fat = 12 % of 20 g, above 10 %; 30 x 0.3 = 9 g
    # sugars = 9 %, below
    (message,) = needs_symbol(label)
    assert "Sat fat 2.4 g, 12.0 %" in message and "Sugars" not in message


def test_the_same_biscuits_with_less_butter_need_no_symbol():
    """6.6 g of saturated fat per 100 g: 1.98 g in 30 g, 9.9 % of 20 g, just below 10 %; it is told as near
    the limit.
    """
    label = declared(300, (20, 6.6, 0.4, 62, 4, 30, 6, 60, 320, 180, 30, 2), 12, category="cookies")
    assert not needs_symbol(label) and any(f.code == "symbol-near" for f in label.findings)


@pytest.mark.parametrize(
    "piece, household, metric, calories, fat, sugars",
    [
        # 2 x 109 = 218 g is below 2 x 110 g: the pack is one serving. Energy per 100 g:
        # 4 x 5 + 9 x 12 + 4 x (50 - 2) + 2 x 2 = 20 + 108 + 192 + 4 = 324; x 2.18 = 706.3 -> 710. Fat 26.2 ->
        # 26 g, 26.16/75 = 34.9 -> 35 %.
        # Sugars 54.5 -> 55 g, 54.5 -> 55 %.
        (109, "1 package", "218 g", "710", ("26 g", "35%"), ("55 g", "55%")),
        # 2 x 110 = 220 g is not: one muffin of 110 g. Energy 324 x 1.1 = 356.4 -> 360. Fat 13.2 -> 13 g,
        # 13.2/75 = 17.6 -> 18 %.
        # Sugars 27.5 -> 28 g, 27.5 -> 28 %.
        (110, "1 muffin", "110 g", "360", ("13 g", "18%"), ("28 g", "28%")),
    ],
)
def test_two_muffins_on_both_sides_of_two_reference_amounts(piece, household, metric, calories, fat, sugars):
    label = declared(
        2 * piece,
        (12, 2, 0, 50, 2, 25, 5, 40, 310, 120, 60, 1.5),
        2,
        category="muffins",
        unit="muffin",
        unit_fr="muffin",
    )
    serving = label.panel.serving
    assert (serving.household, serving.metric, serving.single) == (
        household,
        metric,
        household == "1 package",
    )
    found = {r[0]: r[1:] for r in rows(label.panel)}
    assert (found["Calories"][0], found["Fat"], found["Sugars"]) == (calories, fat, sugars)
    assert (
        label.panel.second.serving.household
        == {"1 package": "1 emballage", "1 muffin": "1 muffin"}[household]
    )


def test_a_bar_with_fibre_and_two_polyols():
    """Ten bars of 40 g. Per 40 g: protein 4, fat 10, carbohydrate 22 of which fibre 8, maltitol 6, erythritol
    3.

    Energy: 4 x 4 + 9 x 10 + 4 x (22 - 8 - 6 - 3) + 2 x 8 + 3 x 6 + 0.2 x 3 = 16 + 90 + 20 + 16 + 18 + 0.6 =
    160.6 -> 160. Counting fibre and polyols as carbohydrate would give 16 + 90 + 88 = 194.
    """
    per_40 = {
        "PROCNT": 4,
        "FAT": 10,
        "FASAT": 1,
        "CHOCDF": 22,
        "FIBTG": 8,
        "MALTITOL": 6,
        "ERYTHRITOL": 3,
        "POLYL": 9,
        "SUGAR": 2,
    }
    label = declared(
        400,
        {k: v * 2.5 for k, v in per_40.items()},
        10,
        category="grain_bars_filled",
        unit="bar",
        unit_fr="barre",
    )
    found = {r[0]: r[1:] for r in rows(label.panel)}
    assert label.panel.serving.metric == "40 g" and found["Calories"] == ("160", "")
    assert found["Fibre"] == ("8 g", "29%") and found["Carbohydrate"] == ("22 g", "")  # 8/28 = 28.6
    assert found["Sugar Alcohols"] == ("9 g", "") and "Polyalcools" in [
        r[0] for r in rows(label.panel.second)
    ]
    # one polyol alone goes by its name
    per_40 |= {"MALTITOL": 0, "POLYL": 3}
    label = declared(
        400,
        {k: v * 2.5 for k, v in per_40.items()},
        10,
        category="grain_bars_filled",
        unit="bar",
        unit_fr="barre",
    )
    assert {"Erythritol", "Érythritol"} <= {r[0] for r in rows(label.panel) + rows(label.panel.second)}


def test_the_simplified_table():
    """B.01.401(6): at least six of calories and twelve nutrients may be 0; serving, calories, fat,
    carbohydrate, protein and what is not 0 stay, and one statement names the rest.

    Sugar sweets of 5 g, three of them 15 g: fat, saturated, trans, fibre, protein, cholesterol, sodium,
    calcium and iron are 0, and 3 mg of potassium are below 5 mg: ten zeros. Energy 4 x 14.7 = 58.8 -> 60;
    sugars 14.25 -> 14 g, 14 %.
    """
    label = declared(
        150,
        {"CHOCDF": 98, "SUGAR": 95, "K": 20},
        30,
        category="candies_hard",
        unit="sweet",
        unit_fr="bonbon",
        show=["shortest panel"],
    )
    assert rows(label.panel) == [
        ("Calories", "60", ""),
        ("Fat", "0 g", "0%"),
        ("Carbohydrate", "15 g", ""),
        ("Sugars", "14 g", "14%"),
        ("Protein", "0 g", ""),
    ]
    assert label.panel.foot == (
        (
            "Not a significant source of saturated fat, trans fat, fibre, cholesterol, sodium, potassium,"
            " calcium or iron"
        ),
    )
    assert label.panel.second.foot == (
        (
            "Source négligeable de lipides saturés, lipides trans, fibres, cholestérol, sodium, potassium,"
            " calcium ou fer"
        ),
    )


def test_no_simplified_table_with_five_zeros():
    """Fat, saturated, trans, fibre and cholesterol are 0: five of thirteen, one short of six; nothing is
    left out, and it is said.
    """
    label = declared(
        300, (0, 0, 0, 80, 0, 40, 6, 0, 320, 180, 30, 2), 10, category="cookies", show=["shortest panel"]
    )
    assert len(rows(label.panel)) == 14 and label.panel.foot == ()
    assert [f.code for f in label.findings if f.code == "panel-not-short"] == ["panel-not-short"]
    label = declared(
        300, (0, 0, 0, 80, 0, 40, 6, 0, 320, 180, 0, 2), 10, category="cookies", show=["shortest panel"]
    )
    assert label.panel.foot == (
        "Not a significant source of saturated fat, trans fat, fibre, cholesterol or calcium",
    )


@pytest.mark.parametrize(
    "sodium, text",
    # crackers of 8 g, two of them 16 g nearest to the reference amount of 20 g (20/8 = 2.5 -> 3 by the half):
    # 3 x 8 = 24 g
    # 20 mg per 100 g: 4.8 mg in 24 g, free of sodium; 20.9: 5.016 mg, not free, and not below 5 either
    [(20.0, "0 mg"), (20.9, "5 mg")],
)
def test_sodium_free_by_serving_and_reference_amount(sodium, text):
    label = declared(
        240, {"NA": sodium, "CHOCDF": 70}, 30, category="crackers", unit="cracker", unit_fr="craquelin"
    )
    assert label.panel.serving.metric == "24 g" and {r[0]: r[1] for r in rows(label.panel)}["Sodium"] == text


def test_sodium_of_a_serving_below_the_reference_amount():
    """One biscuit of 22 g for the reference amount of 30 g; 18 mg per 100 g: 3.96 mg in 22 g, but 5.4 mg
    in 30 g: not free.
    """
    label = declared(220, {"NA": 18.0, "CHOCDF": 70}, 10, category="cookies")
    assert (
        label.panel.serving.metric == "22 g" and {r[0]: r[1] for r in rows(label.panel)}["Sodium"] == "4 mg"
    )
    # 16 mg per 100 g are 4.8 mg in 30 g: free
    label = declared(220, {"NA": 16.0, "CHOCDF": 70}, 10, category="cookies")
    assert {r[0]: r[1] for r in rows(label.panel)}["Sodium"] == "0 mg"


def test_trans_free_needs_low_saturates():
    """Thirty grams with 0.15 g trans and 1.5 g saturated fat: together 1.65 g, 14.85 kcal.

    With 20 g of starch and 5 g of fat the energy is 80 + 45 = 125 kcal, of which 11.9 %: low in saturates, so
    "0 g". With 5 g of starch it is 65 kcal, of which 22.8 %: not low, so 0.15 -> "0.2 g".
    """

    def trans(starch):
        per_30 = {"FAT": 5, "FASAT": 1.5, "FATRN": 0.15, "CHOCDF": starch}
        label = declared(300, {k: v / 0.3 for k, v in per_30.items()}, 10, category="cookies")
        return {r[0]: r[1] for r in rows(label.panel)}["+ Trans"]

    assert (trans(20), trans(5)) == ("0 g", "0.2 g")


def test_potassium_percent_before_and_after_the_daily_value_changed():
    """340 mg in 30 g, declared as 350: 350/4700 = 7.4 -> 7 % by the table of 2016, 350/3400 = 10.3 -> 10 %
    from 20 October 2022.
    """

    def percent(day):
        label = declared(300, {"K": 340 / 0.3, "CHOCDF": 60}, 10, on=day, category="cookies")
        return {r[0]: r[2] for r in rows(label.panel)}["Potassium"]

    assert (percent(date(2022, 10, 19)), percent(date(2022, 10, 20))) == ("7%", "10%")


def test_dates_are_year_month_code_day():
    """B.01.007: 2026 JN 30; the month codes JA FE MR AL MA JN JL AU SE OC NO DE."""
    from labelgen.law.pack import read_pack
    from labelgen.market.dates import declare_dates

    pack = read_pack("ca", ON)

    def line_of(made):
        return declare_dates(pack, product(best_before="30 days"), made, "")[0][0]

    assert line_of(date(2026, 5, 31)) == "Best before / Meilleur avant 2026 JN 30"
    codes = [line_of(date(2026, month, 1)).split()[-2] for month in range(1, 13)]
    # 30 days after the first of each month
    assert codes == ["JA", "MR", "MR", "MA", "MA", "JL", "JL", "AU", "OC", "OC", "DE", "DE"]


def test_one_language_is_the_makers_word_and_its_condition():
    """B.01.012(3): one language alone only for local food and the like; the finding says so and does not
    decide.
    """
    base = KITCHEN.model_copy(update={"ingredients": {"flour": IngredientSpec(name="flour")}})
    made = profile(amounts(300, CHOCDF=200), 10, [line("flour", 300, water=1)])
    both = declare(made, product(category="cookies"), base, Order("ca", ON))
    assert both.second is not None and any(f.code == "wording-missing" and f.blocks for f in both.findings)
    english = declare(
        made, product(category="cookies"), base.model_copy(update={"languages": ("en",)}), Order("ca", ON)
    )
    assert english.second is None and english.panel.second is None
    (told,) = [f for f in english.findings if f.code == "one-language"]
    assert "10 %" in told.message and not any(f.code == "wording-missing" for f in english.findings)
    french = declare(
        made,
        product(category="cookies", also={"fr": {"name": "Chose", "unit": "biscuit"}}),
        base.model_copy(update={"languages": ("fr",)}),
        Order("ca", ON),
    )
    assert french.panel.title == "Valeur nutritive" and french.identity == "Chose"


def test_claims_are_judged_in_the_makers_words_and_printed_in_both_languages():
    """Bran biscuits of 30 g with 12 g of fibre per 100 g: 3.6 g, above the 2 g of "source of fibre"; sugar
    is an added sugar in French as well as in English, so "no added sugar" is refused in both.
    """
    about = {"category": "cookies", "claims": ["source of fibre", "no added sugar"]}
    label = declared(
        300,
        {"CHOCDF": 60, "FIBTG": 12, "SUGAR": 20, "SUGAD": 20},
        10,
        lines=(("flour", 200), ("sugar", 60)),
        **about,
    )
    assert [c.text for c in label.claims] == ["Source of fibre"] and [
        c.text for c in label.second.claims
    ] == ["Source de fibres"]
    assert [f.code for f in label.findings if f.blocks] == ["claim-refused"]


def test_polydextrose_and_aspartame_are_told():
    """B.16.017: grams of polydextrose in a serving: 20 g per 100 g are 6 g in 30 g. B.16.016:
    phenylalanine, in bold right after the list.
    """
    label = declared(
        300,
        {"CHOCDF": 60, "FIBTG": 20, "POLYDEXTROSE": 20},
        10,
        category="cookies",
        lines=(("flour", 200), ("aspartame", 1)),
    )
    assert label.advisories == ("6 g polydextrose per serving",) and label.second.advisories == (
        "6 g de polydextrose par portion",
    )
    assert (label.ingredients[-1].text, label.ingredients[-1].bold) == (
        " Aspartame contains phenylalanine.",
        True,
    )
    # energy: 4 x (18 - 6) + 2 x (6 - 6) + 1 x 6 = 54 -> 50
    assert rows(label.panel)[0] == ("Calories", "50", "")
