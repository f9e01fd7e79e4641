"""Finds the two data folders, ``reference/`` and ``templates/``, and the user's cache folder.

In a checkout the folders stand beside the package; in an installed wheel they lie inside it under
``labelgen/_data``. Nothing else in the package builds a path to them.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from functools import cache
from pathlib import Path
from typing import Any

#: A file larger than this is no label and no recipe [bytes].
LARGEST_FILE = 200_000_000
_PACKAGE = Path(__file__).resolve().parent


@cache
def data_root() -> Path:
    """The folder that holds ``reference`` and ``templates``.

    Raises FileNotFoundError if the installation carries neither.
    """
    for root in (_PACKAGE / "_data", _PACKAGE.parent):
        if (root / "reference").is_dir() and (root / "templates").is_dir():
            return root
    raise FileNotFoundError(
        f"labelgen's data folders are missing beside {_PACKAGE}: reinstall the package with pip"
    )


def reference(*parts: str) -> Path:
    """A path below ``reference/`` (law, food values, word lists)."""
    return data_root().joinpath("reference", *parts)


def read_rows(*parts: str) -> list[dict[str, str]]:
    """The rows of a table below ``reference/``; lines that begin with # are remarks."""
    import csv

    with reference(*parts).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def market_roots() -> tuple[Path, ...]:
    """The folders that hold a folder per market: labelgen's own, then those ``LABELGEN_MARKETS`` names."""
    more = os.environ.get("LABELGEN_MARKETS", "")
    return (reference("markets"), *(Path(p) for p in more.split(os.pathsep) if p))


def market(code: str, *parts: str) -> Path:
    """A path below a market's folder, wherever that is; labelgen's own folder where there is none."""
    found = next((root for root in market_roots() if (root / code).is_dir()), reference("markets"))
    return found.joinpath(code, *parts)


def templates(*parts: str) -> Path:
    """A path below ``templates/`` (label stock, panel arrangement, starter kitchens)."""
    return data_root().joinpath("templates", *parts)


def cache_dir() -> Path:
    """The user's cache folder for labelgen; ``LABELGEN_CACHE`` overrides the platform's choice."""
    override = os.environ.get("LABELGEN_CACHE")
    if override:
        return Path(override)
    from platformdirs import user_cache_path

    return user_cache_path("labelgen", appauthor=False)


def read_plain(path: str | Path) -> bytes:
    """A file somebody named, whole. Raises OSError for what is no plain file (a pipe or device would never
    end) or larger than any label.
    """
    import errno
    import stat

    status = os.stat(path)
    if stat.S_ISDIR(status.st_mode):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    if not stat.S_ISREG(status.st_mode):
        raise OSError(errno.EINVAL, "is no plain file", str(path))
    if status.st_size > LARGEST_FILE:
        raise OSError(errno.EINVAL, f"is larger than {LARGEST_FILE:,} bytes", str(path))
    return Path(path).read_bytes()


def keep(path: Path, data: bytes) -> None:
    """Writes a file of the cache whole or not at all, whoever else writes it; a cache that cannot be
    written is no fault.
    """
    import tempfile

    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            os.replace(name, path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError:
        return


def made_once(name: str, sources: Iterable[Path], make: Callable[[], Any]) -> Any:
    """What ``make`` gives, as JSON knows it. It is made once, then kept in the cache folder under a name
    that ends in a hash of its sources: the data files and, where its form may change, the code. What is kept
    begins with its own hash and counts only if that is right.
    """
    import hashlib
    import json

    def hash_of(data: bytes) -> str:
        return hashlib.blake2b(data, digest_size=12).hexdigest()

    kept = cache_dir() / f"{name}-{hash_of(b'|'.join(p.read_bytes() for p in sources))}.json"
    try:
        said, _, data = kept.read_bytes().partition(b"\n")
        if said.decode() == hash_of(data):
            return json.loads(data)
    except (OSError, ValueError):
        pass  # not there yet, or spoilt
    data = json.dumps(make(), ensure_ascii=False, separators=(",", ":")).encode()
    keep(kept, f"{hash_of(data)}\n".encode() + data)
    return json.loads(data)
