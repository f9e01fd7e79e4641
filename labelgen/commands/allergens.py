"""``labelgen allergens``: what a packet's or label's words declare, alone or against a product."""

from __future__ import annotations

import json
import sys
from datetime import date

PARTS = ("contains", "may_contain", "undeclared", "not_found", "misnamed", "not_emphasised", "also_found")
HELP = "Find the allergens in a packet's or label's words; compare them with a product."
EXAMPLE = 'labelgen allergens --text "sugar, whey powder, soy lecithin" --market us'


def add_arguments(parser) -> None:
    source = parser.add_mutually_exclusive_group()
    source.add_argument("--text", help="the words, as printed")
    source.add_argument("--pdf", metavar="FILE", help="a label as PDF")
    source.add_argument(
        "--lines",
        metavar="FILE",
        help=(
            "many texts, one a line (a line that is a JSON string may hold line breaks); - for standard input"
        ),
    )
    parser.add_argument(
        "--product",
        metavar="PRODUCT",
        help=(
            "compare with this product of the kitchen; without a text: what is in it, what may be, and why"
        ),
    )
    source.add_argument(
        "--having",
        metavar="ALLERGENS",
        help="which products of the kitchen hold, or may hold, any of these: milk,egg",
    )
    source.add_argument(
        "--without",
        metavar="ALLERGENS",
        help="which products of the kitchen hold none of these, as far as is known",
    )


def run(args) -> int:
    from labelgen.commands import output
    from labelgen.market.allergens.existing_label import compare_label

    if args.lines is not None:
        return _run_lines(args)
    if args.text is None and args.pdf is None:
        return _run_kitchen(args)
    text, bold, slanted, hidden = (args.text, None, (), "") if args.pdf is None else _pdf_text(args.pdf)
    if text is None:
        return 2
    derived, market, misread = None, args.market or "us", False
    if args.product:
        from labelgen.chain import roll_up_folder
        from labelgen.market.allergens.declaration import pack_of
        from labelgen.market.allergens.thresholds import without_small_amounts

        rolled = roll_up_folder(args.kitchen, args.on)
        profile = output.product_of(rolled, args.product)
        if profile is None:
            return 1
        misread = output.at_fault(rolled, args.product)
        market = args.market or rolled.kitchen.markets[0]
        pack = pack_of(market, args.on or date.today())
        profile, _ = without_small_amounts(pack, rolled.kitchen.products[args.product], profile)
        derived = tuple(h for i in profile.ingoing for h in i.ingredient.contains)
    result = compare_label(text, market, args.on or date.today(), derived, bold, slanted)
    shown, unread = _result(result), _is_unread(result)
    if args.json:
        output.print_json(shown | ({"hidden": hidden} if hidden else {}))
    else:
        _print(result, shown)
    return (
        1
        if misread or hidden or unread or result.undeclared or result.misnamed or result.not_emphasised
        else 0
    )


def _run_kitchen(args) -> int:
    """What is in one product, or which products answer the question; 1 if something of the kitchen could
    not be read.
    """
    from labelgen.chain import declare_product, roll_up_folder
    from labelgen.commands import output
    from labelgen.market.allergens.in_product import answers_for, codes_asked, what_is_in

    question = args.having if args.having is not None else args.without
    if question is None and not args.product:
        print(
            "labelgen allergens: give a text (--text, --pdf, --lines), a --product, or ask which products:"
            " --having milk,egg or --without nuts",
            file=sys.stderr,
        )
        return 2
    codes = codes_asked(question) if question is not None else ()
    rolled = roll_up_folder(args.kitchen, args.on)
    keys, left_out = ([args.product], []) if args.product else output.every_product(rolled)
    if args.product and not output.can_declare(rolled, args.product):
        return 1
    order, stopped = output.order_of(args, rolled), [f for key in keys for f in rolled.stops.get(key, ())]
    output.print_findings(list(dict.fromkeys(stopped)), sys.stderr)
    answers = {key: what_is_in(declare_product(rolled, key, order)) for key in keys}
    if question is not None:
        answers = {key: answers_for(codes, every) for key, every in answers.items()}
        answers = {key: every for key, every in answers.items() if bool(every) == (args.having is not None)}
    if args.json:
        output.print_json(
            {
                "asked": list(codes),
                "products": {key: [vars(a) for a in every] for key, every in answers.items()},
                "left_out": left_out,
            }
        )
    else:
        for key, every in answers.items():
            print(f"{key}:" if every else key)
            for a in every:
                print(f"  {a.part}: {a.name}{f' [{a.allergen}]' if a.allergen else ''}: {a.because}")
        if (not any(answers.values()) and args.product and question is None) or not answers:
            print("none found")
        print(
            "A word list is no proof of absence: compare with the packets; in doubt ask the competent food"
            " authority."
        )
    return 1 if stopped or left_out else 0


