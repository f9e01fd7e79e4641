"""Every finding of the catalogue is told somewhere, and every finding told stands in it with all its blanks filled."""

import ast
from pathlib import Path

import pytest

import labelgen
from labelgen import findings
from labelgen.errors import RuleError, Where
from labelgen.findings import blanks_of, catalogue, find

ROOT = Path(labelgen.__file__).parent
NOWHERE = Where("kitchen.yaml", 3, 1)


def calls():
    """(file and line, keys it may name, names of the blanks filled; None where they are gathered elsewhere)."""
    for path in sorted(ROOT.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        if path.name == "findings.py" or "find" not in {a.asname or a.name for n in ast.walk(tree) if isinstance(n, ast.ImportFrom) for a in n.names}:
            continue
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "find":
                given = None if any(k.arg is None for k in node.keywords) else {k.arg for k in node.keywords}
                yield f"{path.relative_to(ROOT)}:{node.lineno}", keys_of(node.args[0], tree), given


def keys_of(node, tree) -> set[str] | None:
    """The texts an expression may be; None where it is put together."""
    if isinstance(node, ast.Constant):
        return {node.value}
    if isinstance(node, ast.IfExp):
        return keys_of(node.body, tree) | keys_of(node.orelse, tree)
    return None


def words_in_code() -> str:
    return "\n".join(p.read_text(encoding="utf-8") for p in ROOT.rglob("*.py"))


def test_what_is_told_stands_in_the_catalogue_with_its_blanks_filled():
    known, wrong = catalogue(), []
    for place, keys, given in calls():
        for key in keys or ():
            if key not in known:
                wrong.append(f"{place}: {key} is not in reference/findings")
            elif given is not None and (lacking := known[key].blanks - given):
                wrong.append(f"{place}: {key} lacks {', '.join(sorted(lacking))}")
    assert wrong == []


def test_what_stands_in_the_catalogue_is_told():
    said = {key for _, keys, _ in calls() for key in keys or ()}
    code = words_in_code()
    endings = {f'"{e.partition("-")[0]}' for e in catalogue()}
    assert endings
    assert [key for key in catalogue() if key not in said and f'"{key}"' not in code and f'{{NOT_READY}}-{key.removeprefix("not-ready-")}' not in code and key not in TOLD_BY_FIELD] == []


#: Keys made from the name of the field they are about.
TOLD_BY_FIELD = {"best-before", "use-by"}


def test_one_sentence_says_what_is_wrong_and_one_what_to_do():
    for key, entry in catalogue().items():
        assert entry.code and not entry.says.endswith((".", ":")) or entry.do == "", key
        assert not entry.do.endswith("."), key


def test_a_finding_carries_what_fills_its_sentences():
    found = find("serving-category", NOWHERE, severity="block", path="products.loaf.category", cites="x (1)", product="loaf", category="bred", categories=["bread", "buns"])
    assert found.message == "loaf: 'bred' is no reference-amount category: write 'category:' and one of the reference amounts, likely bread, buns"
    assert (found.code, found.severity, found.path, found.citation) == ("serving-category", "block", "products.loaf.category", "x (1)")
    assert dict(found.data) == {"product": "loaf", "category": "bred", "categories": ("bread", "buns")}
    assert found.as_dict()["data"]["categories"] == ["bread", "buns"]


@pytest.mark.parametrize(
    "key, given, told",
    [
        ("no-such", {}, "is no finding"),
        ("serving-category", {"product": "loaf"}, "nothing fills categories, category"),
        ("serving-category", {"severity": "danger", "product": "x", "category": "y", "categories": []}, "none of its severities"),
    ],
)
def test_what_the_catalogue_does_not_know_is_refused(key, given, told):
    with pytest.raises(RuleError, match=told):
        find(key, NOWHERE, **given)


def test_a_file_of_the_catalogue_is_checked(tmp_path, monkeypatch):
    for text, told in (
        ("[a]\nsays = 'x'", "severity is one or several"),
        ("[a]\nseverity = 'warn'", "'says' is missing"),
        ("[a]\nseverity = 'warn'\nsays = 'x'\nfix = 'y'", "unknown fix"),
        ("[a]\nseverity = 'awful'\nsays = 'x'", "severity is one or several"),
    ):
        (tmp_path / "room.toml").write_text(text, encoding="utf-8")
        monkeypatch.setattr(findings.paths, "reference", lambda *parts: tmp_path)
        findings.catalogue.cache_clear()
        with pytest.raises(RuleError, match=told):
            findings.catalogue()
        monkeypatch.undo()
        findings.catalogue.cache_clear()


def test_only_named_blanks_are_filled():
    assert blanks_of("{a} and {b!r} at {c:.1f}") == {"a", "b", "c"}
    assert all(name.isidentifier() for entry in catalogue().values() for name in entry.blanks)
