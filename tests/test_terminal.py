"""Whatever the terminal, a command tells what it has to tell, and nothing in a file steers the terminal."""

from __future__ import annotations

import io
import json
import sys

import pytest

from labelgen import paths
from labelgen.cli import start
from labelgen.terminal import settle, shown

DEMO = str(paths.templates("kitchens", "demo"))
COMMANDS = (
    ("check", DEMO),
    ("panel", "oat-thins", "--kitchen", DEMO),
    ("explain", "oat-thins", "fat", "--kitchen", DEMO),
    ("compare", "oat-thins", "lantern-biscuits", "--kitchen", DEMO),
    ("allergens", "--text", "Zucker, Weizenmehl, crème, œuf"),
    ("declare", "oat-thins", "--as", "text", "--market", "ca", "--kitchen", DEMO),
    ("law", "energy", "--market", "eu"),
    ("foods", "search", "crème fraîche"),
    ("help", "start"),
    ("round", "energy", "12.5", "--market", "eu"),
)


def run(monkeypatch, *command: str, encoding: str = "utf-8") -> tuple[int, bytes, bytes]:
    """The exit code of a command, and what it wrote to its streams, which have this encoding."""
    streams = [io.TextIOWrapper(io.BytesIO(), encoding=encoding) for _ in range(2)]
    monkeypatch.setattr(sys, "stdout", streams[0])
    monkeypatch.setattr(sys, "stderr", streams[1])
    monkeypatch.setattr(sys, "argv", ["labelgen", *command])
    code = start()
    for stream in streams:
        stream.flush()
    return code, *(stream.buffer.getvalue() for stream in streams)


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command[0])
def test_every_encoding_will_do(monkeypatch, command):
    for encoding in ("ascii", "cp437", "cp850", "latin-1"):
        code, out, err = run(monkeypatch, *command, encoding=encoding)
        assert code in (0, 1) and out and b"fault of labelgen" not in err, err
        out.decode(encoding)


def test_json_says_the_same_in_every_encoding(monkeypatch):
    asked = ("allergens", "--text", "crème, Weizenmehl", "--json")
    every = [
        json.loads(run(monkeypatch, *asked, encoding=e)[1].decode(e)) for e in ("utf-8", "ascii", "cp850")
    ]
    assert every[0] == every[1] == every[2] and "crème" in json.dumps(every[0], ensure_ascii=False)


def test_closed_streams_are_no_fault(monkeypatch):
    monkeypatch.setattr(sys, "stdout", None)
    monkeypatch.setattr(sys, "stderr", None)
    monkeypatch.setattr(sys, "argv", ["labelgen", "round", "total_fat", "4.75"])
    assert start() == 0


def test_what_would_steer_a_terminal_is_written_out(monkeypatch):
    assert shown("\x1b[31mred\x07\u202egnp\x9b") == "\\u001b[31mred\\u0007\\u202egnp\\u009b"
    assert shown("crème\tœuf\n– ß") == "crème\tœuf\n– ß"
    stream = io.TextIOWrapper(io.BytesIO(), encoding="utf-8")
    monkeypatch.setattr(sys, "stdout", stream)
    settle()
    print("butter\x1b[2J")
    stream.flush()
    assert stream.buffer.getvalue() == b"butter\\u001b[2J\n"
