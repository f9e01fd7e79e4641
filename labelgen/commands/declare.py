"""``labelgen declare``: what a label says, in the forms other programs read."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

from labelgen.commands.output import read_day

HELP = "Write a product's declaration as JSON, CSV, schema.org JSON-LD, plain text for a shop listing, or a one-page specification PDF."
EXAMPLE = "labelgen declare oat-thins --as text --kitchen my-kitchen"
FORMS = ("json", "csv", "jsonld", "text", "pdf")


def add_arguments(parser) -> None:
    parser.add_argument("products", nargs="*", metavar="PRODUCT", help="default: every product of the kitchen")
    parser.add_argument("--as", dest="form", choices=FORMS, default="json", help="the form (default: json)")
    parser.add_argument("--lot", default="", help="the lot")
    parser.add_argument("--made-on", type=read_day, metavar="DATE", help="the day it was made")
    parser.add_argument("--schema", action="store_true", help="print the JSON Schema of the json form, and nothing else")


def run(args) -> int:
    from labelgen.chain import declare_product, roll_up_folder
    from labelgen.commands import output
    from labelgen.export.declared import declaration_schema

    if args.schema:
        output.print_json(declaration_schema())
        return 0
    rolled = roll_up_folder(args.kitchen)
    keys = args.products or list(rolled.kitchen.products if rolled.kitchen else ["?"])
    if not all([output.can_declare(rolled, key) for key in keys]):
        return 1
    market = args.market or rolled.kitchen.markets[0]
    declared = {key: declare_product(rolled, key, market, args.on or date.today(), args.lot, args.made_on) for key in keys}
    held_back = [key for key, d in declared.items() if any(f.blocks for f in d.findings)]
    for key in held_back:
        print(f"labelgen: {key}: not fit to publish:", file=sys.stderr)
        output.print_findings([f for f in declared[key].findings if f.blocks], sys.stderr)
    if args.form == "pdf":
        return _specifications({k: d for k, d in declared.items() if k not in held_back}, output.folder_of(args.out), rolled.kitchen.country) or int(bool(held_back))
    if args.form == "json" or args.json:
        written = _json(declared)
    else:
        written = _written(args.form, [d for key, d in declared.items() if key not in held_back])
    if args.out and written:
        from labelgen.pdf.write import write_whole

        write_whole(Path(args.out), written.encode())
        print(args.out)
    elif written:
        print(written, end="" if written.endswith("\n") else "\n")
    return 1 if held_back else 0


def _specifications(declarations: dict, folder: Path, country: str) -> int:
    """One PDF a product into a folder; 1 when one does not read back."""
    from labelgen.commands import output
    from labelgen.layout.document import home_page
    from labelgen.layout.specification import lay_out_specification
    from labelgen.pdf.check import check_label
    from labelgen.pdf.draw import draw_label, draw_pages
    from labelgen.pdf.write import write_whole

    code = 0
    for key, declaration in declarations.items():
        pages = lay_out_specification(declaration, home_page(country))
        faults = [fault for page in pages for fault in check_label(draw_label(page), page)]
        output.print_findings(faults, sys.stderr)
        if faults:
            code = 1
            continue
        path = folder / f"{key}-specification.pdf"
        write_whole(path, draw_pages(pages))
        print(path)
    return code


def _json(declarations: dict) -> str:
    import json

    from labelgen.export.declared import declaration_as_dict

    data = [declaration_as_dict(d) for d in declarations.values()]
    return json.dumps(data[0] if len(data) == 1 else data, indent=2, ensure_ascii=False)


def _written(form: str, declarations: list) -> str:
    import json

    from labelgen.export.linked import declaration_as_jsonld
    from labelgen.export.plain import declaration_as_text, declarations_as_csv

    if not declarations:
        return ""
    if form == "csv":
        return declarations_as_csv(declarations)
    if form == "text":
        return "\n----\n\n".join(declaration_as_text(d) for d in declarations)
    data = [declaration_as_jsonld(d) for d in declarations]
    # inside a page's script element, "</" would end it
    return json.dumps(data[0] if len(data) == 1 else data, indent=2, ensure_ascii=False).replace("</", "<\\/")
