"""The ``labelgen`` command: reads the command line, calls one command module, prints. Nothing else."""

from __future__ import annotations

import sys

from labelgen.commands import COMMANDS


def start() -> int:
    """``main`` as a maker meets it: a fault of labelgen's own is told in one line. LABELGEN_TRACE=1 shows
    where it arose.
    """
    from labelgen.terminal import settle

    settle()
    try:
        return main()
    except KeyboardInterrupt:
        print("labelgen: stopped", file=sys.stderr)
        return 2
    except Exception as error:
        import os

        if os.environ.get("LABELGEN_TRACE"):
            raise
        print(
            f"labelgen: a fault of labelgen itself, not of your files ({type(error).__name__}:"
            f" {str(error)[:200]}): print nothing of it for sale; to report it, run the same again with"
            " LABELGEN_TRACE=1 set",
            file=sys.stderr,
        )
        return 2
    finally:
        # the process ends: nobody need look for cycles in what is left, which would cost a tenth of a short
        # run
        import gc

        gc.freeze()


def main(argv: list[str] | None = None) -> int:
    """Run one command. Returns the exit code: 0 fine, 1 findings that block, 2 usage."""
    argv = list(sys.argv[1:] if argv is None else argv)
    if argv in (["--version"], ["-V"]):
        from labelgen import __version__

        print(f"labelgen {__version__}")
        return 0
    if argv[:1] == ["help"] and argv[1:] and argv[1] in COMMANDS:
        argv = [argv[1], "--help"]
    import argparse
    import gc
    from importlib import import_module

    # a run makes many small records and drops few of them: looking for cycles at every 700 new ones costs a
    # tenth of it
    gc.set_threshold(50_000)
    parser = argparse.ArgumentParser(
        prog="labelgen",
        description=(
            "From what was weighed in a small kitchen to what may truthfully be printed on the label."
        ),
        epilog=(
            "Figures and allergens are only as right as the packets they come from. Before selling, check"
            " with your food authority. Example: labelgen check my-kitchen"
        ),
    )
    parser.add_argument("--version", "-V", action="store_true", help="print the version")
    subparsers = parser.add_subparsers(dest="command", metavar="COMMAND")
    wanted = next((a for a in argv if a in COMMANDS), None)
    for name in COMMANDS:
        if wanted in (None, name):
            command = import_module(f"labelgen.commands.{name}")
            sub = subparsers.add_parser(
                name, help=command.HELP, description=command.HELP, epilog=f"Example: {command.EXAMPLE}"
            )
            command.add_arguments(sub)
            _shared(sub)
            sub.set_defaults(run=command.run)
        else:
            subparsers.add_parser(name)
    args = parser.parse_args(argv)
    if not args.command:
        parser.print_help()
        return 2
    from labelgen.errors import LabelError

    try:
        return args.run(args)
    except LabelError as error:
        print(f"labelgen: {error}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except OSError as error:
        import errno

        full = error.errno in (errno.ENOSPC, errno.EFBIG, errno.EDQUOT)
        print(
            f"labelgen: {error.filename or 'what was to be printed'}: {error.strerror or error}:"
            f" {'make room on the disk, then try again' if full else 'check the path and its permissions'}",
            file=sys.stderr,
        )
        return 2
    except KeyboardInterrupt:
        print("labelgen: stopped", file=sys.stderr)
        return 2


def _shared(parser) -> None:
    """The options every command takes."""
    from labelgen.commands.output import read_code, read_day

    parser.add_argument(
        "--kitchen", metavar="DIR", default=".", help="the kitchen folder (default: this folder)"
    )
    parser.add_argument(
        "--market",
        metavar="CODE",
        type=read_code,
        default="",
        help="market code, e.g. us (default: the kitchen's first)",
    )
    parser.add_argument(
        "--on",
        metavar="DATE",
        type=read_day,
        default=None,
        help="the label's date, YYYY-MM-DD (default: today)",
    )
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument("--out", metavar="PATH", default="", help="where to write")
