"""Random kitchens whose allergens the test itself knows, every output of them, and a judge that knows
nothing of the program but its word tables: whatever went in must be read in what comes out.
"""

from __future__ import annotations

import csv
import io
import json
import random
import re
import tomllib
from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path

from labelgen import paths
from labelgen.chain import declare_product, draw_product, lost_in_english, lost_in_words, roll_up_folder
from labelgen.commands import declare as forms
from labelgen.commands import stall
from labelgen.commands.compare import _lost as lost_in_comparison
from labelgen.commands.weigh import told_on_sheet
from labelgen.law.pack import read_pack
from labelgen.layout.boxes import words_of
from labelgen.layout.cards import lay_out_cards
from labelgen.layout.poster import lay_out_allergen_poster, row_words
from labelgen.layout.specification import lay_out_specification
from labelgen.market.allergens.matrix import allergen_matrix, codes_of
from labelgen.market.comparison import compare, side_of
from labelgen.order import Job, Order
from tests.kitchens import write

ON = date(2026, 12, 1)
LANGUAGES = {
    "us": ("",),
    "eu": ("", "de", "es", "fr", "it"),
    "uk": ("",),
    "ca": ("",),
    "au": ("",),
    "nz": ("",),
}
#: Codes a supplier or maker may type. A kind where every market wants one for what is contained.
CONTAINED = [
    "milk",
    "egg",
    "fish/cod",
    "fish/salmon",
    "crustacean/crab",
    "crustacean/shrimp",
    "mollusc/oyster",
    "peanut",
    "soy",
    "sesame",
    "wheat",
    "celery",
    "mustard",
    "lupin",
    "sulphite",
]
CONTAINED += [
    f"tree_nut/{n}"
    for n in [
        "almond",
        "brazil",
        "cashew",
        "hazelnut",
        "macadamia",
        "pecan",
        "pine_nut",
        "pistachio",
        "walnut",
    ]
]
CONTAINED += [f"gluten/{c}" for c in ["wheat", "spelt", "rye", "barley", "oats"]]
WARNED = [*CONTAINED, "fish", "crustacean", "mollusc", "tree_nut", "gluten", "coconut", "chestnut"]
#: What a packet says, the codes of it that are warned of, and those nobody knows.
PACKETS = [
    ("sugar", (), ()),
    ("sugar. May contain nuts", ("tree_nut",), ()),
    ("sugar. May contain peanuts and milk", ("peanut", "milk"), ()),
    ("sugar, lecithin", (), ("soy",)),
    ("", (), ()),
]
NAMES = {"en": "sugar", "de": "Zucker", "es": "azúcar", "fr": "sucre", "it": "zucchero"}
PACKET_WORDS = {"de": "Zucker", "es": "azúcar", "fr": "sucre", "it": "zucchero"}


_WHEATS = {"wheat", "gluten", "gluten/wheat", "gluten/spelt"}


@dataclass
class Invented:
    """A kitchen and what went into each of its products. held, may, unknown, decided: product -> codes."""

    market: str
    language: str
    ingredients: str
    recipes: str
    kitchen: str
    held: dict = field(default_factory=dict)
    may: dict = field(default_factory=dict)
    unknown: dict = field(default_factory=dict)
    decided: dict = field(default_factory=dict)


