"""Strict YAML 1.2: the core schema's booleans and numbers (YAML 1.2.2, chapter 10.3), places, refusals."""

import pytest

from labelgen.recipe.yamlfile import read_yaml


def read(tmp_path, content):
    path = tmp_path / "a.yaml"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return read_yaml(path, "a.yaml")


def test_core_schema_and_places(tmp_path):
    source = read(tmp_path, "a: no\nb: 012\nc: [true, x]\n")
    assert source.data == {"a": "no", "b": 12, "c": [True, "x"]} and not source.findings
    assert str(source.at(("c", 1))) == "a.yaml:3:11"


@pytest.mark.parametrize(
    "content, code, line",
    [
        ("a: 1\nb: 2\na: 3\n", "duplicate-key", 3),
        ("a: .nan\n", "number-not-finite", 1),
        ("a: 1e308\n", "number-not-finite", 1),
        ("a: !!python/object:os.system x\n", "yaml-tag", 1),
        ("a: b: c\n", "yaml-syntax", 1),
        ("a: 1\n---\nb: 2\n", "yaml-syntax", 2),
        ("a: &x {g: *x}\n", "yaml-loop", 1),
        (b"ok: 1\n\xff\xfe\x00", "file-not-text", 2),
        ("[" * 50_000, "yaml-syntax", 1),
    ],
)
def test_refusals_name_the_line(tmp_path, content, code, line):
    findings = read(tmp_path, content).findings
    assert [(f.code, f.where.line) for f in findings] == [(code, line)]


def test_empty_file(tmp_path):
    source = read(tmp_path, "")
    assert source.data is None and [f.code for f in source.findings] == ["file-empty"]
    source = read(tmp_path, "# later\n")
    assert source.data is None and not source.findings


@pytest.mark.parametrize("typed", ["0012", "4.50", "1e5", "+49", "007", "12.", "0"])
def test_a_number_where_a_text_is_wanted_is_what_was_typed(tmp_path, typed):
    """A supplier's lot 0012 is not 12, a telephone number begins with its 0, a price of 4.50 is not 4.5."""
    from labelgen.recipe.read import read_kitchen
    from tests.kitchens import write

    folder = write(
        tmp_path,
        f"flour: {{print: flour, food: usda/20481, supplier_lot: {typed}}}\n",
        "formulations:\n  a: {ingredients: [100 g flour]}\nproducts:\n  p: {name: P, of: a, price:"
        f" {typed}}}\n",
        f"producer: {{name: E, address: A, phone: {typed}}}\nmarkets: [us]\n",
    )
    kitchen, findings = read_kitchen(folder)
    assert not findings
    assert (
        kitchen.ingredients["flour"].supplier_lot,
        kitchen.products["p"].price,
        kitchen.producer.phone,
    ) == (typed, typed, typed)
