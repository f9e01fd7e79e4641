"""What is compiled into the user's cache folder: whole or not at all, whoever else starts at the same
moment.
"""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from labelgen import paths
from labelgen.composition.dataset import _digest

WORDS = """
import json, sys
sys.stdin.readline()
from labelgen.composition.text.lexicon import find_allergens
from labelgen.quantity import read_quantity
found = [h.allergen for h in find_allergens("soyalecithin, whey").contains]
print(json.dumps([found, read_quantity("2 cups milk")[0].millilitres]))
"""
FOODS = """
from labelgen.composition.dataset import open_dataset
food = open_dataset().food("usda/01145")
print(json.dumps([food.name, food.composition.get("FAT")]))
"""


def start(cache: Path, program: str = WORDS) -> subprocess.Popen:
    return subprocess.Popen(
        [sys.executable, "-c", program],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "LABELGEN_CACHE": str(cache)},
    )


def told(*processes: subprocess.Popen) -> list:
    for process in processes:
        process.stdin.write("go\n")
        process.stdin.flush()
    said = [p.communicate()[0] for p in processes]
    assert all(p.returncode == 0 for p in processes)
    return [[json.loads(line) for line in s.splitlines()] for s in said]


def test_two_processes_at_once_in_an_empty_cache(tmp_path):
    both = told(start(tmp_path, WORDS + FOODS), start(tmp_path, WORDS + FOODS))
    assert both[0] == both[1] == told(start(tmp_path, WORDS + FOODS))[0]
    assert both[0][0][0] == ["soy", "milk"] and both[0][1][0] == "Butter, without salt"
    kept = sorted(p.name for p in tmp_path.iterdir())
    assert {"foods", "lexicon", "units"} <= {name.split("-")[0] for name in kept}
    assert not [name for name in kept if name.endswith(".part")] and len(kept) == len(
        {n.rpartition("-")[0] for n in kept}
    )


@pytest.mark.parametrize(
    "spoil",
    [
        lambda p: p.write_bytes(b""),
        lambda p: p.write_bytes(p.read_bytes()[:100]),
        lambda p: p.write_bytes(p.read_bytes().replace(b"milk", b"mild").replace(b"cup", b"cap")),
    ],
    ids=["empty", "cut off", "other words"],
)
def test_a_spoilt_word_list_or_unit_table_is_made_anew(tmp_path, spoil):
    right = told(start(tmp_path))[0]
    for path in (*tmp_path.glob("lexicon-*"), *tmp_path.glob("units-*")):
        spoil(path)
    assert told(start(tmp_path))[0] == right


@pytest.mark.parametrize(
    "spoil",
    [
        lambda p: p.write_bytes(b""),
        lambda p: p.write_bytes(p.read_bytes()[:100]),
        lambda p: p.write_bytes(b"no database" * 999),
    ],
    ids=["empty", "cut off", "other"],
)
def test_a_spoilt_food_table_is_compiled_anew(tmp_path, spoil):
    right = told(start(paths.cache_dir(), WORDS + FOODS))[0]
    (compiled,) = paths.cache_dir().glob(f"foods-{_digest()}.sqlite")
    table = Path(shutil.copy(compiled, tmp_path))
    size = table.stat().st_size
    spoil(table)
    assert told(start(tmp_path, WORDS + FOODS))[0] == right and table.stat().st_size == size


def test_a_full_cache_is_no_fault(tmp_path):
    """The file size limit stands in for a full disk (POSIX setrlimit)."""
    limit = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (65536, 65536))\n"
    assert told(start(tmp_path, limit + WORDS + FOODS))[0][1][0] == "Butter, without salt"
    assert not list(tmp_path.glob("*.part"))


def test_a_cache_that_cannot_be_written_is_no_fault(tmp_path):
    (tmp_path / "taken").write_text("a file where the folder should be", encoding="utf-8")
    assert told(start(tmp_path / "taken"))[0][0][0] == ["soy", "milk"]
