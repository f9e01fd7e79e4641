"""Declarations of invented foods, for the lay-out and PDF tests. No figure here stands for a real product."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from labelgen.market.declaration_records import Claim, Column, Declaration, Panel, Row, Run, Serving

ON = date(2026, 11, 25)
FOOTNOTE = (
    "*The % Daily Value tells you how much a nutrient in a serving of food contributes to a daily diet. "
    "2,000 calories a day is used for general nutrition advice."
)


def row(key, label, declared, percent="", indent=0, bold=False, group="main"):
    return Row(key, key, label, declared, percent, indent, bold, "g", 0.0, 0.0, 0.0, True, 1.0, group, "test")


def rows(factor=1):
    """The full mandatory list. ``factor`` only makes the second column of a dual panel differ."""

    def g(amount, unit="g"):
        return f"{round(amount * factor)}{unit}"

    def p(percent):
        return f"{round(percent * factor)}%"

    return (
        row("calories", "Calories", g(160, ""), group="head", bold=True),
        row("total_fat", "Total Fat", g(8), p(10), bold=True),
        row("saturated_fat", "Saturated Fat", g(4), p(20), 1),
        row("trans_fat", "Trans Fat", g(0), "", 1),
        row("cholesterol", "Cholesterol", g(15, "mg"), p(5), bold=True),
        row("sodium", "Sodium", g(120, "mg"), p(5), bold=True),
        row("total_carbohydrate", "Total Carbohydrate", g(21), p(8), bold=True),
        row("dietary_fiber", "Dietary Fiber", "less than 1g" if factor == 1 else g(1), p(3), 1),
        row("total_sugars", "Total Sugars", g(10), "", 1),
        row("added_sugars", "Includes {amount} Added Sugars", g(9), p(18), 2),
        row("protein", "Protein", g(2), "", bold=True),
        row("vitamin_d", "Vitamin D", "0mcg", "0%", group="micro"),
        row("calcium", "Calcium", g(20, "mg"), p(2), group="micro"),
        row("iron", "Iron", g(1, "mg"), p(6), group="micro"),
        row("potassium", "Potassium", g(80, "mg"), p(2), group="micro"),
    )


def panel(columns=None, foot=(), per_container="about 6 servings per container", single=False):
    serving = Serving("2 biscuits", "30g", "" if single else per_container, 30.4, 5.9, single, "test")
    return Panel(
        "Nutrition Facts",
        serving,
        columns or (Column("", 30.4, rows()),),
        tuple(foot),
        FOOTNOTE,
        "general",
        "% Daily Value*",
        "Amount per serving",
        serving_heading="Serving size",
        percent_short="% DV*",
    )


def dual_panel():
    """Two columns, per serving and per container."""
    return panel(
        (Column("Per serving", 30.4, rows()), Column("Per container", 76.0, rows(2.5))),
        per_container="2.5 servings per container",
    )


def declaration(**changes):
    """A plain biscuit, complete."""
    plain = Declaration(
        market="us",
        on=ON,
        product="lantern-biscuits",
        identity="Lantern Biscuits",
        panel=panel(),
        ingredients=(
            Run("Ingredients: ", bold=True),
            Run(
                "wheat flour, butter (cream, salt), sugar, hazelnuts, eggs, dark chocolate (cocoa mass,"
                " sugar, cocoa butter, soy lecithin, vanilla), salt."
            ),
        ),
        entries=(),
        allergens=(Run("Contains: ", bold=True), Run("Wheat, Milk, Hazelnuts, Egg, Soy.")),
        contains=(),
        may_contain=(),
        advisories=("Made in a kitchen that also handles peanuts and sesame.",),
        net_quantity="Net Wt 6.3 oz (180g)",
        net_grams=180.0,
        business=("Example Hill Bakes", "1 Example Hill, Sampleton, VT 05000"),
        storage="Keep airtight in a cool, dry place.",
        dates=("Best before 9 December 2026", "Lot 2611-A"),
    )
    return replace(plain, **changes)


def short():
    """As little as a label can say."""
    return declaration(
        identity="Oat Thins",
        ingredients=(Run("Ingredients: ", bold=True), Run("rolled oats, honey, salt.")),
        allergens=(),
        advisories=(),
        storage="",
        dates=(),
        net_quantity="Net Wt 2 oz (56g)",
        net_grams=56.7,
        panel=panel(single=True),
    )


def long_statement():
    """Forty nested ingredients."""
    names = (
        "wheat flour",
        "butter (cream, salt)",
        "brown sugar (sugar, molasses)",
        "almond paste (almonds, sugar, water)",
        (
            "dark chocolate (cocoa mass, sugar, cocoa butter, emulsifier [soy lecithin], natural vanilla"
            " flavor)"
        ),
    )
    text = ", ".join(f"{names[n % 5]} number {n + 1}" for n in range(40))
    return declaration(ingredients=(Run("Ingredients: ", bold=True), Run(text + ".")))


def long_name():
    return declaration(
        identity="Twice-Baked Hazelnut, Orange Peel and Dark Chocolate Harvest Biscuits with Toasted Sesame"
    )


def european():
    """Letters outside ASCII, in two weights."""
    return declaration(
        identity="Crème brûlée-Plätzchen à la Łódź",
        ingredients=(
            Run("Ingredients: ", bold=True),
            Run("Weißmehl ("),
            Run("wheat", bold=True),
            Run("), smør, piñones, crème fraîche, śmietana, žitná mouka, ½ egg, 70 % cocoa, «orange» peel."),
        ),
        business=("Bäckerei Beispielhügel", "Straße 1, Århus, Curaçao"),
    )


def with_claims():
    return declaration(
        claims=(
            Claim("low sodium", True, "Low Sodium", "120 mg per 30 g", ()),
            Claim("good source of fiber", False, "Good Source of Fiber", "1 g"),
            Claim(
                "no saturated fat",
                True,
                "Made with Whole Grains",
                "x",
                ("See nutrition information for fat content.",),
            ),
        )
    )


EVERY = {
    "plain": declaration,
    "short": short,
    "long_statement": long_statement,
    "long_name": long_name,
    "european": european,
    "with_claims": with_claims,
    "dual": lambda: declaration(panel=dual_panel()),
    "foot": lambda: declaration(
        panel=panel(foot=("Not a significant source of trans fat, vitamin D and calcium.",))
    ),
}


def plain_row(key, label, declared, percent="", indent=0, group="main"):
    return row(key, label, declared, percent, indent, group=group)


def energy_rows(label, first, second, percent=""):
    """An energy in two units: the second stands in the line of the first."""
    return (
        plain_row("energy", label, first, percent, group="head"),
        replace(plain_row("energy_2", label, second, group="head"), joined=True),
    )


def eu_rows(energy=("2045 kJ", "489 kcal"), ri=False, factor=1.0):
    def g(amount):
        return f"{amount * factor:.2g} g"

    def p(percent):
        return f"{percent * factor:.0f} %" if ri else ""

    return (
        *energy_rows("energy", *energy, p(24)),
        plain_row("fat", "fat", g(24), p(34)),
        plain_row("saturates", "of which saturates", g(9.5), p(48), 1),
        plain_row("carbohydrate", "carbohydrate", g(58), p(22)),
        plain_row("sugars", "of which sugars", g(27), p(30), 1),
        plain_row("fibre", "fibre", g(3.1)),
        plain_row("protein", "protein", g(6.7), p(13)),
        plain_row("salt", "salt", "0.42 g" if factor == 1 else "<0.01 g", p(7)),
    )


def eu_panel(portion=False, ri=False):
    """Per 100 g, and per portion with percentages of the reference intake when asked."""
    columns = (Column("per 100 g", 100.0, eu_rows()),)
    caption = ()
    if portion:
        columns += (Column("per biscuit (15 g)", 15.0, eu_rows(("307 kJ", "73 kcal"), ri, 0.15)),)
        caption = ("This pack contains 12 biscuits.",)
    serving = Serving("", "", "", 15.0, 12.0, False, "test")
    foot = "*Reference intake of an average adult (8 400 kJ/2 000 kcal)" if ri else ""
    return Panel(
        "Nutrition declaration",
        serving,
        columns,
        (),
        foot,
        "annex",
        "% RI*",
        "",
        caption,
        " / ",
        "Typical values",
    )


def anz_rows(energy, daily=False, factor=1.0):
    def g(amount):
        text = f"{amount * factor:.1f}"
        return "LESS THAN 1 g" if float(text) < 1 else f"{text} g"

    def p(percent):
        return f"{percent}%" if daily else ""

    return (
        *energy_rows("Energy", *energy, p(6)),
        plain_row("protein", "Protein", g(6.4), p(4)),
        plain_row("fat", "Fat, total", g(24.2), p(9)),
        plain_row("saturated", "– saturated", g(11.8), p(13), 1),
        plain_row("carbohydrate", "Carbohydrate", g(59.3), p(5)),
        plain_row("sugars", "– sugars", g(28.0), p(8), 1),
        plain_row("sodium", "Sodium", f"{300 * factor:.0f} mg", p(4)),
    )


def anz_panel(daily=False):
    """The nutrition information panel of Schedule 12, with the daily-intake column when asked."""
    serving = Serving("", "25 g", "Servings per package: 6", 25.0, 6.0, False, "test")
    caption = ("Servings per package: 6", "Serving size: 25 g")
    columns = (
        Column("Average quantity per serving", 25.0, anz_rows(("505 kJ", "(121 Cal)"), daily, 0.25)),
        Column("Average quantity per 100 g", 100.0, anz_rows(("2020 kJ", "(483 Cal)"))),
    )
    foot = "* Percentage daily intakes are based on an average adult diet of 8 700 kJ." if daily else ""
    return Panel(
        "NUTRITION INFORMATION",
        serving,
        columns,
        (),
        foot,
        "s11",
        "% Daily intake* (per serving)",
        "",
        caption,
        " ",
    )


def ca_rows(french=False, sodium="120 mg"):
    def w(english, other):
        return other if french else english

    return (
        row("calories", "Calories", "160", group="head", bold=True),
        row("fat", w("Fat", "Lipides"), "8 g", "11%", bold=True),
        row("saturated", w("Saturated", "saturés"), "4 g", indent=1),
        row("trans", w("+ Trans", "+ trans"), "0.2 g", indent=1),
        replace(row("sat_plus_trans", w("Saturated + Trans", "saturés + trans"), "", "21%", 1), spans=2),
        row("carbohydrate", w("Carbohydrate", "Glucides"), "21 g", bold=True),
        row("fibre", w("Fibre", "Fibres"), "1 g", "4%", 1),
        row("sugars", w("Sugars", "Sucres"), "10 g", "10%", 1),
        row("protein", w("Protein", "Protéines"), "2 g", bold=True),
        row("cholesterol", w("Cholesterol", "Cholestérol"), "15 mg", bold=True),
        row("sodium", "Sodium", sodium, "5%", bold=True),
        row("potassium", "Potassium", "75 mg", "2%", group="micro"),
        row("calcium", "Calcium", "20 mg", "2%", group="micro"),
        row("iron", w("Iron", "Fer"), "1 mg", "6%", group="micro"),
    )


def ca_panel(bilingual=True):
    """The Canadian table; in English, or in English with the same in French."""

    def one(french):
        serving = Serving("2 biscuits" if french else "2 cookies", "30 g", "", 30.4, 5.9, False, "test")
        words = (
            (
                "Valeur nutritive",
                "*5 % ou moins c’est peu, 15 % ou plus c’est beaucoup",
                "% valeur quotidienne*",
                "pour",
                "% VQ*",
            )
            if french
            else (
                "Nutrition Facts",
                "*5% or less is a little, 15% or more is a lot",
                "% Daily Value*",
                "Per",
                "% DV*",
            )
        )
        return Panel(
            words[0],
            serving,
            (Column("", 30.4, ca_rows(french)),),
            (),
            words[1],
            "general",
            words[2],
            "",
            serving_heading=words[3],
            percent_short=words[4],
        )

    return replace(one(False), second=one(True)) if bilingual else one(False)


def assortment(foods):
    """An aggregate panel of invented foods."""
    names = ("Lantern Biscuits", "Oat Thins", "Salted Caramels with Toasted Hazelnuts", "Nut Clusters")
    columns = tuple(
        Column(
            f"{names[n % 4]} {n // 4 + 1}" if n > 3 else names[n],
            30.0 + n,
            rows(1 + n / 10),
            serving=Serving(
                f"{n % 3 + 1} pieces",
                f"{30 + n}g",
                "about 4 servings per container",
                30.0 + n,
                4.0,
                False,
                "test",
            ),
        )
        for n in range(foods)
    )
    return panel(columns)


def fortified():
    """A United States panel with voluntary rows and ten vitamins and minerals."""
    plain = panel()
    head, *rest = plain.columns[0].rows
    main = [r for r in rest if r.group == "main"]
    names = ("Vitamin A", "Vitamin C", "Vitamin E", "Thiamin", "Riboflavin", "Niacin")
    more = tuple(row(n.lower().replace(" ", "_"), n, "1.2mg", "10%", group="micro") for n in names)
    extra = (
        row("polyunsaturated_fat", "Polyunsaturated Fat", "1g", "", 1),
        row("monounsaturated_fat", "Monounsaturated Fat", "3g", "", 1),
        row("soluble_fiber", "Soluble Fiber", "1g", "", 2),
        row("sugar_alcohol", "Sugar Alcohol", "2g", "", 1),
    )
    saturated = row(
        "calories_from_saturated_fat", "Calories from Saturated Fat", "35", indent=1, group="head"
    )
    made = (
        head,
        saturated,
        *main[:3],
        *extra[:2],
        *main[3:7],
        extra[2],
        *main[7:9],
        extra[3],
        *main[9:],
        *(r for r in rest if r.group == "micro"),
        *more,
    )
    return panel((Column("", 30.4, made),))


def german_panel():
    """Long names, decimal commas, a portion and percentages."""
    given = eu_panel(True, True)
    names = {
        "energy": "Brennwert",
        "fat": "Fett",
        "saturates": "davon – einfach ungesättigte Fettsäuren",
        "carbohydrate": "Kohlenhydrate",
        "sugars": "davon – Zucker",
        "fibre": "Ballaststoffe",
        "protein": "Eiweiß",
        "salt": "Salz",
    }
    columns = tuple(
        replace(
            c,
            heading=heading,
            rows=tuple(
                replace(r, label=names.get(r.key, r.label), declared=r.declared.replace(".", ","))
                for r in c.rows
            ),
        )
        for c, heading in zip(given.columns, ("je 100 g", "je Portion (1 Teilchen, 15 g)"))
    )
    return replace(
        given,
        title="Nährwertdeklaration",
        columns=columns,
        caption=("Diese Packung enthält 12 Portionen.",),
        footnote="*Referenzmenge für einen durchschnittlichen Erwachsenen (8 400 kJ/2 000 kcal)",
        names_heading="Durchschnittliche Nährwerte",
    )
