"""``labelgen check``: every finding of a kitchen, and with a market what that market's law still asks."""

from __future__ import annotations

from datetime import date

HELP = "Read a kitchen whole and show every finding, the most dangerous first; with --market also what that law still asks."
EXAMPLE = "labelgen check my-kitchen --market au"


def add_arguments(parser) -> None:
    parser.add_argument("folder", nargs="?", metavar="KITCHEN", help="the kitchen folder")
    parser.add_argument("--all", action="store_true", dest="everything", help="show the notes too, not only their number")


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output
    from labelgen.errors import by_danger

    rolled = roll_up_folder(args.folder or args.kitchen)
    codes = output.market_codes(args.market) or (rolled.kitchen.markets if rolled.kitchen else ())
    of_markets = [f for code in codes for f in findings_of_market(rolled, code, args.on or date.today(), asked=bool(args.market))]
    findings = by_danger((*rolled.findings, *of_markets))
    if args.json:
        output.print_json([f.as_dict() for f in findings])
        return output.exit_code(findings)
    output.print_by_danger(findings, args.everything, ("asked-", "exemption-"))
    hidden = 0 if args.everything else sum(f.severity == "note" and not f.code.startswith(("asked-", "exemption-")) for f in findings)
    blocking = sum(f.blocks for f in findings)
    more = f"; {hidden} notes are not shown: --all shows them" if hidden else ""
    print(f"{len(rolled.profiles)} products weighed out; {len(findings)} findings, {blocking} that block a label{more}.")
    return output.exit_code(findings)


def findings_of_market(rolled, market: str, on: date, asked: bool):
    """What declaring every product for the market finds, what its law asks besides, and who may be let off what."""
    if rolled.kitchen is None:
        return ()
    from labelgen.market.asked import list_asked, list_exemptions
    from labelgen.market.declare import declare
    from labelgen.market.law.pack import read_pack

    pack, kitchen = read_pack(market, on), rolled.kitchen
    declarations = {key: declare(profile, kitchen.products[key], kitchen, market, on) for key, profile in rolled.profiles.items()}
    found = [f for d in declarations.values() for f in d.findings]
    return found if not asked else (*found, *list_asked(pack, kitchen, declarations), *list_exemptions(pack, kitchen))