def _run_lines(args) -> int:
    """One text a line in, one JSON object a line out; 1 if any text was not read."""
    from labelgen.market.allergens.existing_label import compare_label

    if args.product:
        print("labelgen allergens: --lines reads texts alone: leave out --product", file=sys.stderr)
        return 2
    market, on, lost = args.market or "us", args.on or date.today(), False
    try:
        file = sys.stdin.buffer if args.lines == "-" else open(args.lines, "rb")  # noqa: SIM115
        with file:
            for line in file:
                result = compare_label(_line_text(line), market, on)
                lost = lost or _is_unread(result)
                print(json.dumps(_result(result), ensure_ascii=True))
    except OSError as error:
        print(
            f"labelgen allergens: {args.lines} cannot be read ({error.strerror}): check the file's name",
            file=sys.stderr,
        )
        return 2
    return 1 if lost else 0


def _line_text(line: bytes) -> str:
    """The text of one line: as it stands, or what a JSON string on it says."""
    text = line.decode("utf-8-sig", "replace").rstrip("\r\n")
    if text.lstrip().startswith('"'):
        try:
            said = json.loads(text)
        except (ValueError, RecursionError):
            return text
        return said if isinstance(said, str) else text
    return text


def _is_unread(result) -> bool:
    from labelgen.composition.text.understood import NOT_READ

    return result.reading.verdict == NOT_READ


def _result(result) -> dict:
    """A comparison as JSON: hits by part, and how much of the text was understood."""
    names, reading = dict(result.names), result.reading
    shown = {part: [_shown(hit, names) for hit in getattr(result, part)] for part in PARTS}
    return {
        **shown,
        "read": reading.share,
        "unread": list(reading.unread),
        "looks_like": reading.looks_like,
        "verdict": reading.verdict,
    }


def _print(result, shown: dict) -> None:
    from labelgen.composition.text.lexicon import spoken

    nothing = result.reading.verdict if _is_unread(result) else "none found"
    if result.reading.told:
        print(
            f"{result.reading.told[0].upper()}{result.reading.told[1:]}: do not rely on this answer; ask"
            " the supplier what is in it."
        )
    for part in PARTS:
        hits = shown[part]
        print(
            f"{part.replace('_', ' ')}:"
            f" {', '.join(h['name'] or spoken(h['allergen']) for h in hits) or nothing}"
        )
        for h in hits:
            print(f"  {h['allergen']}: {h['because']}")
    print(
        f"read: {result.reading.share:.0%} of the words"
        + (f"; not known: {', '.join(result.reading.unread)}" if result.reading.unread else "")
    )
    print(
        "A word list is no proof of absence: check with the supplier; in doubt ask the competent food"
        " authority."
    )


def _shown(hit, names: dict[str, str]) -> dict[str, str]:
    """One hit as JSON. Fish and shellfish go by their group's code, with the species beside it."""
    group, _, species = hit.allergen.partition("/")
    by_group = group in ("fish", "crustacean", "mollusc") and species
    return {
        "allergen": group if by_group else hit.allergen,
        **({"species": species} if by_group else {}),
        "name": names.get(hit.allergen, ""),
        "because": hit.because,
    }


def _pdf_text(path: str) -> tuple:
    """The words of a PDF and the places of them in bold and slanted type, and what cannot be seen; no
    text, with a message, when it has none or cannot be read.
    """
    from labelgen.errors import ReadBackError
    from labelgen.paths import read_plain
    from labelgen.pdf.apart import read_apart
    from labelgen.pdf.label_words import read_words

    try:
        read = read_apart(read_words, read_plain(path))
    except OSError as error:
        print(
            f"labelgen allergens: {path} cannot be read ({error.strerror}): check the file's name",
            file=sys.stderr,
        )
        return None, (), (), ""
    except ReadBackError as error:
        print(
            f"labelgen allergens: {path} is NOT READ: {error}, or paste its words with --text",
            file=sys.stderr,
        )
        return None, (), (), ""
    if read.unlike:
        print(
            f"labelgen allergens: {path} is NOT READ: the letters it draws for {read.unlike[:60]!r} are not"
            " these letters, so nothing tells what it says: type what you see with --text",
            file=sys.stderr,
        )
        return None, (), (), ""
    hidden = " ".join(read.hidden.split())
    if hidden:
        print(
            f"labelgen allergens: {path} holds words that cannot be seen on paper (covered, cut off, off"
            f" the page, too small, too pale, in a layer that is off): they count for nothing: {hidden!r}",
            file=sys.stderr,
        )
    if not read.text.strip():
        print(f"labelgen allergens: {path} holds no words (a scan?): type them with --text", file=sys.stderr)
        return None, (), (), ""
    return read.text, read.bold, read.slanted, hidden
