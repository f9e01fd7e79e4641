"""What a printing rests on is worked out, not listed: every folder of data and of the program belongs to
it.
"""

import shutil
from pathlib import Path

import pytest

import labelgen
from labelgen import paths
from labelgen.ledger import inputs
from labelgen.ledger.inputs import CALLED, hash_inputs

KITCHEN = paths.templates("kitchens", "demo")


@pytest.fixture(scope="module")
def copied(tmp_path_factory):
    """The data folders and the program, to be edited."""
    root = tmp_path_factory.mktemp("data")
    for name in ("reference", "templates"):
        shutil.copytree(
            paths.data_root() / name, root / name, ignore=shutil.ignore_patterns("foods.csv", "__pycache__")
        )
    shutil.copytree(
        Path(labelgen.__file__).parent, root / "labelgen", ignore=shutil.ignore_patterns("__pycache__")
    )
    return root


@pytest.fixture
def look(copied, monkeypatch):
    monkeypatch.setattr(paths, "data_root", lambda: copied)
    monkeypatch.setattr(labelgen, "__file__", str(copied / "labelgen" / "__init__.py"))

    def hashes():
        inputs._hash.cache_clear()
        return {(kind, name): digest for kind, name, digest in hash_inputs(KITCHEN, "us")}

    yield hashes
    inputs._hash.cache_clear()


def a_file_of_each(root: Path):
    """One file of each folder of data, of a market's and of the program's."""
    for base in ("reference", "templates", "labelgen"):
        for place in sorted((root / base).iterdir()):
            files = [place] if place.is_file() else sorted(p for p in place.rglob("*") if p.is_file())
            if place.name not in ("markets", "py.typed") and not place.name.startswith(".") and files:
                yield files[-1]


def test_an_edit_anywhere_is_seen_and_seen_there_alone(copied, look):
    before = look()
    for file in a_file_of_each(copied):
        kept = file.read_bytes()
        file.write_bytes(kept + b"\n# an edit\n")
        after = look()
        changed = [place for place in before if before[place] != after[place]]
        assert len(changed) == 1 and before.keys() == after.keys(), file
        file.write_bytes(kept)
    assert look() == before


@pytest.mark.parametrize(
    "file, place",
    [
        ("reference/claims/words.csv", ("claims", "")),
        ("reference/additives/additives.csv", ("additives", "")),
        ("reference/units/common.txt", ("units", "")),
        ("reference/allergens/lexicon.csv", ("allergens", "")),
        ("reference/markets/us/market.toml", ("law", "us")),
        ("labelgen/market/claims/claim_words.py", ("code", "market")),
        ("labelgen/chain.py", ("code", "chain.py")),
        ("templates/labels/label.toml", ("arrangements", "labels")),
    ],
)
def test_what_is_called_what(copied, look, file, place):
    before, path = look(), copied / file
    kept = path.read_bytes()
    path.write_bytes(kept + b"\n")
    assert [p for p, digest in look().items() if digest != before[p]] == [place]
    path.write_bytes(kept)


def test_the_law_of_other_markets_is_no_matter(copied, look):
    before, path = look(), copied / "reference/markets/eu/market.toml"
    path.write_bytes(path.read_bytes() + b"\n")
    assert look() == before


def test_a_new_folder_of_data_belongs_to_it(copied, look):
    before = look()
    (copied / "reference" / "spices").mkdir()
    (copied / "reference" / "spices" / "spices.csv").write_text("x", encoding="utf-8")
    assert set(look()) - set(before) == {("spices", "")}
    shutil.rmtree(copied / "reference" / "spices")


def test_what_the_program_wrote_for_itself_does_not_count(copied, look):
    before = look()
    kept = copied / "labelgen" / "market" / "__pycache__"
    kept.mkdir()
    (kept / "x.pyc").write_bytes(b"x")
    assert look() == before
    shutil.rmtree(kept)


def test_every_file_of_the_kitchen_counts():
    names = {name for kind, name, _ in hash_inputs(KITCHEN, "us") if kind == "kitchen"}
    assert names == {str(p.relative_to(KITCHEN)) for p in KITCHEN.rglob("*.yaml")}


def test_all_kinds_have_a_name():
    assert {kind for kind, _, _ in hash_inputs(KITCHEN, "us")} - set(CALLED) <= {
        "citations",
        "findings",
        "update",
    }
