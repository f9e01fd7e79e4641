"""Throws spoilt input at the three readers of other people's files for a bounded time: nothing but a clear
error may come out.

    python tests/bench/bench_fuzz.py [SECONDS EACH]

Starts from good files (the demonstration kitchen, supplier texts, labels) and spoils them at random: bytes
flipped, cut, doubled, swapped between files, brackets and quotes piled up. The seed is printed, so that a
failure can be run again.
"""

import csv
import random
import shutil
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from pathlib import Path

from labelgen import paths
from labelgen.chain import make_label, roll_up_folder
from labelgen.composition.text.lexicon import find_allergens
from labelgen.composition.text.statement import read_statement
from labelgen.errors import LabelError
from labelgen.order import Order

DEMO = paths.templates("kitchens", "demo")
NASTY = [
    b"\x00",
    b"\xff\xfe",
    b"{",
    b"}",
    b"[",
    b"]",
    b"(" * 50,
    b")" * 50,
    b"&a [*a]",
    b"!!python/object",
    b"<<: ",
    b": ",
    b"- ",
    b"\t",
    b"1e308",
    b".nan",
    b"-1 g",
    b"%",
    "½".encode(),
    "\u202e".encode(),
    b"\n",
    b"'",
    b'"',
    b"#",
    b"|",
    b"? ",
]


def spoil(chance: random.Random, data: bytes, others: list[bytes]) -> bytes:
    for _ in range(chance.randint(1, 6)):
        at, to = sorted(chance.randrange(len(data) + 1) for _ in range(2))
        data = chance.choice(
            [
                lambda data=data, at=at, to=to: data[:at] + data[to:],
                lambda data=data, at=at, to=to: data[:to] + data[at:to] + data[to:],
                lambda data=data, at=at, to=to: data[:at] + chance.choice(NASTY) + data[at:],
                lambda data=data, at=at, to=to: data[:at] + bytes([chance.randrange(256)]) + data[at + 1 :],
                lambda data=data, at=at, to=to: data[:at] + chance.choice(others)[:200] + data[to:],
            ]
        )()[:20_000]
    return data


def kitchens(chance: random.Random) -> Callable[[], object]:
    files = list(DEMO.rglob("*.yaml"))
    texts = [p.read_bytes() for p in files]
    folder = Path(tempfile.mkdtemp())

    def one():
        shutil.rmtree(folder)
        shutil.copytree(DEMO, folder)
        path = chance.choice(files)
        (folder / path.relative_to(DEMO)).write_bytes(spoil(chance, path.read_bytes(), texts))
        return roll_up_folder(folder)

    return one


def statements(chance: random.Random) -> Callable[[], object]:
    with open(Path(__file__).parents[1] / "allergens" / "texts.csv", encoding="utf-8", newline="") as f:
        texts = [
            row["text"].encode() for row in csv.DictReader(line for line in f if not line.startswith("#"))
        ]

    def one():
        text = spoil(chance, chance.choice(texts), texts).decode("utf-8", "replace")
        return read_statement(text), find_allergens(text)

    return one


def pdfs(chance: random.Random) -> Callable[[], object]:
    from contextlib import redirect_stderr, redirect_stdout
    from datetime import date
    from io import StringIO

    from labelgen.cli import main

    rolled = roll_up_folder(DEMO)
    labels = [
        pdf
        for key in list(rolled.profiles)[:3]
        if (pdf := make_label(rolled, key, Order("us", date(2026, 11, 25)))[0])
    ]
    file = Path(tempfile.mkdtemp()) / "label.pdf"

    def one():
        data = bytearray(chance.choice(labels))
        for _ in range(chance.randint(1, 30)):
            data[chance.randrange(len(data))] = chance.randrange(256)
        file.write_bytes(
            bytes(data[: chance.randint(1, len(data))]) if chance.random() < 0.3 else bytes(data)
        )
        with redirect_stdout(StringIO()), redirect_stderr(StringIO()):
            code = main(["allergens", "--pdf", str(file)])
        assert code in (0, 1, 2)

    return one


def main_(seconds: float) -> int:
    seed = random.SystemRandom().randrange(10**9)
    print(f"seed {seed}")
    failed = 0
    for name, start in (("kitchens", kitchens), ("supplier statements", statements), ("label PDFs", pdfs)):
        one, count, longest, end = start(random.Random(seed)), 0, 0.0, time.monotonic() + seconds
        while time.monotonic() < end:
            begun = time.monotonic()
            try:
                one()
            except LabelError:
                pass
            except Exception:
                failed += 1
                print(f"{name}, input {count}:")
                traceback.print_exc(limit=-4)
                if failed > 5:
                    return 1
            count += 1
            longest = max(longest, time.monotonic() - begun)
        print(f"{name}: {count} spoilt inputs in {seconds:g} s, longest {longest:.2f} s")
    print(f"{failed} escaped as anything but a clear error")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main_(float(sys.argv[1]) if len(sys.argv) > 1 else 60))
