"""The ingredient statement: descending ingoing weight, the small ones in a tail of their own (21 CFR 101.4)."""

from __future__ import annotations

from labelgen.formulation.records import NutrientProfile
from labelgen.market.pack import Pack
from labelgen.market.records import Run, StatementEntry
from labelgen.recipe.models import Kitchen


def declare_ingredients(pack: Pack, profile: NutrientProfile, kitchen: Kitchen) -> tuple[tuple[Run, ...], tuple[StatementEntry, ...]]:
    """(styled runs, entries). The same ingredient in several formulations counts once, with its whole weight."""
    weights: dict[str, tuple[float, list[str]]] = {}
    for item in profile.ingoing:
        grams, names = weights.get(item.ingredient.print_name, (0.0, []))
        weights[item.ingredient.print_name] = (grams + item.grams, names + [item.ingredient.name])
    total = sum(g for g, _ in weights.values())
    entries = []
    for name, (grams, names) in sorted(weights.items(), key=lambda x: (-x[1][0], x[0])):
        own = tuple(dict.fromkeys(names))
        statement = next((kitchen.ingredients[n].statement for n in own if n in kitchen.ingredients and kitchen.ingredients[n].statement), "")
        shown = f"{name} ({statement.rstrip('.')})" if statement else name
        entries.append(StatementEntry(shown, grams, grams / total, ingredients=own))
    limit = float(pack.value("statement", "tail_share"))
    head = [e.name for e in entries if e.share > limit]
    tail = [e.name for e in entries if e.share <= limit]
    text = ", ".join(head)
    if len(tail) > 1 and head:
        text += f". {pack.text('statement', 'tail_phrase')}{', '.join(tail)}"
    elif tail:
        text = ", ".join(head + tail)
    return (Run(pack.text("statement", "heading"), bold=True), Run(f"{text}.")), tuple(entries)
