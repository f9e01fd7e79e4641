"""Food search: latency of each query of the evaluation set, as found and with nothing remembered. Not a
test.
"""

import csv
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

from labelgen.composition.dataset import open_dataset
from labelgen.composition.search import rank as searchrank
from labelgen.composition.search import search_words as searchwords
from labelgen.composition.search.food_search import search


def main() -> None:
    with open(
        Path(__file__).parent.parent / "composition" / "search_queries.csv", encoding="utf-8", newline=""
    ) as f:
        rows = list(csv.DictReader(f))
    dataset = open_dataset()
    start = time.perf_counter()
    search(dataset, "plain flour")
    print(f"first search of a process, tables read: {1000 * (time.perf_counter() - start):.1f} ms")
    for title, forget in (("names remembered", False), ("nothing remembered", True)):
        spent = []
        for row in rows:
            if forget:
                searchrank.take_apart.cache_clear()
                searchrank.take_alias.cache_clear()
                searchwords.stem.cache_clear()
            start = time.perf_counter()
            search(dataset, row["query"])
            spent.append(1000 * (time.perf_counter() - start))
        spent.sort()
        print(
            f"{len(spent)} queries, {title}: median {median(spent):.2f} ms (goal 5), 95 % below"
            f" {spent[int(0.95 * len(spent))]:.1f} ms, slowest {spent[-1]:.1f} ms"
        )
    times = {}
    for name, code in (
        ("bare python", "pass"),
        ("import search", "import labelgen.composition.search.food_search"),
    ):
        runs = []
        for _ in range(7):
            start = time.perf_counter()
            subprocess.run([sys.executable, "-c", code], check=True)
            runs.append(time.perf_counter() - start)
        times[name] = min(runs)
    print(f"import of search against bare python: {times['import search'] / times['bare python']:.1f} x")


if __name__ == "__main__":
    main()
