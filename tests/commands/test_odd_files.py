"""Files named on the command line that are none: a pipe or a device would never end."""

import os

import pytest

from labelgen.cli import main
from tests.kitchens import write


@pytest.mark.parametrize(
    "command", [["preflight", "FILE", "--product", "p"], ["allergens", "--pdf", "FILE"], ["draft", "FILE"]]
)
@pytest.mark.parametrize("kind", ["pipe", "device", "folder", "missing"])
def test_what_is_no_plain_file_is_refused_at_once(tmp_path, monkeypatch, capsys, command, kind):
    kitchen = write(
        tmp_path / "k",
        "a: {food: usda/20481}\n",
        "formulations:\n  d: {ingredients: [100 g a]}\nproducts:\n  p: {of: d}\n",
    )
    file = tmp_path / "odd"
    {
        "pipe": lambda: os.mkfifo(file),
        "device": lambda: file.symlink_to("/dev/zero"),
        "folder": file.mkdir,
        "missing": lambda: None,
    }[kind]()
    monkeypatch.chdir(tmp_path)
    assert (
        main([str(file) if word == "FILE" else word for word in command] + ["--kitchen", str(kitchen)]) == 2
    )
    assert str(file) in capsys.readouterr().err
