"""``labelgen round``: one market's declared text for an amount, or for a file of them."""

from __future__ import annotations

import csv
import re
import sys
from datetime import date

HELP = "Show how a market's law prints an amount, for example a laboratory's result per serving."
EXAMPLE = "labelgen round total_fat 4.75 --market us"
COLUMNS = ("case", "rule", "input", "expected")


def add_arguments(parser) -> None:
    parser.add_argument("nutrient", nargs="?", metavar="NUTRIENT", help="a rule such as total_fat, calcium_amount or pct_dv_sodium")
    parser.add_argument("amount", nargs="?", metavar="AMOUNT", help="the unrounded amount per serving")
    parser.add_argument("--csv", metavar="FILE", help="check a file with the columns case,rule,input,unit,expected")


def run(args) -> int:
    from labelgen.commands import output
    from labelgen.market.pack import read_pack
    from labelgen.market.rounding import declare_rule

    pack = read_pack(args.market or "us", args.on or date.today())
    if args.csv:
        return _check_file(args.csv, pack)
    if args.nutrient is None or args.amount is None:
        print("labelgen round: give a nutrient and an amount, or --csv FILE; for example: " + EXAMPLE, file=sys.stderr)
        return 2
    rule = _rule_named(pack, args.nutrient)
    declared = declare_rule(pack, rule, args.amount)
    if args.json:
        output.print_json({"market": pack.market, "rule": rule, "amount": args.amount, "declared": declared.text, "source": declared.source})
    else:
        print(declared.text)
    return 0


def _rule_named(pack, word: str) -> str:
    """A rule as typed, or the market's rule for a friendly name or tagname such as ``fat`` or FASAT."""
    rule = re.sub(r"[\s-]+", "_", word.strip().lower())
    if rule.startswith("pct_dv_") or pack.find("rounding", rule):
        return rule
    from labelgen.errors import CompositionError
    from labelgen.nutrients import NUTRIENTS, key_of

    try:
        key = key_of(word)
    except CompositionError:
        return rule
    names = next(n for n in NUTRIENTS if n.key == key)
    for name in (names.name, *names.words):
        base = name.replace(" ", "_").replace("fibre", "fiber")
        for form in (base, f"{base}_amount", {"energy": "calories", "polyols": "sugar_alcohol"}.get(base, base)):
            if pack.find("rounding", form):
                return form
    return rule


def _check_file(path: str, pack) -> int:
    """Prints case,expected,got,ok for every row; 0 when all agree."""
    from labelgen.errors import LabelError
    from labelgen.market.rounding import declare_rule

    writer = csv.writer(sys.stdout, lineterminator="\n")
    good = True
    try:
        with open(path, encoding="utf-8-sig", newline="") as f:
            reader = csv.DictReader(f)
            missing = [c for c in COLUMNS if c not in (reader.fieldnames or ())]
            if missing:
                print(f"labelgen round: {path}:1: the columns {', '.join(missing)} are missing: the first line must read case,rule,input,unit,expected", file=sys.stderr)
                return 2
            writer.writerow(("case", "expected", "got", "ok"))
            for row in reader:
                if None in row.values():
                    print(f"labelgen round: {path}:{reader.line_num}: too few columns: fill the row up", file=sys.stderr)
                    good = False
                    continue
                try:
                    got = declare_rule(pack, row["rule"].strip(), row["input"]).text
                except LabelError as error:
                    print(f"labelgen round: {path}:{reader.line_num}: {error}", file=sys.stderr)
                    got = ""
                ok = _same(got, row["expected"])
                good = good and ok
                writer.writerow((row["case"], row["expected"], got, "yes" if ok else "no"))
    except UnicodeDecodeError:
        print(f"labelgen round: {path}: is not UTF-8 text: save it as CSV in UTF-8", file=sys.stderr)
        return 2
    return 0 if good else 1


def _same(got: str, expected: str) -> bool:
    """Equal but for spaces and case; ``|`` separates accepted alternatives."""
    return bool(got) and re.sub(r"\s", "", got).lower() in [re.sub(r"\s", "", e).lower() for e in expected.split("|")]
