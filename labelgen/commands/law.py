"""``labelgen law``: the rule behind a figure, a word or a finding, with its source, its days and how
surely it was read.
"""

from __future__ import annotations

import sys
from datetime import date
from fnmatch import fnmatchcase

HELP = (
    "Show the rule behind a nutrient, a statement, a table or a finding: where it stands, since when, and"
    " how surely it was read."
)
EXAMPLE = "labelgen law salt --market eu"
_READ = {
    "read": "read in the source",
    "read-secondary": "read in a report of the source",
    "memory": "from memory: compare it with the source",
}


def add_arguments(parser) -> None:
    parser.add_argument(
        "name",
        nargs="?",
        default="",
        metavar="NAME",
        help=(
            "a rule (salt), a table and a rule (rounding/salt), a source (reg-eu-1169-2011), or the code of"
            " a finding"
        ),
    )
    parser.add_argument(
        "--grades",
        action="store_true",
        help="how many rules of each market were read in the source, in a report of it, or are from memory;"
        " with one market, table by table",
    )


def run(args) -> int:
    from labelgen.commands import output
    from labelgen.law.citations import find_rules, near_names, sources
    from labelgen.law.pack import read_pack
    from labelgen.law.registry import markets

    on = args.on or date.today()
    codes = [m.code for m in markets()] if args.market in ("", "all") else [args.market]
    packs = [read_pack(code, on) for code in codes]
    if args.grades or not args.name:
        return _grades(args, packs)
    rules = [(pack, e) for pack in packs for e in find_rules(pack, args.name)]
    cited = _of_findings(args, packs) if not rules else []
    worded = _worded(args.name) if not rules and not cited else []
    known = sources()
    if args.json:
        found = [
            {
                "finding": e.key,
                "severity": e.severities,
                "message": e.message,
                "why": e.why,
                "cites": e.cites,
            }
            for e in worded
        ]
        output.print_json(
            [_rule(pack, e, known) for pack, e in rules]
            + found
            + [
                {
                    "finding": f.code,
                    "market": m,
                    "message": f.message,
                    "why": f.why,
                    **_source(f.citation.partition(" ")[0], known),
                    "locator": f.citation.partition(" ")[2],
                }
                for m, f in cited
            ]
        )
    else:
        for pack, entry in rules:
            _show(pack, entry, known)
        for market, finding in cited:
            why = f"  {finding.why}\n" if finding.why else ""
            print(f"{finding.code} ({market}): {finding.message}\n{why}  {_cited(finding.citation, known)}\n")
        for entry in worded:
            print(
                f"{entry.key} ({' or '.join(entry.severities)}):"
                f" {entry.message}\n{entry.why and f'  {entry.why}{chr(10)}'}"
            )
    if rules or cited or worded:
        return 0
    near = list(dict.fromkeys(n for pack in packs for n in near_names(pack, args.name)))
    where = (
        ""
        if _kitchen_here(args)
        else "; for the code of a finding give the kitchen it was found in: --kitchen DIR"
    )
    print(
        f"labelgen law: no rule, table, source or finding of {', '.join(codes)} is called {args.name!r};"
        f" near: {', '.join(near[:6]) or 'none'}{where}",
        file=sys.stderr,
    )
    return 2


def _grades(args, packs) -> int:
    """Rules in force by grade, a line a market, or a table where one market is asked about."""
    from labelgen.commands import output
    from labelgen.law.citations import count_grades

    rows = [
        {"market": pack.market, "table": table, **counts}
        for pack in packs
        for table, counts in count_grades(pack, by_table=len(packs) == 1).items()
    ]
    if args.json:
        output.print_json(rows)
        return 0
    for row in rows:
        total = sum(row[grade] for grade in _READ)
        said = "; ".join(f"{row[grade]} {_READ[grade].partition(':')[0]}" for grade in _READ)
        share = f"{100 * row['read'] / total:.0f} % of {total} rules read"
        print(f"{row['market']} {row['table'] or 'every table'}: {share} ({said})")
    return 0


def _worded(name: str):
    """The wordings of a finding as the catalogue has them, what is in braces open."""
    from labelgen.findings import catalogue

    code = _code(name)
    return [e for e in catalogue().values() if fnmatchcase(code, e.code) or code == e.key]


def _code(name: str) -> str:
    return name.strip().lower().replace("_", "-")


def _of_findings(args, packs):
    """(market, finding) of that code in the kitchen, each source once; [] where there is no kitchen."""
    from labelgen.chain import roll_up_folder
    from labelgen.commands.check import findings_of_market
    from labelgen.order import Order

    if not _kitchen_here(args):
        return []
    rolled = roll_up_folder(args.kitchen, args.on)
    code = _code(args.name)
    found = {}
    for pack in packs:
        for f in (*rolled.findings, *findings_of_market(rolled, Order(pack.market, pack.on), asked=False)):
            if f.code == code:
                found.setdefault((pack.market, f.citation), f)
    return [(market, f) for (market, _), f in found.items()]


def _kitchen_here(args) -> bool:
    from pathlib import Path

    return (Path(args.kitchen) / "kitchen.yaml").is_file()


def _rule(pack, entry, known) -> dict:
    values = {k: _jsonable(v) for k, v in entry.written.items()}
    return {
        "market": pack.market,
        "table": entry.table,
        "key": entry.key,
        "in_force": entry.in_force(pack.on),
        "values": values,
        "effective": str(entry.effective),
        "mandatory": entry.mandatory and str(entry.mandatory),
        "until": entry.until and str(entry.until),
        "locator": entry.locator,
        "grade": entry.grade,
        "reviewed": str(entry.reviewed),
        "note": entry.note,
        **_source(entry.cite, known),
    }


def _source(key: str, known) -> dict:
    source = known.get(key)
    return {
        "cite": key,
        "title": source.title if source else "",
        "issuer": source.issuer if source else "",
        "url": source.url if source else "",
        "source_note": source.note if source else "",
    }


def _jsonable(value):
    from collections.abc import Mapping
    from decimal import Decimal

    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, Mapping):
        return {k: _jsonable(v) for k, v in value.items()}
    return [_jsonable(v) for v in value] if isinstance(value, (list, tuple)) else value


def _show(pack, entry, known) -> None:
    days = (
        f"in force from {entry.effective}"
        + (f", compulsory from {entry.mandatory}" if entry.mandatory else "")
        + (f", until {entry.until}" if entry.until else "")
    )
    print(
        f"{pack.market} {entry.table}/{entry.key}:"
        f" {'; '.join(f'{k} {_plain(v)}' for k, v in entry.written.items())}"
    )
    print(f"  {_cited(entry.source, known)}")
    print(
        f"  {days}{'' if entry.in_force(pack.on) else f'; NOT in force on {pack.on}'};"
        f" {_READ[entry.grade]}, {entry.reviewed}{'; ' + entry.note if entry.note else ''}\n"
    )


def _cited(citation: str, known) -> str:
    if not citation:
        return "no rule of a market stands behind it: it is about the kitchen's own files"
    key, _, locator = citation.partition(" ")
    source = known.get(key)
    if source is None:
        return citation
    return f"{source.title}{', ' + locator if locator else ''} [{key}] {source.url}"


def _plain(value) -> str:
    from collections.abc import Mapping

    if isinstance(value, Mapping):
        return ", ".join(f"{k} {_plain(v)}" for k, v in value.items())
    if isinstance(value, (list, tuple)):
        return " | ".join(_plain(v) for v in value)
    return str(value)
