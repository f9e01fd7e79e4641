"""Writes a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from contextlib import contextmanager
from pathlib import Path


def write_whole(path: Path, data: bytes, before: Callable[[], object] = lambda: None) -> None:
    """Temporary file beside the target, fsync, rename. ``before`` is called once the file is safe and before it takes its
    place. Raises OSError naming the target, and leaves nothing behind on failure."""
    with _named(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with _named(path), os.fdopen(handle, "wb") as f:
            f.write(data)
            f.flush()
            os.fsync(f.fileno())
        before()
        with _named(path):
            os.chmod(name, 0o644)
            os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


@contextmanager
def _named(path: Path):
    """Gives an OSError the name of the file that was to be written."""
    try:
        yield
    except OSError as error:
        if error.errno is not None:
            error.filename, error.filename2 = str(path), None
        raise
