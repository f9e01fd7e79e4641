"""What the law asks besides: told with its figures, asked only where nothing answers it."""

import json
from datetime import date

from labelgen import paths
from labelgen.cli import main
from labelgen.market.asked import list_exemptions
from labelgen.market.law.pack import read_pack
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
