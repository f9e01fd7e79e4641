"""What is read from the kept form of labelgen's own TOML files is what the files hold."""

import tomllib
from decimal import Decimal

import pytest

from labelgen import paths, tomlfile
from labelgen.tomlfile import read_toml

FILES = sorted([*paths.reference().rglob("*.toml"), *paths.templates().rglob("*.toml")])


@pytest.mark.parametrize("figure", [float, Decimal])
def test_every_file_reads_as_it_is_written(figure):
    """Against Python's own tomllib, types and all (1 is not 1.0, 1.50 not 1.5)."""
    assert len(FILES) > 150
    for path in FILES:
        told = tomllib.loads(path.read_text(encoding="utf-8"), parse_float=figure)
        assert repr(read_toml(path, exact=figure is Decimal)) == repr(told), path


def test_who_changes_what_was_read_changes_it_for_nobody_else():
    path = paths.reference("factors", "process.toml")
    first = read_toml(path)
    first.clear()
    assert read_toml(path)


@pytest.mark.parametrize("written", ["a = 1.5\nb = 2026-01-02\n", "a = 12:30:00\n"])
def test_a_file_outside_the_data_folders_and_one_that_cannot_be_kept(tmp_path, monkeypatch, written):
    (tmp_path / "one.toml").write_text(written, encoding="utf-8")
    told = tomllib.loads(written)
    assert read_toml(tmp_path / "one.toml") == told
    monkeypatch.setattr(paths, "data_root", lambda: tmp_path.parent)
    tomlfile._kept.cache_clear()
    assert read_toml(tmp_path / "one.toml") == told


def test_a_fault_in_one_file_is_told_where_it_stands(tmp_path, monkeypatch):
    monkeypatch.setattr(paths, "data_root", lambda: tmp_path.parent)
    (tmp_path / "good.toml").write_text("a = 1\n", encoding="utf-8")
    (tmp_path / "bad.toml").write_text("a = \n", encoding="utf-8")
    assert read_toml(tmp_path / "good.toml") == {"a": 1}
    with pytest.raises(tomllib.TOMLDecodeError):
        read_toml(tmp_path / "bad.toml")
    with pytest.raises(FileNotFoundError):
        read_toml(tmp_path / "none.toml")
