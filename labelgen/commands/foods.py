"""``labelgen foods``: look into the food-composition table, or fetch a food into the kitchen."""

from __future__ import annotations

import sys

HELP = (
    "Search the food-composition table, show one food, or fetch current foods from USDA FoodData Central"
    " into the kitchen."
)
EXAMPLE = 'labelgen foods search "plain flour"'


def add_arguments(parser) -> None:
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    search = actions.add_parser(
        "search", help="foods whose name fits", epilog='Example: labelgen foods search "icing sugar"'
    )
    search.add_argument("words", nargs="+")
    show = actions.add_parser(
        "show", help="one food per 100 g", epilog="Example: labelgen foods show usda/20081"
    )
    show.add_argument("id")
    fetch = actions.add_parser(
        "fetch",
        help="ask USDA FoodData Central: words list foods, a number pins that food into the kitchen",
        epilog=(
            'Example: labelgen foods fetch "almond flour" --api-key KEY; then: labelgen foods fetch 2261420'
            " --kitchen my-kitchen"
        ),
    )
    fetch.add_argument("words", nargs="+", metavar="WORDS|NUMBER")
    fetch.add_argument(
        "--api-key",
        default="",
        metavar="KEY",
        help="your key (or the variable FDC_API_KEY); it is never stored",
    )
    fetch.add_argument("--branded", action="store_true", help="list packaged foods too")
    fetch.add_argument("--offline", action="store_true", help="only what is kept from earlier")
    fetch.add_argument(
        "--release",
        default="",
        metavar="FOLDER",
        help="an unpacked official CSV release to take the food from instead of the network",
    )
    fetch.add_argument("--imported", action="store_true", help="from the release that was imported")
    bring = actions.add_parser(
        "import",
        help="import a whole official CSV release: 'search' and 'fetch --imported' then find its foods",
        epilog="Example: labelgen foods import FoodData_Central_csv",
    )
    bring.add_argument("folder", metavar="FOLDER")
    kept = actions.add_parser(
        "kept", help="answers kept from FoodData Central", epilog="Example: labelgen foods kept --clear"
    )
    kept.add_argument("--clear", action="store_true", help="delete them; foods pinned into kitchens stay")
    for sub in (search, show, fetch, bring, kept):
        sub.add_argument("--json", action="store_true", help="print JSON")
    for sub in (show, fetch):
        sub.add_argument(
            "--kitchen", metavar="DIR", default=".", help="the kitchen folder (default: this folder)"
        )


def run(args) -> int:
    return {"search": _search, "show": _show, "fetch": _fetch, "import": _import, "kept": _kept}[args.action](
        args
    )


def _search(args) -> int:
    from labelgen.commands import output
    from labelgen.composition.dataset import open_dataset
    from labelgen.composition.imported import find_imported
    from labelgen.composition.search.food_search import search

    found = [(h.id, h.name, h.score, h.note) for h in search(open_dataset(), " ".join(args.words))]
    found += [
        (
            i,
            name,
            None,
            f"{kind}, imported: 'labelgen foods fetch {i.removeprefix('fdc/')} --imported' pins it",
        )
        for i, name, kind in find_imported(" ".join(args.words))
    ]
    if args.json:
        output.print_json(
            [{"id": i, "name": name, "score": score, "note": note} for i, name, score, note in found]
        )
    elif not found:
        print("nothing fits: try a simpler word, for example 'flour'")
    for i, name, _, note in found if not args.json else ():
        print(f"{i}  {name}" + (f"  [{note}]" if note else ""))
    return 0 if found else 1


def _import(args) -> int:
    from pathlib import Path

    from labelgen.commands import output
    from labelgen.composition.imported import import_release, imported_file

    count = import_release(Path(args.folder))
    if args.json:
        output.print_json({"foods": count, "file": str(imported_file())})
    else:
        print(
            f"{count} foods imported into {imported_file()}: find them with 'labelgen foods search WORDS',"
            " pin one with 'labelgen foods fetch NUMBER --imported'"
        )
    return 0


def _show(args) -> int:
    from labelgen.commands import output
    from labelgen.composition.dataset import open_dataset
    from labelgen.composition.ingredient_allergens import allergens_of
    from labelgen.composition.pinned import WithPins
    from labelgen.composition.text.lexicon import allergens_of_food
    from labelgen.nutrients import NUTRIENTS
    from labelgen.recipe.read import read_kitchen

    pins = {}
    if args.id.startswith("fdc/"):
        kitchen, _ = read_kitchen(args.kitchen)
        pins = kitchen.foods if kitchen else {}
    food = WithPins(open_dataset(), pins).food(args.id)
    values = {n.key: food.composition.get(n.key) for n in NUTRIENTS}
    hits = (
        allergens_of("", "", food.name, food.packet, None, None, food.id)[0]
        if food.packet
        else allergens_of_food(food.id, food.name, food.group)
    )
    if args.json:
        output.print_json(
            {
                "id": food.id,
                "name": food.name,
                "composite": food.composite,
                "release": food.release,
                "grade": food.grade,
                "note": food.note,
                "per_100g": {
                    n.key: {
                        "value": v if v == v else None,
                        "low": a,
                        "high": b if b != float("inf") else None,
                        "unit": n.unit,
                        "source": food.composition.source[i],
                    }
                    for i, n in enumerate(NUTRIENTS)
                    for a, v, b in (values[n.key],)
                },
                "allergens": [{"allergen": h.allergen, "because": h.because} for h in hits],
                "portions": [{"amount": p.amount, "unit": p.unit, "grams": p.grams} for p in food.portions],
            }
        )
        return 0
    composite = "; manufactured, make-up not told" if food.composite else ""
    note = f"; {food.note}" if food.note else ""
    print(f"{food.id}  {food.name}\n{food.release}; {food.grade}{composite}{note}")
    rows = [("per 100 g", "amount", "source")]
    for i, n in enumerate(NUTRIENTS):
        v = values[n.key][1]
        rows.append(
            (
                n.name,
                "unknown" if v != v else f"{v:g} {n.unit.replace('ug', 'mcg')}",
                food.composition.source[i],
            )
        )
    output.table(rows)
    found = ", ".join(f"{h.allergen} ({h.because})" for h in hits) or "none found"
    more = "; its make-up is not told, so more is possible" if food.composite else ""
    print(f"allergens: {found}{more}")
    for p in food.portions:
        print(f"{p.amount:g} {p.unit} = {p.grams:g} g")
    return 0


