"""``labelgen draft``: a recipe from a web page into the kitchen, as a draft."""

from __future__ import annotations

from pathlib import Path

HELP = "Turn a schema.org Recipe (JSON-LD file) into a draft in the kitchen, every doubtful line flagged."
EXAMPLE = "labelgen draft my-recipe.json --kitchen my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument("file", metavar="FILE")


def run(args) -> int:
    from labelgen.commands import output
    from labelgen.composition.dataset import open_dataset
    from labelgen.errors import RecipeError
    from labelgen.export.recipe_draft import draft_files, draft_recipe, read_recipe
    from labelgen.pdf.write import write_all
    from labelgen.recipe.reach import plain
    from labelgen.recipe.read import read_kitchen

    kitchen, _ = read_kitchen(args.kitchen)
    if kitchen is None:
        raise RecipeError(
            f"{args.kitchen} is no kitchen: name its folder with --kitchen, or make one with 'labelgen new"
            " DIR'"
        )
    draft = draft_recipe(read_recipe(Path(args.file)), open_dataset(), kitchen.country)
    known = {plain(name) for name in (*kitchen.ingredients, *kitchen.formulations)}
    files = {Path(args.kitchen) / name: text for name, text in draft_files(draft, known).items()}
    there = [str(path) for path in files if path.exists()]
    sold = {plain(name) for name in (*kitchen.products, *kitchen.boxes)}
    if there or plain(draft.key) in sold or plain(f"{draft.key}-dough") in known:
        raise RecipeError(
            f"{', '.join(there) or draft.key} is there already: rename the recipe or move the file away;"
            " nothing was written"
        )
    write_all({path: text.encode() for path, text in files.items()})
    if args.json:
        output.print_json(
            {
                "product": draft.key,
                "files": [str(p) for p in files],
                "doubts": list(draft.doubts),
                "makes": draft.makes,
                "lines": [
                    {
                        "written": x.written,
                        "amount": x.amount,
                        "name": x.name,
                        "food": x.food and x.food[0],
                        "doubts": list(x.doubts),
                    }
                    for x in draft.lines
                ],
            }
        )
        return 0
    for x in draft.lines:
        read = f"{x.amount} {x.name}"
        taken = f"{read}, {x.food[0]} {x.food[1]}" if x.food else read.strip() or "NOT READ"
        print(f"{x.written}\n  -> {taken}\n     {'; '.join(x.doubts)}")
    for doubt in draft.doubts:
        print(f"CHECK {doubt}")
    print(
        f"drafted: {', '.join(map(str, files))}; look at every CHECK before you weigh by it; no label for"
        " sale is made with it until 'draft: true' is taken away"
    )
    return 0
