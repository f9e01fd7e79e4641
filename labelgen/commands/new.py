"""``labelgen new``: a starter kitchen, in the maker's country, language and name."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path

HELP = "Write a starter kitchen that prints into a new folder; what is not given as an option is asked."
EXAMPLE = 'labelgen new my-kitchen --country uk --name "Hill Bakes" --address "1 Hill, Sampleton"'


def add_arguments(parser) -> None:
    parser.add_argument("folder", metavar="DIR")
    parser.add_argument("--country", default="", help="where you sell: us, eu, uk, ca, au or nz")
    parser.add_argument("--language", default="", help="the label's language, e.g. de or fr")
    parser.add_argument("--name", default="", help="your business name, as labels are to print it")
    parser.add_argument("--address", default="", help="your business address, as labels are to print it")
    parser.add_argument(
        "--handles", default="", metavar="A,B", help="allergens in the same room besides, e.g. peanut,sesame"
    )


def run(args) -> int:
    folder = Path(args.folder)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        print(f"labelgen: {folder} is there already and not empty: name a new folder", file=sys.stderr)
        return 2
    from labelgen.commands import output

    _ask(args)
    market = _market(args.country or args.market)
    language = _language(args.language, market)
    written = write_kitchen("starter", folder, lambda files: _own(files, args, market, language))
    if args.json:
        output.print_json({"kitchen": str(folder), "files": [str(path) for path in written]})
        return 0
    print(f"{folder}: edit kitchen.yaml, ingredients/ and recipes/, then run 'labelgen check {folder}'")
    return 0


def _ask(args) -> None:
    """What was not given, asked of who sits at the terminal."""
    if args.json or not sys.stdin.isatty():
        return
    for field, question in (
        ("country", "Where do you sell (us, eu, uk, ca, au, nz)? "),
        ("language", "The label's language (enter for English): "),
        ("name", "Your business name, as the label prints it: "),
        ("address", "Its address: "),
        ("handles", "Other allergens in the same room (such as peanut, sesame; enter for none): "),
    ):
        if not getattr(args, field):
            setattr(args, field, input(question).strip())


def _market(word: str) -> str:
    from labelgen.errors import RecipeError
    from labelgen.law.registry import code_named, market_codes

    code = code_named(word) if word.strip() else "us"
    if code not in market_codes():
        raise RecipeError(f"--country {word}: labelgen has no law of it: write {', '.join(market_codes())}")
    return code


def _language(word: str, market: str) -> str:
    """The code of a language named; "" for the market's first. Raises RecipeError for one it cannot print."""
    from labelgen.errors import RecipeError
    from labelgen.law.registry import market_named
    from labelgen.recipe.values import language_code

    law = market_named(market)
    try:
        code = language_code(word) if word.strip() else law.language[:2]
    except ValueError as error:
        raise RecipeError(f"--language: {error}") from None
    known = [c for c in (*law.also_in, *law.may_be_in) if c in _worded()]
    if code not in (law.language[:2], *known):
        raise RecipeError(
            f"--language {word}: no label of market {market!r} is printed in it: take one of"
            f" {', '.join((law.language[:2], *known))}"
        )
    return "" if code == law.language[:2] else code


def _worded() -> dict[str, dict[str, str]]:
    """Language -> text of the starter -> its wording, from ``templates/kitchens/starter.toml``."""
    from labelgen import paths
    from labelgen.tomlfile import read_toml

    return read_toml(paths.templates("kitchens", "starter.toml"))


def _own(files: dict[str, str], args, market: str, language: str) -> dict[str, str]:
    """The starter's files with what the maker told of the kitchen."""
    from labelgen.law.registry import market_named

    handles = [word.strip() for word in args.handles.split(",") if word.strip()]
    settings = files["kitchen.yaml"]
    for text, said in (("Your bakery", args.name), ("Your street, your town", args.address)):
        if said.strip():
            settings = settings.replace(json.dumps(text), json.dumps(said.strip(), ensure_ascii=False))
    settings = settings.replace("country: us", f"country: {market}").replace("[us]", f"[{market}]")
    settings = settings.replace("handles: []", f"handles: {json.dumps(handles, ensure_ascii=False)}")
    both = next(iter(market_named(market).also_in), "")
    if language and not both:
        settings += f"languages: [{language}]\n"
    wordings = _worded().get(both or language, {})

    def word(found: re.Match) -> str:
        said = wordings.get(found[2].strip('"'))
        if said is None:
            return found[0]
        told = f'{{en: "{found[2]}", {both}: "{said}"}}' if both else f'"{said}"'
        return f"{found[1]}: {told}"

    texts = {name: re.sub(r"(\w+): ([^,{}\[\]\n]+)(?=[,}])", word, text) for name, text in files.items()}
    return {**texts, "kitchen.yaml": settings}


def write_kitchen(template: str, folder: Path, own=lambda files: files) -> list[Path]:
    """One of labelgen's kitchens into a folder, whole or not at all; kitchen.yaml last, since it makes it
    one. own: its texts by name in the folder -> those to write. Returns its files.
    """
    from labelgen import paths
    from labelgen.pdf.write import write_all

    root = paths.templates("kitchens", template)
    files = sorted((p for p in root.rglob("*") if p.is_file()), key=lambda p: (p.name == "kitchen.yaml", p))
    texts = own({p.relative_to(root).as_posix(): p.read_text(encoding="utf-8") for p in files})
    contents = {folder / name: text.encode() for name, text in texts.items()}
    write_all(contents)
    return list(contents)
