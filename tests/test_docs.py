"""What README says is so: its commands exist, its counts are right, each command has help with an example."""

import re
import shlex
from importlib import import_module
from pathlib import Path

import pytest

from labelgen.chain import roll_up_folder
from labelgen.cli import COMMANDS, main, start
from labelgen.commands.help import title_of, topics

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_commands_of_the_readme_exist():
    used = set(re.findall(r"labelgen (\w+)", "\n".join(re.findall(r"```sh\n(.*?)```", README, re.S))))
    assert used and used <= set(COMMANDS)


def test_two_setup_commands():
    section = README.split("## Set up")[1].split("## ")[0]
    assert len(re.findall(r"```sh\n[^\n]+\n```", section)) == 2 == section.count("```sh")


@pytest.mark.parametrize("name", COMMANDS)
def test_help_has_an_example(name, capsys):
    with pytest.raises(SystemExit) as stop:
        main([name, "--help"])
    assert stop.value.code == 0 and "Example: labelgen" in capsys.readouterr().out
    assert import_module(f"labelgen.commands.{name}").EXAMPLE.startswith(f"labelgen {name}")


def test_demo_writes_the_labels_the_readme_counts(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["demo", "--on", "2026-11-25"]) == 0
    labels = sorted((tmp_path / "out").glob("*.pdf"))
    assert len(labels) == int(re.search(r"kitchen's (\d+) labels", README)[1]) >= 6
    first = labels[0].read_bytes()
    assert main(["demo", "--on", "2026-11-25"]) == 0
    assert labels[0].read_bytes() == first


def test_starter_kitchen_is_fine(tmp_path):
    assert main(["new", str(tmp_path / "k")]) == 0
    assert main(["check", str(tmp_path / "k")]) == 0
    assert main(["label", "shortbread", "--kitchen", str(tmp_path / "k"), "--out", str(tmp_path)]) == 0


def test_commands_of_the_readme_work_as_written(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    lines = [
        line.partition(" #")[0]
        for line in "\n".join(re.findall(r"```sh\n(.*?)```", README, re.S)).splitlines()
        if line.startswith("labelgen ")
    ]
    ready = [shlex.split(line)[1:] for line in lines if not any(word in line for word in ("OLD.pdf", "KEY"))]
    assert len(ready) > 6
    for words in ready:
        assert main(words) == 0, (words, capsys.readouterr())


def test_the_readme_is_short():
    assert len(README.splitlines()) <= 120


@pytest.mark.parametrize("name", topics())
def test_commands_of_a_page_of_the_manual_work_as_written(name, tmp_path, monkeypatch, capsys):
    """Each in the order of its page, beside the starter kitchen."""
    monkeypatch.chdir(tmp_path)
    page = topics()[name].read_text(encoding="utf-8")
    lines = "\n".join(re.findall(r"```sh\n(.*?)```", page, re.S)).splitlines()
    if not any(line.startswith("labelgen new my-kitchen") for line in lines):
        assert main(["new", "my-kitchen", "--name", "Hill Bakes", "--address", "1 Hill, Sampleton"]) == 0
    for line in filter(None, lines):
        words = shlex.split(line)
        assert words[0] == "labelgen" and main(words[1:]) == 0, (line, capsys.readouterr())


def test_the_manual_is_listed_and_shown(capsys):
    assert not set(topics()) & set(COMMANDS)
    assert main(["help"]) == 0
    listed = capsys.readouterr().out
    for name, path in topics().items():
        assert f"  {name} " in listed and title_of(path) in listed
        assert main(["help", name]) == 0 and title_of(path) in capsys.readouterr().out
    assert main(["help", "nothing"]) == 2 and "packets" in capsys.readouterr().err
    with pytest.raises(SystemExit) as stop:
        main(["help", "panel"])
    assert stop.value.code == 0


def test_what_labels_say_differently_is_told_of_this_version():
    from labelgen import __version__

    assert f"## {'.'.join(__version__.split('.')[:2])}\n" in topics()["changes"].read_text(encoding="utf-8")


def test_what_the_readme_shows_of_a_kitchen_can_be_typed_into_the_starter(tmp_path):
    """Each example in YAML, read and weighed out beside what the starter has: only the verdicts on its
    claims may stop a label.
    """
    pages = "\n".join([README, *(path.read_text(encoding="utf-8") for path in topics().values())])
    blocks = re.findall(r"```yaml\n(.*?)```", pages, re.S)
    formulations = next(b for b in blocks if b.startswith("formulations:")).partition("products:")[0]
    assert len(blocks) >= 4
    for n, block in enumerate(blocks):
        kitchen = tmp_path / str(n)
        assert main(["new", str(kitchen)]) == 0
        larder = kitchen / "ingredients" / "larder.yaml"
        if re.match("formulations:|products:", block):
            (kitchen / "recipes" / "readme.yaml").write_text(
                block if "formulations:" in block else formulations + block, encoding="utf-8"
            )
        else:
            names = re.findall(r"^([\w-]+):", block, re.M)
            larder.write_text(
                "".join(
                    line
                    for line in larder.read_text(encoding="utf-8").splitlines(True)
                    if line.partition(":")[0] not in names
                )
                + block,
                encoding="utf-8",
            )
        rolled = roll_up_folder(kitchen)
        assert not [f for f in rolled.findings if f.blocks], block
        assert set(rolled.profiles) == set(rolled.kitchen.products)


def test_a_fault_of_its_own_is_told_in_one_line(monkeypatch, capsys):
    def fail():
        raise RecursionError("deep")

    monkeypatch.setattr("labelgen.cli.main", fail)
    assert start() == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1 and "RecursionError: deep" in said and "LABELGEN_TRACE=1" in said
    monkeypatch.setenv("LABELGEN_TRACE", "1")
    with pytest.raises(RecursionError):
        start()
