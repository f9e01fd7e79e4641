"""``labelgen check``: every finding of a kitchen, and with a market what that market's law still asks."""

from __future__ import annotations

from datetime import date

HELP = "Read a kitchen whole and show every finding, the most dangerous first; with --market also what that law still asks."
EXAMPLE = "labelgen check my-kitchen --market au"


def add_arguments(parser) -> None:
    parser.add_argument("folder", nargs="?", metavar="KITCHEN", help="the kitchen folder")


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output
    from labelgen.errors import by_danger

    rolled = roll_up_folder(args.folder or args.kitchen)
    of_markets = [f for market in output.market_codes(args.market) for f in _of_market(rolled, market, args.on or date.today())]
    findings = by_danger((*rolled.findings, *of_markets))
    if args.json:
        output.print_json([f.as_dict() for f in findings])
    else:
        output.print_findings(findings)
        blocking = sum(f.blocks for f in findings)
        print(f"{len(rolled.profiles)} products weighed out; {len(findings)} findings, {blocking} that block a label.")
    return output.exit_code(findings)


def _of_market(rolled, market: str, on: date):
    """What declaring every product for the market finds, what its law asks besides, and who may be let off what."""
    if rolled.kitchen is None:
        return ()
    from labelgen.market.asked import list_asked, list_exemptions
    from labelgen.market.declare import declare
    from labelgen.market.pack import read_pack

    pack, kitchen = read_pack(market, on), rolled.kitchen
    declarations = {key: declare(profile, kitchen.products[key], kitchen, market, on) for key, profile in rolled.profiles.items()}
    found = [f for d in declarations.values() for f in d.findings]
    return (*found, *list_asked(pack, kitchen, declarations), *list_exemptions(pack, kitchen))
