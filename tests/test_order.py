"""What is asked for is checked once, where it is written down."""

from datetime import date

import pytest

from labelgen.cli import main
from labelgen.errors import LabelError, RecipeError, RuleError
from labelgen.order import Job, Order
from labelgen.paths import templates

DAY = date(2026, 11, 25)


def test_an_order_as_it_is_kept():
    order = Order(" EU ", DAY, "A 1", DAY, Job("letter-6"))
    assert (order.market, order.lot, order.job.made_with) == ("eu", "A 1", {"stock": "letter-6"})
    assert Order("us", DAY) == Order("us", DAY, "", None, Job()) and not Order("us", DAY).job.on_sheets


@pytest.mark.parametrize(
    "error, said, market, lot, made_on",
    [
        (RuleError, "market 'xx' is not known", "xx", "", None),
        (RuleError, "market '' is not known", "", "", None),
        (RecipeError, "without spaces around it", "us", "A1 ", None),
        (RecipeError, "without spaces around it", "us", " ", None),
        (RecipeError, "without spaces around it", "us", "A\n1", None),
        (RuleError, "3000-01-01 is no day anybody made food on", "us", "", date(3000, 1, 1)),
    ],
)
def test_what_cannot_be_ordered(error, said, market, lot, made_on):
    with pytest.raises(LabelError, match=said) as raised:
        Order(market, DAY, lot, made_on)
    assert type(raised.value) is error
    assert Order("us", DAY, "A-1", date(2999, 12, 31))


@pytest.mark.parametrize("command", ["label", "declare"])
@pytest.mark.parametrize(
    "option, said",
    [
        (("--lot", " A1"), "labelgen: --lot ' A1': write the lot without spaces around it"),
        (("--market", "xx"), "labelgen: market 'xx' is not known"),
        (("--made-on", "9999-01-01"), "labelgen: 9999-01-01 is no day anybody made food on"),
    ],
)
def test_every_command_refuses_alike(tmp_path, capsys, command, option, said):
    kitchen = str(templates("kitchens", "demo"))
    assert (
        main(
            [
                command,
                "oat-thins",
                "--kitchen",
                kitchen,
                *option,
                *(("--out", str(tmp_path)) if command == "label" else ()),
            ]
        )
        == 2
    )
    assert capsys.readouterr().err.startswith(said)
