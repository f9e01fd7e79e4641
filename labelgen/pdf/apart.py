"""Reads a PDF that somebody else made in a process of its own, with bounds of time and memory: a file built
to exhaust the machine, or to break its reader, costs no more than a refusal.
"""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

from labelgen.errors import LabelError, ReadBackError

#: What one file may cost: processor time [s], time of waiting [s], memory beyond the reader's own [bytes].
PROCESSOR_SECONDS, WAIT_SECONDS, MEMORY = 10, 60, 500 * 1024**2


def read_apart(function: Callable[..., Any], *given: Any) -> Any:
    """What ``function(*given)`` returns, called in a process of its own; it is a module's, not a nested one.

    Raises the LabelError it raises, and ReadBackError when it takes too long, wants too much memory, fails
    otherwise or brings its process down.
    """
    limits = PROCESSOR_SECONDS, MEMORY
    asked = pickle.dumps((function.__module__, function.__qualname__, given, limits))
    root = str(Path(__file__).resolve().parents[2])
    # one thread: each would take memory of its own; no module is taken from the folder somebody works in
    alone = {"PYTHONPATH": root, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    child = subprocess.Popen(
        [sys.executable, "-P", "-m", "labelgen.pdf.apart"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=os.environ | alone,
    )
    try:
        answer, _ = child.communicate(asked, timeout=WAIT_SECONDS)
    except subprocess.TimeoutExpired:
        raise _unsafe("takes too long") from None
    finally:
        child.kill()
        child.wait()
    if child.returncode in (-signal.SIGXCPU, -signal.SIGKILL):
        raise _unsafe("takes too long")
    if child.returncode or not answer:
        raise _unsafe("breaks its reader")
    failed, result = pickle.loads(answer)
    if not failed:
        return result
    if isinstance(result, LabelError):
        raise result
    wants_more = result == MemoryError.__name__
    raise _unsafe("wants too much memory" if wants_more else f"breaks its reader ({result})")


def _unsafe(why: str) -> ReadBackError:
    return ReadBackError(
        f"the PDF could not be read safely, it {why}: export it again from the program it was made with, or"
        " print it to a new PDF"
    )


def _bound(seconds: int, memory: int) -> None:
    """Limits of this process [s, bytes], as far as its system has them."""
    try:
        import resource
    except ImportError:  # not on this system: the time of waiting alone bounds it
        return
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    except OSError:
        return
    most = pages * resource.getpagesize() + memory
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _answer() -> None:
    module, name, given, limits = pickle.loads(sys.stdin.buffer.read())
    out, sys.stdout = sys.stdout.buffer, sys.stderr
    function = getattr(import_module(module), name)
    import numpy  # noqa: F401  what every reader needs is there before memory is counted
    import pypdfium2  # noqa: F401

    _bound(*limits)
    try:
        made = (False, function(*given))
    except LabelError as error:
        made = (True, error)
    except Exception as error:  # any reader may fail in a hundred ways on a spoilt file; all mean the same
        made = (True, type(error).__name__)
    out.write(pickle.dumps(made))
    out.flush()
    os._exit(0)  # a reader that was broken into may not end well


if __name__ == "__main__":
    _answer()
