"""``labelgen declare``: what a label says, in the forms other programs read."""

from __future__ import annotations

import sys
from pathlib import Path

from labelgen.commands.output import read_day

HELP = (
    "Write a product's declaration as JSON, CSV, schema.org JSON-LD, plain text for a shop listing, or a"
    " one-page specification PDF."
)
EXAMPLE = "labelgen declare oat-thins --as text --kitchen my-kitchen"
FORMS = ("json", "csv", "jsonld", "text", "pdf")


def add_arguments(parser) -> None:
    parser.add_argument(
        "products", nargs="*", metavar="PRODUCT", help="default: every product of the kitchen"
    )
    parser.add_argument("--as", dest="form", choices=FORMS, default="json", help="the form (default: json)")
    parser.add_argument("--lot", default="", help="the lot")
    parser.add_argument("--made-on", type=read_day, metavar="DATE", help="the day it was made")
    parser.add_argument(
        "--schema", action="store_true", help="print the JSON Schema of the json form, and nothing else"
    )


def run(args) -> int:
    from labelgen.chain import declare_product, roll_up_folder
    from labelgen.commands import output
    from labelgen.export.declaration_json import declaration_schema

    if args.schema:
        output.print_json(declaration_schema())
        return 0
    rolled = roll_up_folder(args.kitchen, args.on)
    keys = args.products or list(rolled.kitchen.products if rolled.kitchen else ["?"])
    if not all(output.can_declare(rolled, key) for key in keys):
        return 1
    order = output.order_of(args, rolled)
    declared = {key: declare_product(rolled, key, order) for key in keys}
    held_back = [key for key, d in declared.items() if any(f.blocks for f in d.findings)]
    for key in held_back:
        print(f"labelgen: {key}: not fit to publish:", file=sys.stderr)
        output.print_findings([f for f in declared[key].findings if f.blocks], sys.stderr)
    fit = {key: d for key, d in declared.items() if key not in held_back}
    if args.form == "pdf":
        return _specifications(rolled, fit, output.folder_of(args.out), rolled.kitchen.country) or int(
            bool(held_back)
        )
    form = "json" if args.json else args.form
    fit = declared if form == "json" else fit
    lossy = {key: found for key, d in fit.items() if (found := _lost(rolled, key, d, form))}
    output.print_findings([f for found in lossy.values() for f in found], sys.stderr)
    held_back += lossy
    fit = {key: d for key, d in fit.items() if key not in lossy}
    written = _json(fit) if form == "json" and fit else _written(form, list(fit.values()))
    if args.out and written:
        from labelgen.pdf.write import write_whole

        write_whole(Path(args.out), written.encode())
        print(args.out)
    elif written:
        print(written, end="" if written.endswith("\n") else "\n")
    return 1 if held_back else 0


def _lost(rolled, key: str, d, form: str) -> tuple:
    """What is known of a product's allergens and this form of its declaration does not say."""
    from labelgen.chain import lost_in_codes, lost_in_words

    output = f"the {form} form"
    if form in ("text", "jsonld"):
        return lost_in_words(rolled, key, d, _read_again(form, d), output)
    return lost_in_codes(rolled, key, d.market, d.on, output, *_codes(form, d))


def _read_again(form: str, d) -> str:
    """The words a reader of the written form finds in it."""
    import json

    written = _written(form, [d])
    return " ".join(_texts(json.loads(written))) if form == "jsonld" else written


def _texts(node) -> list[str]:
    if isinstance(node, dict):
        return [text for value in node.values() for text in _texts(value)]
    if isinstance(node, list):
        return [text for value in node for text in _texts(value)]
    return [str(node)]


def _codes(form: str, d) -> tuple:
    """(contained, warned of, not known, ingredients untold) as the written form itself holds them."""
    import csv
    import io
    import json

    from labelgen.export.cells import as_written

    by_name = {name: key for key, name in d.called}
    if form == "csv":
        read = csv.DictReader(io.StringIO(_written(form, [d])))
        rows = [{column: as_written(cell) for column, cell in row.items()} for row in read]
        parts = [
            {r["key"] for r in rows if r["section"] == section}
            for section in ("contains", "may contain", "not known")
        ]
        return (
            *parts,
            {by_name.get(r["name"]) for r in rows if r["section"] == "not known" and not r["key"]},
        )
    data = json.loads(_json({"": d}))
    parts = [{h["allergen"] for h in data[field]} for field in ("contains", "may_contain", "questions")]
    return (*parts, {by_name.get(name) for name in data["untold"]})


def _specifications(rolled, declarations: dict, folder: Path, country: str) -> int:
    """One PDF a product into a folder; 1 when one does not read back."""
    from labelgen.chain import lost_in_words
    from labelgen.commands import output
    from labelgen.layout.boxes import words_of
    from labelgen.layout.document import home_page
    from labelgen.layout.specification import lay_out_specification
    from labelgen.pdf.check_label import check_label
    from labelgen.pdf.draw import draw_label, draw_pages
    from labelgen.pdf.write import write_whole

    code = 0
    for key, declaration in declarations.items():
        pages = lay_out_specification(declaration, home_page(country))
        faults = [fault for page in pages for fault in check_label(draw_label(page), page)]
        faults += lost_in_words(
            rolled, key, declaration, words_of(pages), "the specification sheet", table=True
        )
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

    from labelgen.export.declaration_json import declaration_as_dict

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
    # inside a page's script element, "</script", "<!--" and "<script" would end it or swallow what follows
    text = json.dumps(data[0] if len(data) == 1 else data, indent=2, ensure_ascii=False)
    return text.replace("<", "\\u003c")
