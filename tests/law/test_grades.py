"""How surely the rules were read: counted by market, and never fewer read ones than these shares [%]."""

from datetime import date

import pytest

from labelgen.cli import main
from labelgen.law.citations import count_grades, sources
from labelgen.law.entry import GRADES
from labelgen.law.pack import read_pack, read_table
from labelgen.law.registry import markets
from labelgen.law.tables import TABLES

ON = date(2026, 12, 1)


@pytest.mark.parametrize(
    "market, least", [("au", 29), ("ca", 64), ("eu", 53), ("nz", 28), ("uk", 53), ("us", 47)]
)
def test_the_share_of_rules_that_were_read(market, least, record_property):
    counts = count_grades(read_pack(market, ON))[""]
    share = 100 * counts["read"] / sum(counts.values())
    print(market, counts, f"{share:.0f} %")
    assert share >= least


def test_every_table_adds_up_to_its_market():
    for market in markets():
        counts = count_grades(read_pack(market.code, ON), by_table=True)
        whole = counts.pop("")
        assert whole == {g: sum(c[g] for c in counts.values()) for g in GRADES}


def test_a_rule_that_was_read_names_a_source_that_is_held():
    for market in markets():
        for table in TABLES:
            for entry in (
                read_table(market.code, TABLES[table])
                if read_pack(market.code, ON).has(TABLES[table])
                else ()
            ):
                assert entry.cite in sources(), (market.code, table, entry.key)
                assert entry.grade != "read" or entry.locator, (market.code, table, entry.key)


def test_the_command_lists_them(capsys):
    assert main(["law", "--grades", "--market", "all"]) == 0
    said = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in said] == [m.code for m in markets()]
    assert main(["law", "--grades", "--market", "us"]) == 0
    assert any(line.startswith("us reference_amounts: ") for line in capsys.readouterr().out.splitlines())
