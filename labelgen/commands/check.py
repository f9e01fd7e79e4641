"""``labelgen check``: every finding of a kitchen."""

HELP = "Read a kitchen whole and show every finding, the most dangerous first."
EXAMPLE = "labelgen check my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument("folder", nargs="?", metavar="KITCHEN", help="the kitchen folder")


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output

    rolled = roll_up_folder(args.folder or args.kitchen)
    if args.json:
        output.print_json([f.as_dict() for f in rolled.findings])
    else:
        output.print_findings(rolled.findings)
        blocking = sum(f.blocks for f in rolled.findings)
        products = len(rolled.profiles)
        print(f"{products} products weighed out; {len(rolled.findings)} findings, {blocking} that block a label.")
    return output.exit_code(rolled.findings)