def invent(seed: int) -> Invented:
    """One kitchen of two products, a box of both, two to five ingredients, some inside an inner
    formulation or a fryer.
    """
    r = random.Random(seed)
    market = r.choice(list(LANGUAGES))
    language = r.choice(LANGUAGES[market])
    handles = r.sample(WARNED, r.choice((0, 0, 1, 3)))
    names = [f"i{n}" for n in range(r.randint(2, 5))]
    held, may, unknown, lines = {}, {}, {}, []
    for name in names:
        text, warned, asked = r.choice(PACKETS)
        held[name] = r.sample(CONTAINED, r.choice((0, 1, 1, 2)))
        typed = [c for c in r.sample(WARNED, r.choice((0, 0, 1, 2))) if c not in held[name]]
        may[name], unknown[name] = (
            {c for c in (*typed, *warned) if c not in held[name]},
            set(asked) - set(held[name]),
        )
        worded = ", ".join(f'{lang}: "{word}"' for lang, word in PACKET_WORDS.items())
        parts = [
            f"print: {{en: sugar {name}, "
            + ", ".join(f"{lang}: {word} {name}" for lang, word in PACKET_WORDS.items())
            + "}",
            "food: usda/19335",
        ]
        parts += [f'statement: {{en: "{text}", {worded}}}'] if text else []
        parts += [f"contains: [{', '.join(held[name])}]"] if held[name] or r.random() < 0.3 else []
        parts += [f"may_contain: [{', '.join(typed)}]"] if typed else []
        lines.append(f"{name}: {{{', '.join(parts)}}}")
    inner, outer = names[: len(names) // 2], names[len(names) // 2 :]
    recipe = ["formulations:", f"  inner: {{ingredients: [{', '.join(f'40 g {n}' for n in inner)}]}}"]
    recipe += [
        f"  a: {{ingredients: [50 g inner, {', '.join(f'30 g {n}' for n in outer)}], makes: 4}}",
        f"  b: {{ingredients: [{', '.join(f'60 g {n}' for n in outer)}], makes: 4}}",
        "products:",
    ]
    made = Invented(market, language, "\n".join(lines) + "\n", "", "")
    for key, inside in (("pa", names), ("pb", outer)):
        own = r.sample(WARNED, r.choice((0, 0, 1, 3)))
        every = {c for n in inside for c in held[n]}
        open_ones = [
            c for c in {*(c for n in inside for c in may[n]), *handles} if c not in own and c not in every
        ]
        decided = r.sample(sorted(open_ones), min(len(open_ones), r.choice((0, 0, 1))))
        made.held[key], made.decided[key] = every, set(decided)
        warned = {*own, *(c for n in inside for c in may[n])}
        made.may[key] = {
            c
            for c in warned
            if c in own
            or (
                not {c, c.partition("/")[0]} & set(decided) and not (_WHEATS & {c} and _WHEATS & set(decided))
            )
        }
        made.unknown[key] = {*handles, *(c for n in inside for c in unknown[n])}
        name = ", ".join(f'{lang}: "Food {key}"' for lang in ("en", "de", "es", "fr", "it"))
        reasons = ", ".join(f'{c}: "own room, 2026-11"' for c in decided)
        recipe.append(
            f"  {key}: {{name: {{{name}}}, of: {'a' if key == 'pa' else 'b'}, pieces: 4, category: cookies,"
            " unit: {en: piece, de: Stück, es: pieza, fr: pièce, it: pezzo}, may_contain:"
            f" [{', '.join(own)}], cross_contact: {{{reasons}}}}}"
        )
    box = ", ".join(f'{lang}: "Box"' for lang in ("en", "de", "es", "fr", "it"))
    made.recipes = (
        "\n".join((*recipe, "boxes:", f"  both: {{name: {{{box}}}, holds: {{pa: 4, pb: 4}}}}")) + "\n"
    )
    made.kitchen = (
        f"producer: {{name: Hill Bakes, address: 1 Example Hill}}\nmarkets: [{market}]\nhandles:"
        f" [{', '.join(handles)}]\n" + (f"languages: [{language}]\n" if language else "")
    )
    return made


@cache
def words_for(market: str, language: str) -> dict[str, tuple[str, ...]]:
    """code -> words that name it, read straight from the tables; a kind's own words, then behind them
    those of its group.
    """
    names = {row["code"]: [row[language]] for row in paths.read_rows("allergens", "plain_names.csv")}
    folder = {"uk": "eu", "nz": "au"}.get(market, market)
    rules = tomllib.loads((paths.reference("markets", folder, "allergens.toml")).read_text(encoding="utf-8"))[
        "rule"
    ]
    for rule in rules:
        own = rule.get(language, {})
        for code in rule["codes"] if rule.get("name") else ():
            first = own.get("name") if own else rule["name"] if language == "en" else None
            names.setdefault(code, []).extend(
                [
                    w
                    for w in (
                        first,
                        *(own.get("words") or (rule.get("words", ()) if language == "en" else ())),
                    )
                    if w
                ]
            )
            kinds = own.get("species", {}).get("names", {})
            for kind, word in kinds.items():
                names.setdefault(f"{code}/{kind}", []).append(word)
    for code in WARNED:
        group, _, kind = code.partition("/")
        if language == "en":
            names.setdefault(code, []).append((kind or group).replace("_", " "))
        names.setdefault(code, list(names[group]))
    names["sulphite"] += ["sulfites"]
    return {code: tuple(dict.fromkeys(words)) for code, words in names.items()}


@cache
def listed(market: str) -> frozenset[str]:
    folder = {"uk": "eu", "nz": "au"}.get(market, market)
    rules = tomllib.loads((paths.reference("markets", folder, "allergens.toml")).read_text(encoding="utf-8"))[
        "rule"
    ]
    return frozenset(c for rule in rules if rule.get("name") and not rule.get("until") for c in rule["codes"])


def _on_list(market: str, code: str) -> bool:
    closed = {"eu": ("tree_nut",), "uk": ("tree_nut",)}.get(market, ())
    group = code.partition("/")[0]
    return code in listed(market) or (group in listed(market) and group not in closed)


def silent(
    made: Invented, keys: Collection[str], text: str, questions: bool, spoken: Collection[str] = ()
) -> list[str]:
    """What went in and the text does not say, in each language it should. questions: the output must ask
    as well.
    """
    spoken = spoken or (("en", "fr") if made.market == "ca" else (made.language or "en",))
    text, missing = " ".join(text.split()).lower(), []
    for language in spoken:
        words = words_for(made.market, language)

        def says(code: str, group_too: bool = True, words: dict = words) -> bool:
            wanted = [*words[code], *(words[code.partition("/")[0]] if group_too else ())]
            return any(re.search(rf"(?<!\w){re.escape(w.lower())}", text) for w in wanted)

        for k in keys:
            missing += [
                f"{language} {k} contains {c}"
                for c in made.held[k]
                if _on_list(made.market, c)
                and not says(c, c.startswith(("fish", "crustacean", "mollusc", "gluten")))
            ]
            missing += [f"{language} {k} may contain {c}" for c in made.may[k] if not says(c)]
            asked = made.unknown[k] - made.decided[k] if questions else ()
            missing += [
                f"{language} {k} not known {c}" for c in asked if not says(c) and not _settled(made, k, c)
            ]
    return missing


def _settled(made: Invented, key: str, code: str) -> bool:
    """A question that the list or a warning answers under another name: wheat tells of gluten, a group of
    its kinds.
    """
    told = made.held[key] | made.may[key] | made.decided[key]
    return code in told or code.partition("/")[0] in told or (code in _WHEATS and bool(told & _WHEATS))


#: Every output, in the order of its cost.
OUTPUTS = ("text", "jsonld", "csv", "json", "card", "poster", "weigh", "compare", "specification", "label")


def outputs(made: Invented, folder: Path, key: str, wanted: Collection[str]):
    """(output, its text as a reader meets it, or its codes, None where only its gate is asked; findings of
    its gate).
    """
    rolled = roll_up_folder(write(folder, made.ingredients, made.recipes, made.kitchen))
    assert set(rolled.profiles) == {"pa", "pb"}, [f for f in rolled.findings if f.blocks]
    kitchen, pack = rolled.kitchen, read_pack(made.market, ON)
    d = declare_product(rolled, key, Order(made.market, ON))
    assert not [f for f in d.findings if f.blocks], d.findings
    for form in ("text", "jsonld"):
        if form in wanted:
            yield form, forms._read_again(form, d), forms._lost(rolled, key, d, form)
    if "csv" in wanted:
        yield (
            "csv",
            {r["key"] for r in csv.DictReader(io.StringIO(forms._written("csv", [d])))},
            forms._lost(rolled, key, d, "csv"),
        )
    if "json" in wanted:
        data = json.loads(forms._json({"": d}))
        yield (
            "json",
            {h["allergen"] for f in ("contains", "may_contain", "questions") for h in data[f]},
            forms._lost(rolled, key, d, "json"),
        )
    if "specification" in wanted:
        pages = words_of(lay_out_specification(d, "a4"))
        yield "specification", pages, lost_in_words(rolled, key, d, pages, "sheet", table=True)
    if "label" in wanted:
        label = draw_product(rolled, key, Order(made.market, ON, job=Job()))
        yield (
            "label",
            words_of(label.faces) if label.label else None,
            tuple(f for f in label.findings if f.blocks and f.code != "label-does-not-fit"),
        )
    if key == "both":
        return
    if "card" in wanted:
        card = words_of(lay_out_cards([d], "a4"))
        yield "card", card, lost_in_words(rolled, key, d, card, "card")
    if "poster" in wanted:
        matrix = allergen_matrix(pack, kitchen, [rolled.profiles[key]])
        poster = lay_out_allergen_poster(matrix, {key: d}, "Hill Bakes", "a4")
        yield "poster", row_words(poster, 0), stall._lost_on_poster(rolled, poster, matrix, 0, d)
    if "weigh" in wanted:
        text = told_on_sheet(codes_of(pack, kitchen, rolled.profiles[key]), ())
        yield "weigh", text, lost_in_english(rolled, key, made.market, ON, text, "sheet")
    if "compare" in wanted:
        sides = [
            side_of(
                m,
                declare_product(rolled, key, Order(m, ON)),
                rolled.profiles[key],
                kitchen.products[key],
                kitchen,
            )
            for m in (made.market, "au")
        ]
        yield "compare", None, lost_in_comparison(rolled, compare(sides))


def faults(
    made: Invented, folder: Path, key: str, wanted: Collection[str], counts: Counter | None = None
) -> list[str]:
    """Everything that an output of a kitchen lost."""
    found = []
    keys = ("pa", "pb") if key == "both" else (key,)
    for output, said, lost in outputs(made, folder, key, wanted):
        if counts is not None:
            counts[output if said is not None or output == "compare" else "stopped"] += 1
        found += [f"{output} {key}: {f.message}" for f in lost]
        if isinstance(said, set):
            every = {
                c
                for k in keys
                for c in (
                    made.held[k]
                    | (made.may[k])
                    | {u for u in made.unknown[k] - made.decided[k] if not _settled(made, k, u)}
                )
            }
            found += [f"{output} {key}: {c}" for c in every - said]
        elif said is not None:
            found += [
                f"{output}: {x}"
                for x in silent(made, keys, said, output != "label", ("en",) if output == "weigh" else ())
            ]
    return found
