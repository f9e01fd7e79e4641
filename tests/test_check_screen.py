"""``labelgen check`` on one screen: dangers in full, warnings of a kind together, notes as a number."""

import json

from labelgen import paths
from labelgen.cli import main
from labelgen.commands.output import print_by_danger
from labelgen.errors import Finding, Where


def test_the_demo_fits_one_screen(capsys):
    assert main(["check", str(paths.templates("kitchens", "demo"))]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) <= 24 and "notes are not shown: --all shows them" in lines[-1]
    main(["check", str(paths.templates("kitchens", "demo")), "--all"])
    told = capsys.readouterr().out
    assert "'no added sugar' holds" in told and "'vegan' holds" in told and "not shown" not in told


def test_warnings_of_a_kind_stand_together_with_what_to_do_once(capsys):
    def warn(key):
        return Finding(
            "cross-contact",
            "warn",
            Where("r.yaml", 3),
            f"{key}: egg is handled. Look how each is kept apart for {key}",
        )

    print_by_danger(
        [
            Finding("x", "danger", Where("r.yaml", 1), "a. b"),
            warn("one"),
            warn("two"),
            Finding("y", "note", Where("r.yaml", 2), "small"),
        ]
    )
    out = capsys.readouterr().out
    assert (
        out.count("Look how each is kept apart") == 1
        and "one: egg is handled." in out
        and "two: egg is handled." in out
    )
    assert out.startswith("DANGER r.yaml:1 x: a. b") and "small" not in out


def test_check_without_a_market_judges_the_kitchens_own(tmp_path, capsys):
    from tests.kitchens import write

    write(
        tmp_path,
        "almonds: {print: almonds, food: usda/12061}",
        "formulations:\n  nuts: {ingredients: [100 g almonds], makes: 4}\nproducts:\n  nuts: {name: Nuts,"
        " of: nuts, pieces: 4, unit: nut, claims: [nut free]}\n",
        "producer: {name: Example Hill Bakes, address: x}\nmarkets: [us]\n",
    )
    assert main(["check", str(tmp_path)]) == 1
    assert "claim-refused" in capsys.readouterr().out


def test_what_several_markets_find_is_said_once(tmp_path, capsys):
    """One decision for one product is one line, however many markets ask for it; JSON keeps each market's
    own words.
    """
    from tests.kitchens import write

    write(
        tmp_path,
        "almonds: {print: almonds, food: usda/12061}",
        "formulations:\n  nuts: {ingredients: [100 g almonds], makes: 4}\nproducts:\n  nuts: {name: Nuts,"
        " identity: Almonds, of: nuts, pieces: 4, unit: nut, category: nuts}\n",
        "producer: {name: Example Hill Bakes, address: x}\ncountry: us\nmarkets: [us, uk, ca]\nhandles:"
        " [sesame]\n",
    )
    main(["check", str(tmp_path)])
    told = capsys.readouterr().out.splitlines()
    (line,) = [x for x in told if " cross-contact: " in x]
    assert "cross-contact: nuts: sesame" in line
    assert any("wording-missing: [ca] product nuts" in x for x in told) and len(set(told)) == len(told)
    main(["check", str(tmp_path), "--json"])
    found = [f for f in json.loads(capsys.readouterr().out) if f["code"] == "cross-contact"]
    assert sorted(code for f in found for code in f["markets"]) == ["ca", "uk", "us"] and len(found) == 3
