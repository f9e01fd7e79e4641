"""The declaration whole: dates, business lines, precautions, warnings, and the findings that stop a label."""

from datetime import date

import pytest

from labelgen.law.pack import read_pack
from labelgen.market.dates import best_before, declare_dates
from labelgen.market.declare_food import declare
from labelgen.order import Order
from labelgen.recipe.models import Producer
from tests.market.foods import KITCHEN, amounts, kitchen, line, product, profile

ON = date(2026, 12, 1)


def declaration(home=KITCHEN, lines=(), pack=None, on=ON, **more):
    pack = pack or amounts(240, FAT=50, CHOCDF=150, PROCNT=15)
    extra = {k: more.pop(k) for k in ("lot", "made_on") if k in more}
    thing = product(**{"pieces": 8, "category": "cookies", "storage": "Keep dry.", **more})
    return declare(profile(pack, 8, lines), thing, home, Order("us", on, **extra))


def test_everything_a_label_says():
    d = declaration(
        identity="Oat cookies",
        best_before="2 weeks",
        made_on=date(2026, 12, 1),
        lot="A7",
        lines=[line("oats", 150), line("milk", 90, contains=["milk"])],
    )
    assert (d.identity, d.net_quantity, d.net_grams) == ("Oat cookies", "Net Wt 8.4 oz (240g)", 240.0)
    assert d.business == ("Example Hill Bakes", "1 Example Hill, Sampleton") and d.storage == "Keep dry."
    assert d.dates == ("Best before 15 Dec 2026", "Lot A7")
    assert "".join(r.text for r in d.ingredients) == "Ingredients: oats, milk."
    assert "milk" in {h.allergen for h in d.contains} and "Milk" in "".join(r.text for r in d.allergens)
    assert not [f for f in d.findings if f.blocks]


@pytest.mark.parametrize(
    "text, made, last",
    [
        ("14 days", date(2026, 12, 20), date(2027, 1, 3)),
        ("6 weeks", date(2026, 12, 1), date(2027, 1, 12)),
        ("1 day", date(2028, 2, 28), date(2028, 2, 29)),
        ("3 months", date(2026, 11, 30), date(2027, 2, 28)),
        ("1 year", date(2028, 2, 29), date(2029, 2, 28)),
        ("12 months", date(2026, 12, 31), date(2027, 12, 31)),
        ("soon", ON, None),
        ("0 days", ON, None),
        ("9999 weeks", ON, None),
        ("-3 days", ON, None),
        ("2.5 days", ON, None),
    ],
)
def test_shelf_life(text, made, last):
    assert best_before(text, made) == last


def test_dates_are_printed_only_when_known():
    lines, found = declare_dates(read_pack("us", ON), product(best_before="14 days"), None, "")
    assert lines == () and [(f.code, f.severity) for f in found] == [("date-left-out", "note")]
    assert declare_dates(read_pack("us", ON), product(best_before="soon"), ON, "")[1][0].code == "best-before"
    assert declare_dates(read_pack("us", ON), product(), ON, "")[0] == ("Made on 1 Dec 2026",)


def test_the_makers_precaution_never_replaces_the_suppliers():
    from dataclasses import replace

    from labelgen.composition.ingredient_records import AllergenHit

    plain = line("chocolate", 240)
    warned = replace(
        plain,
        ingredient=replace(
            plain.ingredient, may_contain=(AllergenHit("peanut", "packet", "chocolate", how="declaration"),)
        ),
    )
    d = declaration(lines=[warned], precaution="Made in a kitchen that also handles sesame.")
    assert (
        any("Peanut" in a for a in d.advisories)
        and "Made in a kitchen that also handles sesame." in d.advisories
    )


def test_cross_contact_is_asked_about():
    home = KITCHEN.model_copy(update={"handles": ("milk", "peanut", "sesame")})
    found = [
        f
        for f in declaration(home, [line("milk", 240, contains=["milk"])]).findings
        if f.code == "cross-contact"
    ]
    assert len(found) == 1 and "peanut, sesame" in found[0].message and "milk," not in found[0].message


@pytest.mark.parametrize(
    "name, address, lacking",
    [("", "1 Example Hill", "name"), ("Example Hill Bakes", "", "address"), ("", "", "name and address")],
)
def test_no_business_no_label(name, address, lacking):
    home = KITCHEN.model_copy(update={"producer": Producer(name=name, address=address)})
    found = [f for f in declaration(home).findings if f.code == "no-producer"]
    assert found[0].blocks and f"producer's {lacking}:" in found[0].message


def test_the_role_stands_before_the_name():
    home = KITCHEN.model_copy(
        update={
            "producer": Producer(
                name="Example Hill Bakes", address="x", role="Distributed by", email="a@example.org"
            )
        }
    )
    assert declaration(home).business == ("Distributed by Example Hill Bakes", "x", "a@example.org")


@pytest.mark.parametrize(
    "figures, statement, advice",
    [
        # 184.1835(e): 50 g sorbitol; 180.25(e): 20 g mannitol; 172.804(d)(2): aspartame
        ({"SORBITOL": 50.0}, "", "Excess consumption may have a laxative effect"),
        ({"SORBITOL": 49.9}, "", None),
        ({"MANNITOL": 20.0}, "", "Excess consumption may have a laxative effect"),
        ({}, "sweetener (aspartame), dextrose", "PHENYLKETONURICS: CONTAINS PHENYLALANINE"),
        ({}, "dextrose", None),
        # 172.841(e): more than 15 g polydextrose in a serving of 30 g, an eighth of the pack
        (
            {"POLYDEXTROSE": 8 * 15.1},
            "",
            (
                "Sensitive individuals may experience a laxative effect from excessive consumption of this"
                " product"
            ),
        ),
        ({"POLYDEXTROSE": 8 * 15.0}, "", None),
    ],
)
def test_compulsory_warnings(figures, statement, advice):
    d = declaration(
        kitchen(specs=[("sweetener", statement)]), [line("sweetener", 240)], amounts(240, **figures)
    )
    assert d.advisories == ((advice,) if advice else ())


def test_a_permit_and_directions_are_printed():
    home = KITCHEN.model_copy(
        update={"producer": Producer(name="Hill", address="x", permit="Registration No. 1234")}
    )
    assert declaration(home).business == ("Hill", "x", "Registration No. 1234")
    assert "Bake 20 minutes at 180 °C." in declaration(directions="Bake 20 minutes at 180 °C.").advisories
