"""Fuzzing led by coverage: input is changed towards lines of labelgen not reached before; nothing but a clear
error may come out.

    pip install atheris; python tests/bench/bench_guided.py [SECONDS EACH]

Each of the three readers of other people's files runs in a process of its own, which libFuzzer ends.
"""

import csv
import os
import subprocess
import sys
import tempfile
from contextlib import redirect_stderr, redirect_stdout, suppress
from io import StringIO
from pathlib import Path

from labelgen.order import Order

READERS = ("recipe", "statement", "pdf")


def fuzz(reader: str, seconds: int) -> None:
    import atheris

    with atheris.instrument_imports(include=["labelgen"]):
        # what is imported only when it is needed
        import labelgen.pdf.label_words  # noqa: F401
        from labelgen import paths
        from labelgen.chain import make_label, roll_up_folder
        from labelgen.cli import main
        from labelgen.composition.text.lexicon import find_allergens
        from labelgen.composition.text.statement import read_statement
        from labelgen.errors import LabelError

    demo = paths.templates("kitchens", "demo")
    folder = Path(tempfile.mkdtemp())
    seeds = folder / "seeds"
    seeds.mkdir()
    if reader == "recipe":
        kitchen = folder / "kitchen"
        (kitchen / "ingredients").mkdir(parents=True)
        (kitchen / "kitchen.yaml").write_bytes((demo / "kitchen.yaml").read_bytes())
        good = [p.read_bytes() for p in sorted(demo.glob("*/*.yaml"))]

        def read(data: bytes) -> None:
            (kitchen / "ingredients" / "all.yaml").write_bytes(data)
            roll_up_folder(kitchen)

    elif reader == "statement":
        with open(Path(__file__).parents[1] / "allergens" / "texts.csv", encoding="utf-8", newline="") as f:
            good = [
                row["text"].encode() for row in csv.DictReader(line for line in f if not line.startswith("#"))
            ]

        def read(data: bytes) -> None:
            text = data.decode("utf-8", "replace")
            read_statement(text), find_allergens(text)

    else:
        from datetime import date

        rolled = roll_up_folder(demo)
        good = [
            make_label(rolled, key, Order("us", date(2026, 11, 25)))[0] for key in list(rolled.profiles)[:2]
        ]
        file = folder / "label.pdf"

        def read(data: bytes) -> None:
            file.write_bytes(data)
            with redirect_stdout(StringIO()), redirect_stderr(StringIO()):
                assert main(["allergens", "--pdf", str(file)]) in (0, 1, 2)

    for number, data in enumerate(good):
        (seeds / str(number)).write_bytes(data)

    def one(data: bytes) -> None:
        with suppress(LabelError):
            read(data)

    atheris.Setup(
        [
            sys.argv[0],
            str(seeds),
            f"-max_total_time={seconds}",
            "-max_len=60000",
            "-timeout=20",
            "-verbosity=0",
            "-print_final_stats=1",
            f"-artifact_prefix={folder}/",
        ],
        one,
    )
    atheris.Fuzz()


def run(seconds: int) -> int:
    failed = 0
    for reader in READERS:
        with tempfile.TemporaryDirectory() as folder:
            done = subprocess.run(
                [sys.executable, __file__, str(seconds), reader],
                capture_output=True,
                text=True,
                env={**os.environ, "TMPDIR": folder},
            )
        told = dict(
            line.removeprefix("stat::").split(":", 1)
            for line in done.stderr.splitlines()
            if line.startswith("stat::")
        )
        print(
            f"{reader}: {told.get('number_of_executed_units', 'an unknown number').strip()} inputs,"
            f" {told.get('new_units_added', '?').strip()} of them reached new lines;"
            f" {'all answered clearly' if not done.returncode else 'FAILED'}"
        )
        if done.returncode:
            failed = 1
            print(done.stdout[-2000:], done.stderr[-4000:])
    return failed


if __name__ == "__main__":
    limit = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    if len(sys.argv) > 2:
        fuzz(sys.argv[2], limit)
    else:
        sys.exit(run(limit))
