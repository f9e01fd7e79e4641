"""``labelgen round``: one market's declared text for an amount, or for a file of them."""

from __future__ import annotations

import csv
import io
import re
import sys
from datetime import date

from labelgen.export.cells import harmless
from labelgen.paths import read_plain

NAME = "round"
HELP = "Show how a market's law prints an amount, for example a laboratory's result per serving."
EXAMPLE = "labelgen round total_fat 4.75 --market us"
COLUMNS = ("case", "rule", "input", "expected")


def add_arguments(parser) -> None:
    parser.add_argument(
        "nutrient",
        nargs="?",
        metavar="NUTRIENT",
        help="a nutrient (fat, FASAT, calcium) or a rule such as pct_dv_sodium",
    )
    parser.add_argument(
        "amount",
        nargs="?",
        metavar="AMOUNT",
        help="the unrounded amount per serving, in the rule's unit or with its own ('145 mg')",
    )
    parser.add_argument(
        "--csv", metavar="FILE", help="check a file with the columns case,rule,input,unit,expected"
    )


def run(args) -> int:
    from labelgen.commands import output
    from labelgen.law.by_name import declare_rule
    from labelgen.law.pack import read_pack

    pack = read_pack(args.market or "us", args.on or date.today())
    if args.csv:
        return _check_file(args.csv, pack, args.json)
    if args.nutrient is None or args.amount is None:
        print(
            "labelgen round: give a nutrient and an amount, or --csv FILE; for example: " + EXAMPLE,
            file=sys.stderr,
        )
        return 2
    rule = rule_named(pack, args.nutrient)
    number, unit = _split(args.amount)
    declared = declare_rule(pack, rule, number, unit)
    if args.json:
        output.print_json(
            {
                "market": pack.market,
                "on": str(pack.on),
                "rule": rule,
                "amount": args.amount,
                "declared": declared.text,
                "source": declared.source,
            }
        )
    else:
        print(declared.text)
    return 0


def rule_named(pack, word: str) -> str:
    """A rule as typed, or the market's rule for a nutrient's name or tagname such as ``fat`` or FASAT."""
    from labelgen.law.figure_tables import Formula, Percent, Rounding

    rule = re.sub(r"[\s-]+", "_", word.strip().lower())
    if pack.find(Rounding, rule) or (pack.has(Formula) and pack.find(Formula, rule)):
        return rule
    from labelgen.law.by_name import percent_of, significance_of

    nutrient = significance_of(pack, rule)[1] or percent_of(pack, rule)
    if nutrient and pack.find(Percent, nutrient):
        return rule
    row = _nutrient_row(pack, nutrient or rule)
    if row is None:
        return rule
    return rule.replace(nutrient, row.key) if nutrient else row.rule


def _nutrient_row(pack, word: str):
    """The market's panel row for a nutrient, by the market's key or by what labelgen calls it; None if
    there is none.
    """
    from labelgen.errors import CompositionError
    from labelgen.law.figure_tables import Nutrient
    from labelgen.nutrients import key_of

    row = pack.find(Nutrient, word)
    if row is None:
        try:
            tag = key_of(word)
        except CompositionError:
            return None
        row = next((e for e in pack.entries(Nutrient) if e.tag == tag), None)
    return row


def _split(amount: str) -> tuple[str, str]:
    match = re.fullmatch(r"\s*([-+\d.eE]+?)\s*([A-Za-zµμ]+(?:\s+[^\W\d][^\s\d]*)*)?\s*", amount)
    return (match[1], match[2] or "") if match else (amount, "")


def _check_file(path: str, pack, as_json: bool) -> int:
    """Prints case,expected,got,ok for every row; 0 when all agree."""
    from labelgen.commands import output

    try:
        reader = csv.DictReader(io.StringIO(read_plain(path).decode("utf-8-sig"), newline=""))
        if missing := [c for c in COLUMNS if c not in (reader.fieldnames or ())]:
            print(
                f"labelgen round: {path}:1: the columns {', '.join(missing)} are missing: the first"
                " line must read case,rule,input,unit,expected,source",
                file=sys.stderr,
            )
            return 2
        checked = [_check_row(row, f"{path}:{reader.line_num}", pack) for row in reader]
    except UnicodeDecodeError:
        print(f"labelgen round: {path}: is not UTF-8 text: save it as CSV in UTF-8", file=sys.stderr)
        return 2
    except csv.Error as error:
        print(f"labelgen round: {path}: is not readable CSV ({error}): save it again as CSV", file=sys.stderr)
        return 2
    if not checked:
        print(
            f"labelgen round: {path}: holds no rows under its heading: add one case a line", file=sys.stderr
        )
        return 2
    if as_json:
        output.print_json(checked)
    else:
        writer = csv.writer(sys.stdout, lineterminator="\n")
        writer.writerow(("case", "expected", "got", "ok"))
        for c in checked:
            cells = (c[k] for k in ("case", "expected", "got"))
            writer.writerow((*map(harmless, cells), "yes" if c["ok"] else "no"))
    return 0 if all(c["ok"] for c in checked) else 1


def _check_row(row: dict, at: str, pack) -> dict:
    """case, expected, got ("" with a message where nothing could be worked out), ok."""
    from labelgen.errors import LabelError
    from labelgen.law.by_name import declare_rule

    case, rule, given, expected = ((row[c] or "").strip() for c in COLUMNS)
    got = ""
    try:
        if absent := [c for c in COLUMNS if not (row[c] or "").strip()]:
            raise LabelError(f"{', '.join(absent)} left empty: fill the row up")
        got = _as_asked(declare_rule(pack, rule_named(pack, rule), given, row["unit"] or "").text, expected)
    except LabelError as error:
        print(f"labelgen round: {at}: {error}", file=sys.stderr)
    return {"case": case, "expected": expected, "got": got, "ok": _same(got, expected)}


def _same(got: str, expected: str) -> bool:
    """Equal but for spaces, case and zeros at the end of a figure; ``|`` separates accepted alternatives."""
    return bool(got) and _plain(got) in [_plain(e) for e in expected.split("|")]


def _plain(text: str) -> str:
    squeezed = re.sub(r"\s", "", text).lower()
    return re.sub(r"\d+\.\d+", lambda m: m[0].rstrip("0").rstrip("."), squeezed)


def _as_asked(got: str, expected: str) -> str:
    """The declared text, without its unit where the file states figures only."""
    figure = re.fullmatch(r"(\D*\d[\d.]*)\s*(?:kJ|kcal|Cal|g|mg|µg|mcg|%)", got)
    return (
        figure[1]
        if figure and all(re.fullmatch(r"\D*\d[\d.]*", e.strip()) for e in expected.split("|"))
        else got
    )
