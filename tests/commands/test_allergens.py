"""``labelgen allergens``: what was not read is told, one text or many."""

import json

import pytest

from labelgen.cli import main


def ask(capsys, *argv):
    code = main(["allergens", *argv])
    return code, capsys.readouterr().out


def test_an_unread_text_is_not_read_and_fails(capsys):
    code, out = ask(capsys, "--text", "unga wa ngano, maziwa, mayai")
    assert code == 1 and "none found" not in out.split("undeclared")[0]
    assert (
        out.startswith("Not read (it looks like Swahili): unga, wa, ngano, maziwa, mayai")
        and "contains: not read" in out
        and "read: 0% of the words" in out
    )


def test_what_was_read_in_part_says_which_words_were_not(capsys):
    code, out = ask(capsys, "--text", "sugar, whey, blorp")
    assert (
        code == 0
        and out.startswith("Read in part: blorp")
        and "contains: Milk" in out
        and "read: 67% of the words; not known: blorp" in out
    )


def test_json_says_how_much_was_read(capsys):
    code, out = ask(capsys, "--json", "--text", "unga wa ngano, sugar")
    shown = json.loads(out)
    assert code == 1 and (shown["read"], shown["unread"], shown["looks_like"], shown["verdict"]) == (
        0.25,
        ["unga", "wa", "ngano"],
        "Swahili",
        "not read",
    )


@pytest.mark.parametrize("market", ["us", "eu"])
def test_many_texts_one_a_line(tmp_path, capsys, market):
    lines = [
        "sugar, whey",
        json.dumps("Milk: yes\nEgg: no"),
        "",
        '"not JSON, eggs',
        "\u5c0f\u9ea6\u7c89\u3001\u5375\u3001\u30d0\u30bf\u30fc",
        '["egg"]',
        "\ufeffsugar",
        "a" * 100_000,
    ]
    file = tmp_path / "texts.txt"
    file.write_bytes("\r\n".join(lines).encode() + b"\r\n\xff\xfe milk\r\n")
    code, out = ask(capsys, "--lines", str(file), "--json", "--market", market)
    shown = [json.loads(line) for line in out.splitlines()]
    assert code == 1 and len(shown) == len(lines) + 1
    assert [sorted(h["allergen"] for h in s["contains"]) for s in shown] == [
        ["milk"],
        ["milk"],
        [],
        ["egg"],
        [],
        ["egg"],
        [],
        [],
        ["milk"],
    ]
    assert [s["verdict"] for s in shown] == [
        "read",
        "read",
        "not read",
        "read in part",
        "not read",
        "read",
        "read",
        "not read",
        "read",
    ]
    assert shown[4]["looks_like"] == "Japanese"


def test_lines_that_cannot_be_read_are_told(tmp_path, capsys):
    assert main(["allergens", "--lines", str(tmp_path / "none.txt"), "--json"]) == 2
    assert "cannot be read" in capsys.readouterr().err
