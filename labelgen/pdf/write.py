"""Writes files whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path


def write_whole(path: Path, data: bytes, before: Callable[[], object] = lambda: None) -> None:
    """Temporary file beside the target, fsync, rename. ``before`` is called once the file is safe and
    before it takes its place. Raises OSError naming the target, and leaves nothing behind on failure.
    """
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


def write_all(files: Mapping[Path, bytes]) -> None:
    """Several files, all of them or none; folders made for them go again on failure. Raises OSError naming
    the file.
    """
    made = sorted(
        {folder for path in files for folder in path.parents if not folder.exists()},
        key=lambda folder: -len(folder.parts),
    )
    written: list[Path] = []
    try:
        for path, data in files.items():
            write_whole(path, data)
            written.append(path)
    except BaseException:
        for path in written:
            path.unlink(missing_ok=True)
        for folder in made:
            with suppress(OSError):
                folder.rmdir()
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
