"""``labelgen check``: every finding of a kitchen, and with a market what that market's law still asks."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from labelgen.errors import Finding, by_danger

HELP = (
    "Read a kitchen whole and show every finding, the most dangerous first; with --market also what that"
    " law still asks."
)
EXAMPLE = "labelgen check my-kitchen --market au"


def add_arguments(parser) -> None:
    parser.add_argument("folder", nargs="?", metavar="KITCHEN", help="the kitchen folder")
    parser.add_argument(
        "--all", action="store_true", dest="everything", help="show everything, not only what comes first"
    )
    parser.add_argument("--fix", action="store_true", help="show the edits that can mean nothing else")
    parser.add_argument("--yes", action="store_true", help="with --fix: write them")
    parser.add_argument("--undo", action="store_true", help="take back what --fix --yes wrote last")
    parser.add_argument("--why", action="store_true", help="say why, and by which rule")


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output
    from labelgen.commands.screen import print_screen

    folder = Path(args.folder or args.kitchen)
    if args.undo:
        return _undo(folder, args.json)
    if args.fix:
        from labelgen.commands.fix import run_fix

        return run_fix(
            folder,
            lambda kitchen: _everything(args, roll_up_folder(kitchen, args.on))[0],
            args.yes,
            args.json,
        )
    rolled = roll_up_folder(folder, args.on)
    findings, of, markets = _everything(args, rolled)
    if args.json:
        output.print_json([{**f.as_dict(), "markets": of.get(f, [])} for f in findings])
        return output.exit_code(findings)
    left = print_screen(
        _said_once(findings, of, markets), folder, args.everything, args.why, bool(args.market)
    )
    blocking = sum(f.blocks for f in findings)
    if sure := sum(f.edit is not None and f.edit.sure for f in findings):
        print(f"{sure} of these have one remedy only: 'labelgen check {folder} --fix' shows the edits.")
    more = f"; {left} are not shown: --all shows them" if left else ""
    print(
        f"{len(rolled.profiles)} products weighed out; {len(findings)} findings, {blocking} that block a"
        f" label{more}."
    )
    return output.exit_code(findings)


def _everything(args, rolled) -> tuple[list[Finding], dict[Finding, list[str]], int]:
    """(all findings, those of markets -> which, how many markets there are)."""
    from labelgen.commands import output

    codes = output.market_codes(args.market) or (rolled.kitchen.markets if rolled.kitchen else ())
    of: dict[Finding, list[str]] = {}
    for code in codes:
        for f in dict.fromkeys(
            findings_of_market(rolled, output.order_of(args, rolled, code), asked=bool(args.market))
        ):
            of.setdefault(f, []).append(code)
    return by_danger((*rolled.findings, *of)), of, len(codes)


def _undo(folder: Path, as_json: bool) -> int:
    from labelgen.commands import output
    from labelgen.commands.fix import undo

    files = undo(folder)
    output.print_json({"files": files}) if as_json else print(f"as they were before: {', '.join(files)}")
    return 0


def _said_once(findings: list[Finding], of: dict[Finding, list[str]], markets: int) -> list[Finding]:
    """Findings that say the same at the same place, once; those of some of the ``markets``, with which."""
    alike: dict[tuple, list[Finding]] = {}
    for f in findings:
        alike.setdefault((f.code, f.severity, f.where, f.said), []).append(f)
    told = []
    for first, *more in alike.values():
        codes = dict.fromkeys(code for f in (first, *more) for code in of.get(f, ()))
        some = 0 < len(codes) < markets
        said = f"[{', '.join(codes)}] "
        told.append(
            replace(first, said=said + first.said, about=first.about and said + first.about)
            if some
            else first
        )
    return told


def findings_of_market(rolled, order, asked: bool):
    """What declaring every product for the market finds, what its law asks besides, and who may be let off
    what.
    """
    if rolled.kitchen is None:
        return ()
    from labelgen.chain import declare_product
    from labelgen.law.pack import read_pack
    from labelgen.market.asked import list_asked, list_exemptions
    from labelgen.market.declare_food import declare

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
