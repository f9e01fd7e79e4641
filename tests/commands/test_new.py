"""``labelgen new`` writes a kitchen that prints, in each market and language it offers."""

import pytest
import yaml

from labelgen.cli import main
from labelgen.law.registry import markets

OFFERED = [(m.code, language) for m in markets() for language in ("", *m.also_in, *m.may_be_in)]


@pytest.mark.parametrize("market, language", OFFERED)
def test_a_new_kitchen_prints(tmp_path, market, language):
    folder = tmp_path / "k"
    told = ["new", str(folder), "--country", market, "--language", language, "--name", "Hill: Bakes"]
    assert main([*told, "--address", "1 Hill, Sampleton", "--handles", "peanut, sesame"]) == 0
    settings = yaml.safe_load((folder / "kitchen.yaml").read_text(encoding="utf-8"))
    assert settings["markets"] == [market] and settings["handles"] == ["peanut", "sesame"]
    assert settings["producer"] == {"name": "Hill: Bakes", "address": "1 Hill, Sampleton"}
    assert (
        main(["label", "shortbread", "shortbread-oat", "--kitchen", str(folder), "--out", str(tmp_path)]) == 0
    )
    assert (tmp_path / "shortbread-oat.pdf").is_file()


def test_a_german_kitchen_is_german(tmp_path, capsys):
    assert main(["new", str(tmp_path / "k"), "--country", "Deutschland", "--language", "Deutsch"]) == 0
    assert "Weizenmehl" in (tmp_path / "k/ingredients/larder.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "told, said",
    [
        (["--country", "mars"], "labelgen has no law of it"),
        (["--country", "au", "--language", "de"], "take one of en"),
        (["--language", "klingon"], "is no language"),
    ],
)
def test_what_cannot_be_is_refused(tmp_path, told, said, capsys):
    assert main(["new", str(tmp_path / "k"), *told]) == 2 and said in capsys.readouterr().err
    assert not (tmp_path / "k").exists()
