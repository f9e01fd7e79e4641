"""Every finding of the catalogue is told somewhere, and every finding told stands in it with all its
blanks filled.
"""

import ast
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import pytest

import labelgen
from labelgen import errors, findings
from labelgen.errors import RuleError, Where
from labelgen.findings import blanks_of, catalogue, find

ROOT = Path(labelgen.__file__).parent
NOWHERE = Where("kitchen.yaml", 3, 1)


@dataclass(frozen=True)
class Told:
    """One call that tells a finding. keys: those it may name, None where the code does not show them;
    given: names of the blanks it fills, None where the code does not show them.
    """

    place: str
    keys: frozenset[str] | None
    given: frozenset[str] | None


@cache
def calls() -> tuple[Told, ...]:
    """Every call of ``find``, and of ``fault`` by which a file tells several."""
    return tuple(told for path in sorted(ROOT.rglob("*.py")) for told in calls_in(path))


def calls_in(path: Path) -> Iterator[Told]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    ours = any(
        isinstance(n, ast.ImportFrom)
        and n.module == "labelgen.findings"
        and any(a.name == "find" for a in n.names)
        for n in ast.walk(tree)
    )
    around = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    found, handed = [], frozenset()
    for node in ast.walk(tree):
        called = getattr(node.func, "id", "") if isinstance(node, ast.Call) and ours else ""
        if called in ("find", "fault") or (
            isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "fault"
        ):
            inside = around[node]
            while not isinstance(inside, (ast.FunctionDef, ast.Module)):
                inside = around[inside]
            if getattr(inside, "name", "") == "fault":
                handed = frozenset(k.arg for k in node.keywords if k.arg)
            else:
                found.append(
                    (
                        called,
                        Told(
                            f"{path.relative_to(ROOT)}:{node.lineno}",
                            texts_of(node.args[0], inside, tree),
                            given_in(node, inside),
                        ),
                    )
                )
    for called, told in found:
        yield told if called == "find" or told.given is None else replace(told, given=told.given | handed)


def texts_of(node, inside, tree) -> frozenset[str] | None:
    """The texts an expression may be: those written in it, in the variable or in the function of this file
    that it names.
    """
    if isinstance(node, ast.Constant):
        return frozenset({node.value})
    if isinstance(node, ast.IfExp):
        return joined(texts_of(part, inside, tree) for part in (node.body, node.orelse))
    if isinstance(node, ast.JoinedStr):  # f"{NOT_READY}-producer"
        parts = [
            v.value if isinstance(v, ast.Constant) else getattr(errors, getattr(v.value, "id", ""), None)
            for v in node.values
        ]
        return None if None in parts else frozenset({"".join(parts)})
    if isinstance(node, ast.Name):
        return joined(texts_of(value, inside, tree) for value in assigned(node.id, inside, node.lineno))
    if isinstance(node, ast.Call):
        made = [
            f
            for f in ast.walk(tree)
            if isinstance(f, ast.FunctionDef) and f.name == getattr(node.func, "id", "")
        ]
        return joined(
            texts_of(r.value, f, tree) for f in made for r in ast.walk(f) if isinstance(r, ast.Return)
        )
    return None


def joined(several) -> frozenset[str] | None:
    several = list(several)
    return None if not several or None in several else frozenset().union(*several)


def assigned(name: str, inside, line: int) -> list[ast.expr]:
    """What a variable of a function was last set to before a line, alone, beside others or by a loop."""
    found = {}
    for node in ast.walk(inside):
        if isinstance(node, ast.Assign) and node.lineno <= line:
            found.setdefault(node.lineno, []).extend(
                v for target in node.targets for v in bound(name, target, node.value)
            )
        elif isinstance(node, ast.For) and isinstance(node.iter, ast.Tuple) and node.lineno <= line:
            found.setdefault(node.lineno, []).extend(
                v for value in node.iter.elts for v in bound(name, node.target, value)
            )
    return found[max(at for at, values in found.items() if values)] if any(found.values()) else []


def bound(name: str, target, value) -> Iterator[ast.expr]:
    """What a target of that name gets of a value."""
    if getattr(target, "id", "") == name:
        yield value
    elif isinstance(target, ast.Tuple) and isinstance(value, ast.IfExp):
        yield from (*bound(name, target, value.body), *bound(name, target, value.orelse))
    elif isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
        yield from (v for t, v in zip(target.elts, value.elts) if getattr(t, "id", "") == name)


def given_in(call: ast.Call, inside) -> frozenset[str] | None:
    given = set()
    for keyword in call.keywords:
        if keyword.arg:
            given.add(keyword.arg)
            continue
        tables = assigned(getattr(keyword.value, "id", ""), inside, call.lineno) or [keyword.value]

        if not all(isinstance(t, ast.Dict) for t in tables):
            return None
        given |= {key.value for t in tables for key in t.keys}
    return frozenset(given)


def test_which_finding_is_told_shows_in_the_code():
    assert [told.place for told in calls() if told.keys is None] == []


def test_what_is_told_stands_in_the_catalogue_with_its_blanks_filled():
    known, wrong = catalogue(), []
    for told in calls():
        for key in told.keys or ():
            if key not in known:
                wrong.append(f"{told.place}: {key} is not in reference/findings")
            elif told.given is not None and (lacking := known[key].blanks - told.given):
                wrong.append(f"{told.place}: {key} lacks {', '.join(sorted(lacking))}")
    assert wrong == []


def test_what_stands_in_the_catalogue_is_told():
    assert set(catalogue()) - {key for told in calls() for key in told.keys or ()} == set()


def test_one_sentence_says_what_is_wrong_and_one_what_to_do():
    for key, entry in catalogue().items():
        assert (entry.code and not entry.says.endswith((".", ":"))) or entry.do == "", key
        assert not entry.do.endswith("."), key


def test_a_finding_carries_what_fills_its_sentences():
    found = find(
        "serving-category",
        NOWHERE,
        severity="block",
        path="products.loaf.category",
        cites="x (1)",
        product="loaf",
        category="bred",
        categories=["bread", "buns"],
    )
    assert (
        found.message
        == "loaf: 'bred' is no reference-amount category: write 'category:' and one of the reference"
        " amounts, likely bread, buns"
    )
    assert (found.code, found.severity, found.path, found.citation) == (
        "serving-category",
        "block",
        "products.loaf.category",
        "x (1)",
    )
    assert dict(found.data) == {"product": "loaf", "category": "bred", "categories": ("bread", "buns")}
    assert found.as_dict()["data"]["categories"] == ["bread", "buns"]


@pytest.mark.parametrize(
    "key, given, told",
    [
        ("no-such", {}, "is no finding"),
        ("asked-*", {"law": "x"}, "the rule it is about is missing"),
        ("pages", {"rule": "y", "pages": 1, "due": 2}, "is about no rule, 'y'"),
        ("serving-category", {"product": "loaf"}, "nothing fills categories, category"),
        (
            "serving-category",
            {"severity": "danger", "product": "x", "category": "y", "categories": []},
            "none of its severities",
        ),
    ],
)
def test_what_the_catalogue_does_not_know_is_refused(key, given, told):
    with pytest.raises(RuleError, match=told):
        find(key, NOWHERE, **given)


def test_a_code_made_from_a_rule_of_the_law_is_one_entry():
    found = find("asked-*", NOWHERE, rule="net_weight", law="Weigh a pack.")
    assert (found.code, found.said) == (
        "asked-net-weight",
        "Weigh a pack. Your food authority has the last word",
    )


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
