"""New Zealand starts from Australia: what differs, and nothing else."""

from datetime import date
from pathlib import Path

import pytest

from labelgen import paths
from labelgen.cli import main
from labelgen.law.label_tables import AskedOf, Exemption
from labelgen.law.pack import read_pack, read_table
from labelgen.law.registry import market_named
from labelgen.law.tables import TABLES

ON = date(2026, 12, 1)
AU, NZ = read_pack("au", ON), read_pack("nz", ON)
VECTORS = Path(__file__).parents[2] / "vectors" / "anz_rounding.csv"


def test_every_vector_row(capsys):
    assert main(["round", "--csv", str(VECTORS), "--market", "nz"]) == 0
    assert capsys.readouterr().out.count(",yes") == 49


@pytest.mark.parametrize(
    "table",
    [
        "nutrients",
        "rounding",
        "percent",
        "daily_values",
        "energy",
        "formulas",
        "columns",
        "panel",
        "statement",
        "advisories",
        "allergens",
        "dates",
    ],
)
def test_the_code_is_one_text_for_both(table):
    """The Food Standards Code is adopted in New Zealand as it stands: same rules, same values."""
    assert [(e.key, dict(e.written)) for e in NZ.entries(TABLES[table])] == [
        (e.key, dict(e.written)) for e in AU.entries(TABLES[table])
    ]


def test_questions_differ_where_the_law_does():
    """Origin, registration, fortification and measures are each country's own law."""
    au, nz = ({e.key for e in p.entries(AskedOf)} for p in (AU, NZ))
    assert au - nz == {"country_of_origin", "food_business", "fortified_flour"}
    assert nz - au == {"origin_of_fresh_food", "food_control_plan", "iodised_salt", "folic_acid"}
    assert NZ.entry(AskedOf, "net_content").cite != AU.entry(AskedOf, "net_content").cite


def test_measures_law_lets_off_other_packs():
    """Weights and Measures Regulations 1999, read in a guide of 2013: 8 items in a clear wrap,
    confectionery below 15 g.
    """
    more = {e.key: e for e in NZ.entries(Exemption) if AU.find(Exemption, e.key) is None}
    assert set(more) == {
        "no_net_weighed_before_purchaser",
        "no_net_few_items",
        "no_net_small_confectionery",
    }
    assert (
        more["no_net_few_items"].values["items_at_most"] == 8
        and more["no_net_small_confectionery"].values["grams_below"] == 15
    )


def test_no_australian_act_is_cited_in_new_zealand():
    """The Code is; Australian consumer, measurement and food-business law is not."""
    assert market_named("nz").starts_from == "au"
    australian = {"coo-au-2016", "nmi-au", "fsc-3-2-2", "fsc-au", "fsc-au-panel"}
    tables = {p.stem for m in ("au", "nz") for p in paths.reference("markets", m).glob("*.toml")} - {"market"}
    cited = {(t, e.key, e.cite) for t in tables for e in read_table("nz", TABLES[t]) if e.in_force(ON)}
    assert not {c for c in cited if c[2] in australian}
