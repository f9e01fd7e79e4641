"""``labelgen check`` on one screen: dangers in full, warnings of a kind together, notes as a number."""

import json

from labelgen import paths
from labelgen.cli import main
from labelgen.commands.screen import print_screen
from labelgen.errors import Where
from labelgen.findings import find


def test_the_demo_fits_one_screen(capsys):
    assert main(["check", str(paths.templates("kitchens", "demo"))]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) <= 24 and "are not shown: --all shows them" in lines[-1]
    main(["check", str(paths.templates("kitchens", "demo")), "--all"])
    told = capsys.readouterr().out
    assert "'no added sugar' holds" in told and "'vegan' holds" in told and "not shown" not in told


def test_one_remedy_for_several_is_said_once_and_what_stops_comes_first(tmp_path, capsys):
    def told(key, line, name, **blanks):
        return find(key, Where("ingredients/all.yaml", line, 1), **blanks, ingredient=name)

    (tmp_path / "ingredients").mkdir()
    (tmp_path / "ingredients" / "all.yaml").write_text("jam: {print: jam}\nmix: {print: mix}\n")
    findings = [
        told("make-up-unknown.of-food", 1, "oats"),
        told("make-up-unknown", 1, "jam"),
        told("make-up-unknown", 2, "mix"),
        told("declared-not-found", 1, "jam", allergen="soy"),
    ]
    assert print_screen(findings, tmp_path, everything=False, why=False, law=False) == 2
    assert capsys.readouterr().out.splitlines() == [
        "DANGER ingredients/all.yaml:1:1 make-up-unknown: jam, mix: neither sub-ingredients nor an allergen"
        " declaration is given: copy the packet's ingredient list into 'statement:' and what it declares into"
        " 'contains:' ('contains: []' if it declares none)",
        "      ingredients/all.yaml:1  - jam: {print: jam}",
        "                              + jam: {print: jam, contains: [...]}",
    ]
    assert print_screen(findings, tmp_path, everything=True, why=True, law=False) == 0
    out = capsys.readouterr().out
    assert "it may hold any allergen." in out and "warn" in out and "note" in out


def test_warnings_are_shown_once_nothing_stops(tmp_path, capsys):
    def warn(line, name):
        return find("make-up-unknown.of-food", Where("r.yaml", line), ingredient=name)

    assert print_screen([warn(1, "oats"), warn(2, "rye")], tmp_path, False, False, False) == 0
    assert "oats, rye: neither" in capsys.readouterr().out


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
    main(["check", str(tmp_path), "--all"])
    told = capsys.readouterr().out.splitlines()
    (line,) = [x for x in told if " cross-contact: " in x]
    assert "cross-contact: nuts: sesame" in line
    assert any("wording-missing: [ca] product nuts" in x for x in told) and len(set(told)) == len(told)
    main(["check", str(tmp_path), "--json"])
    found = [f for f in json.loads(capsys.readouterr().out) if f["code"] == "cross-contact"]
    assert sorted(code for f in found for code in f["markets"]) == ["ca", "uk", "us"] and len(found) == 3
