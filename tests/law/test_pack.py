"""The rule-pack loader: dated look-ups, and what it refuses in a file."""

from datetime import date

import pytest

from labelgen.errors import RuleError
from labelgen.law import pack as packs
from labelgen.law.figure_tables import Rounding
from labelgen.law.label_tables import AllergenRule
from labelgen.law.pack import Pack, read_pack
from labelgen.law.registry import markets

SHARED = '[all]\ncite = "x"\nlocator = "1"\ngrade = "read"\nreviewed = 2026-01-01\n'
RULE = '[[rule]]\nkey = "a"\neffective = 2020-01-01\nbands = [{step = 1}]\nunit = "g"\nties = "half_up"\n'


@pytest.fixture
def table(tmp_path, monkeypatch):
    """Writes a rounding table of a market of its own and reads it back."""
    path = tmp_path / "rounding.toml"
    monkeypatch.setattr(packs, "_path", lambda market, name: path)

    def write(text):
        path.write_text(text, encoding="utf-8")
        for cached in (packs._table, packs._in_force):
            cached.cache_clear()
        return Pack("zz", date(2021, 1, 1)).entries(Rounding)

    yield write
    for cached in (packs._table, packs._in_force):
        cached.cache_clear()


def test_a_table_is_read(table):
    assert [(e.key, e.unit, e.source) for e in table(SHARED + RULE)] == [("a", "g", "x 1")]


@pytest.mark.parametrize(
    "text, message",
    [
        (SHARED + RULE + "colour = 3\n", "unknown key 'colour'"),
        (SHARED + RULE.replace('unit = "g"\n', ""), "unit missing"),
        (SHARED.replace("reviewed = 2026-01-01\n", "") + RULE, "reviewed missing"),
        (SHARED.replace('"read"', '"hearsay"') + RULE, "grade 'hearsay'"),
        (SHARED + RULE.replace('unit = "g"', "unit = 3"), "wrong type"),
        (SHARED + RULE + "until = 2019-01-01\n", "not in that order"),
        (SHARED + RULE + "mandatory = 2019-01-01\n", "not in that order"),
        (SHARED + RULE + RULE.replace("2020", "2022"), "two rules in force on 2022-01-01"),
        (
            SHARED + RULE + "until = 2022-01-01\n" + RULE.replace("2020", "2022"),
            "two rules in force on 2022-01-01",
        ),
        (
            SHARED + RULE + "until = 2021-12-30\n" + RULE.replace("2020", "2022"),
            "no rule between 2021-12-30 and 2022-01-01",
        ),
        (SHARED + RULE.replace("{step = 1}", "{step = 1}, {below = 2, step = 2}"), "band 1 has no limit"),
        (
            SHARED + RULE.replace("{step = 1}", "{below = 3, step = 1}, {below = 2, step = 2}"),
            "does not lie above",
        ),
        (
            SHARED + RULE.replace("{step = 1}", "{at_most = 3, step = 1}, {below = 3, step = 2}"),
            "does not lie above",
        ),
        (SHARED + RULE.replace("{step = 1}", "{from = 3, step = 1}"), "must hold"),
        (SHARED + RULE.replace("{step = 1}", "{step = 1, to = 0}"), "must hold"),
        (SHARED + RULE.replace('key = "a"', 'name = "a"'), "has no key"),
        ("[[rule]\n", "not readable TOML"),
        ("[rules]\n", "unknown 'rules'"),
    ],
)
def test_faulty_tables_are_refused(table, text, message):
    with pytest.raises(RuleError, match=message) as caught:
        table(text)
    assert "rounding.toml" in str(caught.value)


def test_each_day_has_its_own_rule(table):
    """Both sides of a change: the old rule to its last day, the new one from its first."""
    table(
        SHARED
        + RULE
        + "until = 2022-06-30\n"
        + RULE.replace("2020-01-01", "2022-07-01").replace("step = 1", "step = 2")
    )
    steps = {
        day: Pack("zz", day).entry(Rounding, "a").bands[0].step
        for day in (date(2020, 1, 1), date(2022, 6, 30), date(2022, 7, 1))
    }
    assert list(steps.values()) == [1, 1, 2]
    with pytest.raises(RuleError, match=r"on 2019-12-31; it has one for 2020-01-01 to 2022-06-30"):
        Pack("zz", date(2019, 12, 31)).entry(Rounding, "a")


def test_a_missing_rule_names_near_ones():
    with pytest.raises(RuleError, match="near: .*sodium"):
        read_pack("us", date(2026, 12, 1)).entry(Rounding, "sodum")


def test_an_unknown_market_names_those_there_are():
    with pytest.raises(RuleError, match="labelgen has .*us"):
        read_pack("atlantis", date(2026, 12, 1))
    assert "us" in [m.code for m in markets()]


def test_no_allergen_list_before_its_law():
    """An empty list would read as "contains nothing": before the first rule the look-up fails instead."""
    with pytest.raises(RuleError, match="does not hold the law on allergens as it was on 2020-01-01"):
        Pack("us", date(2020, 1, 1)).entries(AllergenRule)
