"""``labelgen help``: the manual, a topic a page, as Markdown in ``templates/help/``."""

from __future__ import annotations

import sys
from pathlib import Path

HELP = "Show a page of the manual, or the list of its pages."
EXAMPLE = "labelgen help packets"


def add_arguments(parser) -> None:
    parser.add_argument(
        "topic",
        nargs="?",
        metavar="TOPIC",
        default="",
        help="a page of the manual, or the name of a command",
    )


def run(args) -> int:
    from labelgen.commands import COMMANDS, output

    pages, wanted = topics(), args.topic.strip().lower()
    if args.json:
        output.print_json(
            {name: path.read_text(encoding="utf-8") for name, path in pages.items() if wanted in ("", name)}
        )
        return 0 if not wanted or wanted in pages else 2
    if not wanted:
        print("Pages of the manual, shown by 'labelgen help TOPIC':\n")
        output.table([(f"  {name}", *[title_of(path)]) for name, path in pages.items()])
        print(f"\nCommands, each with 'labelgen COMMAND --help': {', '.join(COMMANDS)}")
        return 0
    if wanted in pages:
        _show(pages[wanted].read_text(encoding="utf-8"))
        return 0
    print(f"labelgen help: no page is called {args.topic!r}; pages: {', '.join(pages)}", file=sys.stderr)
    return 2


def topics() -> dict[str, Path]:
    """Name -> file of every page, in the order of their numbers: a file is named ``10-start.md``."""
    from labelgen import paths

    return {path.stem.partition("-")[2]: path for path in sorted(paths.templates("help").glob("[0-9]*-*.md"))}


def title_of(path: Path) -> str:
    """The heading of a page."""
    return path.read_text(encoding="utf-8").partition("\n")[0].lstrip("# ")


def _show(text: str) -> None:
    if not sys.stdout.isatty():
        print(text.rstrip())
        return
    from rich.markdown import Markdown

    from labelgen.terminal import coloured

    coloured().print(Markdown(text))
