"""``labelgen panel --market all`` and ``labelgen law``, as a maker types them."""

import json
from datetime import date

import pytest

from labelgen.cli import main
from labelgen.law.citations import sources
from labelgen.law.figure_tables import ReferenceAmount
from labelgen.law.pack import Pack
from labelgen.law.registry import markets
from tests.kitchens import write

INGREDIENTS = "oats: {print: oats, food: usda/20038}\nbutter: {print: butter, food: usda/01145}\n"
RECIPES = (
    "formulations:\n  d: {ingredients: [60 g oats, 40 g butter], makes: 4}\nproducts:\n  thins: {name:"
    " Butter thins, of: d, pieces: 4, unit: thin, serving: 2 thin, category: cookies}\n"
)


@pytest.fixture
def kitchen(tmp_path):
    return str(write(tmp_path, INGREDIENTS, RECIPES))


def test_every_market_side_by_side(kitchen, capsys):
    main(["panel", "thins", "--kitchen", kitchen, "--market", "all"])
    heads, *lines, _last = capsys.readouterr().out.splitlines()
    assert (
        all(f"  {m.code} " in heads for m in markets()) and "eu 100 g" in heads and "eu 50 g serving" in heads
    )
    assert any(line.startswith("energy (kJ)") for line in lines) and any(
        line.startswith("total fat") for line in lines
    )


def test_every_market_as_json(kitchen, capsys):
    """Carbohydrate is without fibre in the European Union and with it in the United States: the difference
    is the fibre.
    """
    main(["panel", "thins", "--kitchen", kitchen, "--market", "all", "--json"])
    told = json.loads(capsys.readouterr().out)
    assert set(told) == {m.code for m in markets()}
    eu, us = ({r["key"]: r["unrounded"] for r in told[m]["rows"]} for m in ("eu", "us"))
    fibre = told["eu"]["per_100g"]["FIBTG"]["value"]
    assert fibre > 5 and us["total_carbohydrate"] * 100 / told["us"]["serving"]["grams"] - eu[
        "carbohydrate"
    ] == pytest.approx(fibre)
    assert [c["per"] for c in told["eu"]["columns"]] == ["100g", "serving"] and told["us"]["columns"][0][
        "rows"
    ] == told["us"]["rows"]


@pytest.mark.parametrize(
    "typed, said",
    [
        (
            ["salt", "--market", "eu"],
            [
                "eu nutrients/salt",
                "times 2.5",
                "Regulation (EU) No 1169/2011",
                "in force from 2014-12-13",
                "read in the source",
            ],
        ),
        (["rounding/salt", "--market", "uk"], ["uk rounding/salt", "read in a report"]),
        (["fic-gb", "--market", "uk"], ["uk nutrients/fat", "assimilated in Great Britain"]),
        (["titanium dioxide", "--market", "eu", "--on", "2021-01-01"], ["NOT in force on 2021-01-01"]),
        (["saturated-fat"], ["us rounding/saturated_fat"]),
    ],
)
def test_the_law_behind_a_rule(typed, said, capsys):
    assert main(["law", *typed]) == 0
    out = capsys.readouterr().out
    assert not [s for s in said if s not in out]


def test_the_law_behind_a_finding(kitchen, capsys):
    assert main(["law", "quantity-declared", "--market", "eu", "--kitchen", kitchen]) == 0
    assert "Article 22(1), Annex VIII [reg-eu-1169-2011]" in capsys.readouterr().out
    assert main(["law", "quantity-declared", "--market", "eu", "--kitchen", kitchen, "--json"]) == 0
    (told,) = json.loads(capsys.readouterr().out)
    assert told["cite"] == "reg-eu-1169-2011" and "eur-lex" in told["url"]


@pytest.mark.parametrize(
    "code, told",
    [
        ("same-name", "and so does {other}"),
        ("asked-net-weight", "asked-*"),
        ("not-bold.of-file", "must be bold"),
    ],
)
def test_how_a_finding_is_worded_is_told_without_a_kitchen(code, told, capsys):
    assert main(["law", code]) == 0
    assert told in capsys.readouterr().out


def test_the_rest_of_a_finding_is_told_on_demand(tmp_path, capsys):
    """What the market thinks of warnings stands behind the question, no longer in it."""
    kitchen = str(write(tmp_path, INGREDIENTS, RECIPES, "markets: [eu]\nhandles: [peanut]\n"))
    assert main(["law", "cross-contact", "--market", "eu", "--kitchen", kitchen]) == 0
    assert "must not mislead" in capsys.readouterr().out


@pytest.mark.parametrize("market", ["us", "eu", "uk", "ca", "au", "nz"])
def test_every_code_that_check_prints_leads_to_its_rule(market, kitchen, capsys):
    main(["check", kitchen, "--market", market, "--json"])
    codes = sorted({f["code"] for f in json.loads(capsys.readouterr().out)})
    assert any(c.startswith("exemption-") for c in codes)
    for code in codes:
        assert main(["law", code, "--market", market, "--kitchen", kitchen]) == 0, code
        assert code.partition("-")[2].replace("-", "_") in capsys.readouterr().out.replace("-", "_")


def test_questions_and_exemptions_need_no_kitchen(tmp_path, capsys):
    for code, said in (
        ("asked-flour", "uk asked/flour"),
        ("exemption-direct-sale", "uk exemptions/direct_sale"),
        ("not-allowed-fast-green", "uk allowed/fast_green"),
    ):
        assert main(["law", code, "--market", "uk", "--kitchen", str(tmp_path)]) == 0
        assert said in capsys.readouterr().out


def test_one_category_serves_both_markets_with_reference_amounts():
    """One product is sold in both with one 'category:'. Amounts after 21 CFR 101.12(b) and the Canadian
    table.
    """
    us, ca = (Pack(code, date(2026, 11, 25)) for code in ("us", "ca"))
    for key, there, here in (
        ("grain_bars", 40, 30),
        ("grain_bars_filled", 40, 40),
        ("rolls", 50, 55),
        ("hard_candy", 15, 15),
        ("baking_candies", 15, 15),
        ("icing", 2, 35),
    ):
        assert (
            us.entry(ReferenceAmount, key).amount,
            ca.entry(ReferenceAmount, key).amount,
        ) == (there, here)


def test_an_unknown_name_is_answered_with_near_ones(capsys):
    assert main(["law", "slat", "--market", "eu"]) == 2
    assert "'slat'; near: salt" in capsys.readouterr().err


def test_every_source_says_what_it_is():
    assert all(s.title and s.issuer and s.year for s in sources().values()) and len(sources()) > 60
