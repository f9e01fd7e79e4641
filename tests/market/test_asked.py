"""What the law asks besides: told with its figures, asked only where nothing answers it."""

import json
from datetime import date

import pytest

from labelgen import paths
from labelgen.cli import main
from labelgen.law.pack import read_pack
from labelgen.market.asked import list_exemptions
from tests.kitchens import write
from tests.market.foods import KITCHEN

ON = date(2026, 12, 1)


def test_exemptions_tell_their_figures_and_what_ends_them():
    """21 CFR 101.9(j)(1): $500,000 and $50,000; (j)(18): fewer than 100,000 units."""
    notes = {f.code: f.message for f in list_exemptions(read_pack("us", ON), KITCHEN)}
    assert "$500,000" in notes["exemption-small-retailer"] and "$50,000" in notes["exemption-small-retailer"]
    assert "100,000 units" in notes["exemption-low-volume"] and "ends with" in notes["exemption-low-volume"]
    assert all("food authority" in m for m in notes.values())


def test_check_with_a_market_tells_more_than_without(capsys):
    folder = str(paths.templates("kitchens", "demo"))

    def codes(*more):
        main(["check", folder, "--json", *more])
        return {f["code"] for f in json.loads(capsys.readouterr().out)}

    assert "exemption-made-on-site" in codes("--market", "us") - codes()


@pytest.mark.parametrize(
    "market, asked",
    [
        ("us", "asked-home-kitchen"),
        ("eu", "asked-operator"),
        ("uk", "asked-direct-sale"),
        ("ca", "asked-quebec"),
        ("au", "asked-country-of-origin"),
        ("nz", "asked-food-control-plan"),
    ],
)
def test_every_market_asks_what_cannot_be_known_and_defers(market, asked, capsys):
    main(["check", str(paths.templates("kitchens", "demo")), "--market", market, "--json"])
    told = {f["code"]: f for f in json.loads(capsys.readouterr().out)}
    assert "Your food authority has the last word" in told[asked]["message"] and told[asked]["citation"]
    assert (
        sum(c.startswith("asked-") for c in told) >= 6 and sum(c.startswith("exemption-") for c in told) >= 3
    )


@pytest.mark.parametrize("words, asked", [("sprinkles, sugar", True), ("sugar", False)])
def test_a_question_about_words_is_asked_only_where_they_stand(tmp_path, words, asked, capsys):
    """21 CFR 101.22(k) speaks of colors."""
    kitchen = write(
        tmp_path,
        f"mix: {{print: mix, statement: '{words}', contains: [], food: usda/19335}}\n",
        "formulations:\n  d: {ingredients: [50 g mix]}\nproducts:\n  p: {name: Hill sweets, of: d, net: 50"
        " g}\n",
    )
    main(["check", str(kitchen), "--market", "us", "--json"])
    assert ("asked-colors" in {f["code"] for f in json.loads(capsys.readouterr().out)}) is asked


def test_a_question_about_words_is_asked_in_every_language_of_the_label(tmp_path, capsys):
    """Regulation (EU) No 1169/2011, Article 24: eggs may make a food unsafe whatever the label calls them."""
    for language in ("fr", "de"):
        kitchen = write(
            tmp_path / language,
            "yolk: {print: {en: eggs, fr: œufs, de: Eier}, food: usda/01123}\nsugar: {print: {en: sugar,"
            " fr: sucre, de: Zucker}, food: usda/19335}\n",
            "formulations:\n  d: {ingredients: [50 g yolk, 60 g sugar]}\nproducts:\n  p: {name: Hill snow,"
            " of: d, net: 90 g}\n",
            f"languages: [{language}]\n",
        )
        main(["check", str(kitchen), "--market", "eu", "--json"])
        assert "asked-use-by" in {f["code"] for f in json.loads(capsys.readouterr().out)}
