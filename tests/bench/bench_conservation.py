"""Random kitchens x markets x languages x outputs: what went in must be read in what comes out. Prints
counts, and every loss.

Run ``python tests/bench/bench_conservation.py [KITCHENS] [FIRST SEED]`` (default 10,000 from 0).
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.conservation import OUTPUTS, faults, invent

#: One kitchen in so many has its label drawn, which takes longest.
_LABELS = 12


def main(kitchens: int, first: int) -> int:
    outputs, markets, lost, start = Counter(), Counter(), 0, time.time()
    for seed in range(first, first + kitchens):
        r = random.Random(-seed)
        wanted = [*r.sample(OUTPUTS[:-1], 2), *(["label"] if seed % _LABELS == 0 else [])]
        made = invent(seed)
        with tempfile.TemporaryDirectory() as folder:
            found = faults(made, Path(folder) / "k", r.choice(("pa", "pa", "pb", "both")), wanted, outputs)
        markets[f"{made.market} {made.language}".strip()] += 1
        lost += bool(found)
        if found:
            print(f"seed {seed} ({made.market} {made.language}): {found[:3]}", flush=True)
    print(
        f"{kitchens} kitchens, {sum(outputs.values())} outputs, {lost} kitchens with a loss,"
        f" {time.time() - start:.0f} s"
    )
    print(f"outputs: {dict(outputs)}\nmarkets: {dict(markets)}")
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main(*(int(x) for x in [*sys.argv[1:], *("10000", "0")[len(sys.argv) - 1 :]])))