def _fetch(args) -> int:
    from datetime import date
    from pathlib import Path

    from labelgen.commands import output
    from labelgen.composition.imported import find_imported, imported_food
    from labelgen.composition.live import KINDS, FoodDataCentral
    from labelgen.composition.pinned import pin_text
    from labelgen.errors import FetchError
    from labelgen.pdf.write import write_whole

    words = " ".join(args.words).removeprefix("fdc/")
    client = (
        None
        if args.release or args.imported
        else FoodDataCentral(args.api_key, args.offline, say=lambda text: print(text, file=sys.stderr))
    )
    if not (words.isascii() and words.isdecimal()):
        hits = (
            find_imported(words)
            if args.imported
            else (
                _in_release(Path(args.release), words)
                if args.release
                else _told(client.search(words, (*KINDS, "Branded") if args.branded else KINDS))
            )
        )
        if args.json:
            output.print_json([{"id": i, "name": n, "kind": k} for i, n, k in hits])
        else:
            for i, n, k in hits:
                print(f"{i}  {n}  [{k}]")
            print(
                "pin one into your kitchen: labelgen foods fetch"
                f" {hits[0][0].removeprefix('fdc/')}{' --imported' if args.imported else ''}"
                if hits
                else "nothing fits: try a simpler word"
            )
        return 0 if hits else 1
    if not (Path(args.kitchen) / "kitchen.yaml").is_file():
        raise FetchError(f"{args.kitchen} is no kitchen: name its folder with --kitchen")
    number = int(words)
    asked = client.food(number) if client else None
    food = (
        _told(asked)
        if asked
        else imported_food(number)
        if args.imported
        else _from_release(Path(args.release), number)
    )
    path = Path(args.kitchen) / "foods" / f"fdc-{number}.yaml"
    before, text = (
        path.read_text(encoding="utf-8") if path.is_file() else "",
        pin_text(food, asked[1].given if asked else date.today()),
    )
    write_whole(path, text.encode())
    if args.json:
        output.print_json(
            {
                "id": food.id,
                "name": food.name,
                "kind": food.kind,
                "published": food.published,
                "file": str(path),
                "values": food.values,
                "doubts": list(food.doubts),
            }
        )
        return 0
    print(
        f"{path}: {food.name} [{food.kind}{', ' + food.published if food.published else ''}],"
        f" {len(food.values)} figures per 100 g"
    )
    for doubt in food.doubts:
        print(f"  {doubt}")
    for line in _differing(before, text):
        print(f"  was pinned before as: {line}")
    print(f"use it: under ingredients/, 'my-name: {{print: ..., food: {food.id}}}'")
    return 0


def _told(found):
    """What was found; where the answer is from is said."""
    result, answer = found
    if answer.old:
        print(
            "labelgen: FoodData Central gives no answer that can be used: this is an older one, kept from"
            " earlier",
            file=sys.stderr,
        )
    if answer.left is not None and answer.left < 20:
        print(f"labelgen: FoodData Central allows {answer.left} more questions this hour", file=sys.stderr)
    return result


def _in_release(folder, words: str) -> list[tuple[str, str, str]]:
    from labelgen.composition.fdc import read_release

    wanted = words.lower().split()
    return [
        (f.id, f.name, f.kind)
        for f in read_release(folder, lambda number, name: all(w in name.lower() for w in wanted))
    ][:15]


def _differing(before: str, now: str) -> list[str]:
    """The lines of an earlier pin that the new one does not have, comments and the day of fetching left
    out.
    """
    lines = [line.strip() for line in before.splitlines()]
    kept = {line.strip() for line in now.splitlines()}
    return [line for line in lines if line not in kept and not line.startswith(("#", "fetched:"))]


def _from_release(folder, number: int):
    from labelgen.composition.fdc import read_release
    from labelgen.errors import FetchError

    for food in read_release(folder, lambda found, name: found == str(number)):
        return food
    raise FetchError(
        f"{folder} holds no food {number}: search it with 'labelgen foods fetch WORDS --release {folder}'"
    )


def _kept(args) -> int:
    from labelgen.commands import output
    from labelgen.composition.live import clear_kept, kept_answers

    if args.clear:
        count = clear_kept()
        output.print_json({"deleted": count}) if args.json else print(f"{count} kept answers deleted")
        return 0
    kept = kept_answers()
    if args.json:
        output.print_json([{"address": a, "kept_at": t} for a, t in kept])
        return 0
    for address, at in kept:
        print(f"{at}  {address}")
    print(f"{len(kept)} answers kept; 'labelgen foods kept --clear' deletes them")
    return 0
