"""Days as options name them."""

import pytest

from labelgen.cli import main
from tests.kitchens import write


@pytest.mark.parametrize("typed", ["25.11.2026", "2026-02-30", "", "tomorrow", "1/2/26"])
@pytest.mark.parametrize(
    "command",
    [
        ["label", "p", "--made-on"],
        ["declare", "p", "--made-on"],
        ["preflight", "x.pdf", "--product", "p", "--made-on"],
        ["status", "--on"],
    ],
)
def test_a_day_nobody_understands_says_what_to_type(command, typed, capsys):
    with pytest.raises(SystemExit):
        main([*command, typed])
    assert "write YYYY-MM-DD, for example 2027-01-31" in capsys.readouterr().err


def test_a_label_without_its_date_says_so(tmp_path, capsys):
    kitchen = write(
        tmp_path,
        "sugar: {print: sugar, food: usda/19335}\n",
        "formulations:\n  d: {ingredients: [100 g sugar], makes: 4}\nproducts:\n  p: {name: P, of: d,"
        " pieces: 4, category: candies, best_before: 14 days}\n",
        "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [us]\n",
    )
    assert main(["label", "p", "--kitchen", str(kitchen), "--out", str(tmp_path / "out")]) == 0
    assert "no best-before date is printed" in capsys.readouterr().out
