"""Whole processes against a bare interpreter, as ratios in one run. Not a test."""

import subprocess
import sys
import tempfile
import time
from pathlib import Path

from labelgen import paths


def best(*command: str, times: int = 7) -> float:
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        spent.append(time.perf_counter() - start)
    return min(spent)


def main() -> None:
    python, kitchen = sys.executable, str(paths.templates("kitchens", "demo"))
    bare = best(python, "-c", "pass")
    print(f"python -c pass: {1000 * bare:.0f} ms")
    print(f"labelgen --version: {best(python, '-m', 'labelgen', '--version') / bare:.1f} x (goal 4)")
    with tempfile.TemporaryDirectory() as out:
        one = best(
            python,
            "-m",
            "labelgen",
            "label",
            "lantern-biscuits",
            "--kitchen",
            kitchen,
            "--out",
            str(Path(out)),
        )
    print(f"one product, file to PDF: {one:.2f} s, {one / bare:.0f} x (goal 0.6 s)")


if __name__ == "__main__":
    main()
