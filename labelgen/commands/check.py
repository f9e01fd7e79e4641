"""``labelgen check``: every finding of a kitchen, and with a market what that market's law still asks."""

from __future__ import annotations

from dataclasses import replace

from labelgen.errors import Finding, by_danger

HELP = (
    "Read a kitchen whole and show every finding, the most dangerous first; with --market also what that"
    " law still asks."
)
EXAMPLE = "labelgen check my-kitchen --market au"


def add_arguments(parser) -> None:
    parser.add_argument("folder", nargs="?", metavar="KITCHEN", help="the kitchen folder")
    parser.add_argument(
        "--all", action="store_true", dest="everything", help="show the notes too, not only their number"
    )


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output

    rolled = roll_up_folder(args.folder or args.kitchen, args.on)
    codes = output.market_codes(args.market) or (rolled.kitchen.markets if rolled.kitchen else ())
    of: dict[Finding, list[str]] = {}
    for code in codes:
        for f in dict.fromkeys(
            findings_of_market(rolled, output.order_of(args, rolled, code), asked=bool(args.market))
        ):
            of.setdefault(f, []).append(code)
    findings = by_danger((*rolled.findings, *of))
    if args.json:
        output.print_json([{**f.as_dict(), "markets": of.get(f, [])} for f in findings])
        return output.exit_code(findings)
    output.print_by_danger(_said_once(findings, of, len(codes)), args.everything, ("asked-", "exemption-"))
    hidden = (
        0
        if args.everything
        else sum(f.severity == "note" and not f.code.startswith(("asked-", "exemption-")) for f in findings)
    )
    blocking = sum(f.blocks for f in findings)
    more = f"; {hidden} notes are not shown: --all shows them" if hidden else ""
    print(
        f"{len(rolled.profiles)} products weighed out; {len(findings)} findings, {blocking} that block a"
        f" label{more}."
    )
    return output.exit_code(findings)


def _said_once(findings: list[Finding], of: dict[Finding, list[str]], markets: int) -> list[Finding]:
    """Findings that begin with the same sentence at the same place, once; those of some of the
    ``markets``, with which.
    """
    alike: dict[tuple, list[Finding]] = {}
    for f in findings:
        alike.setdefault((f.code, f.severity, f.where, _first(f)), []).append(f)
    told = []
    for first, *more in alike.values():
        codes = dict.fromkeys(code for f in (first, *more) for code in of.get(f, ()))
        told.append(
            replace(first, said=f"[{', '.join(codes)}] {first.said}") if 0 < len(codes) < markets else first
        )
    return told


def _first(finding: Finding) -> str:
    """What is wrong, which is the same in every market; a finding not yet parted tells it in its first
    sentence.
    """
    return finding.said if finding.do else finding.said.partition(". ")[0]


def findings_of_market(rolled, order, asked: bool):
    """What declaring every product for the market finds, what its law asks besides, and who may be let off
    what.
    """
    if rolled.kitchen is None:
        return ()
    from labelgen.chain import declare_product
    from labelgen.law.pack import read_pack
    from labelgen.market.asked import list_asked, list_exemptions
    from labelgen.market.declare import declare

    pack, kitchen = read_pack(order.market, order.on), rolled.kitchen
    declarations = {
        key: declare(profile, kitchen.products[key], kitchen, order)
        for key, profile in rolled.profiles.items()
    }
    boxes = [key for key, box in kitchen.boxes.items() if all(name in rolled.profiles for name in box.holds)]
    every = (*declarations.values(), *(declare_product(rolled, key, order) for key in boxes))
    found = list(dict.fromkeys(f for d in every for f in d.findings))
    return (
        found
        if not asked
        else (*found, *list_asked(pack, kitchen, declarations), *list_exemptions(pack, kitchen))
    )
