"""Files are written whole or not at all, and a full disk is called full."""

import shutil
import subprocess
import sys

import pytest

from labelgen import paths
from labelgen.cli import main
from labelgen.pdf.write import write_all, write_whole

#: The file size limit stands in for a full disk (POSIX setrlimit).
LIMITED = (
    "import resource, signal, sys; signal.signal(signal.SIGXFSZ, signal.SIG_IGN);"
    " resource.setrlimit(resource.RLIMIT_FSIZE, (128, 128)); from labelgen.cli import main;"
    " sys.exit(main(sys.argv[1:]))"
)


@pytest.mark.parametrize(
    "command",
    [
        ["new", "made"],
        ["demo", "made"],
        ["weigh", "oat-thins", "--out", "made"],
        ["declare", "oat-thins", "--as", "pdf", "--out", "made"],
        ["stall", "--out", "made"],
    ],
)
def test_a_full_disk_is_said_and_leaves_nothing(tmp_path, command):
    demo = [] if command[0] in ("new", "demo") else ["--kitchen", str(paths.templates("kitchens", "demo"))]
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, *command, *demo], capture_output=True, text=True, cwd=tmp_path
    )
    assert done.returncode == 2 and "make room on the disk" in done.stderr and "made" in done.stderr
    assert not [p for p in tmp_path.rglob("*") if p.is_file()]


def test_several_files_are_written_all_or_none(tmp_path):
    (tmp_path / "b").write_text("in the way", encoding="utf-8")
    with pytest.raises(OSError) as told:
        write_all({tmp_path / "a" / "deep" / "one": b"1", tmp_path / "b" / "two": b"2"})
    assert told.value.filename == str(tmp_path / "b" / "two") and [p.name for p in tmp_path.iterdir()] == [
        "b"
    ]


def test_what_is_to_be_done_before_is_done_before(tmp_path):
    seen = []
    write_whole(tmp_path / "x", b"new", lambda: seen.append((tmp_path / "x").exists()))
    assert seen == [False] and (tmp_path / "x").read_bytes() == b"new"

    def fail():
        raise ValueError

    with pytest.raises(ValueError):
        write_whole(tmp_path / "x", b"newer", fail)
    assert (tmp_path / "x").read_bytes() == b"new" and len(list(tmp_path.iterdir())) == 1


@pytest.mark.parametrize("command", ["new", "demo"])
def test_an_empty_folder_becomes_a_kitchen_and_a_full_one_is_left_alone(tmp_path, capsys, command):
    (tmp_path / "empty").mkdir()
    assert (
        main(
            [
                command,
                str(tmp_path / "empty"),
                *(["--out", str(tmp_path / "out")] if command == "demo" else []),
            ]
        )
        == 0
    )
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "letter.txt").write_text("x", encoding="utf-8")
    assert main([command, str(tmp_path / "other")]) == 2 and [
        p.name for p in (tmp_path / "other").iterdir()
    ] == ["letter.txt"]


@pytest.mark.parametrize("command", ["ledger", "status"])
def test_a_folder_that_is_no_kitchen_is_called_so(tmp_path, capsys, command):
    assert main([command, "--kitchen", str(tmp_path / "none")]) == 2
    assert "is no kitchen" in capsys.readouterr().err


def test_a_label_that_may_not_be_made_any_more_is_told_of_its_older_file(tmp_path, capsys):
    demo = shutil.copytree(
        paths.templates("kitchens", "demo"), tmp_path / "k", ignore=shutil.ignore_patterns("ledger*")
    )
    command = [
        "label",
        "oat-thins",
        "--kitchen",
        str(demo),
        "--out",
        str(tmp_path / "out"),
        "--on",
        "2026-11-25",
    ]
    assert main(command) == 0 and "older-file" not in capsys.readouterr().out
    before = (tmp_path / "out" / "oat-thins.pdf").read_bytes()
    recipes = demo / "recipes" / "biscuits.yaml"
    recipes.write_text(
        recipes.read_text(encoding="utf-8").replace('name: "Oat thins"', 'name: "Sugar free oat thins"'),
        encoding="utf-8",
    )
    assert main(command) == 1
    told = "".join(capsys.readouterr())
    assert (
        "NOT WRITTEN" in told
        and "older-file" in told
        and (tmp_path / "out" / "oat-thins.pdf").read_bytes() == before
    )
