"""Tables of yes and no, as specification sheets and boxes print them: the absent ones are not contained,
the present ones are.
"""

import pytest

from labelgen.composition.text.lexicon import find_allergens


def found(text):
    seen = find_allergens(text)
    return {h.allergen for h in seen.contains} - {"gluten/wheat"}, {h.allergen for h in seen.may_contain} - {
        "wheat",
        "gluten/wheat",
    }


TABLES = [
    ("Peanut ....... N\nMilk ........ Y\nEgg ........ N", "milk", ""),
    ("Peanuts……no\nMilk……yes\nFish……no", "milk", ""),
    ("Peanut | Y\nMilk | N", "peanut", ""),
    ("Milk +\nEgg -\nNuts ?\n+ present, - absent, ? risk", "milk", "tree_nut"),
    ("+ present, - absent, ? risk\nPeanut -\nSoya +\nSesame ?", "soy", "sesame"),
    ("Milk: +/-\nEgg: +\nSoya: -", "egg", "milk"),
    ("Gluten: + Eggs: - Milk: +", "gluten milk", ""),
    ("Egg [X] Fish [ ] Milk [x]", "egg milk", ""),
    ("[X] Egg [ ] Fish [x] Milk", "egg milk", ""),
    ("Egg [ ] Fish [ ] Milk [ ]", "", "egg fish milk"),
    ("☑ Milk ☐ Egg ☐ Soya", "milk", ""),
    ("☐ Milk\n☑ Egg\n☐ Soya", "egg", ""),
    ("✓ Milk ✗ Egg ✗ Soya", "milk", ""),
    ("Milk ✓\nEgg ✗\nSoya ✗", "milk", ""),
    ("Milk ✗\nEgg ✗\nSoya ☐", "milk egg", ""),  # a cross may be the mark of yes where nothing else is
    ("Milk & derivatives: no", "", ""),
    ("Milk & derivatives: no\nEgg & egg products: yes\nNuts & nut products: no", "egg", ""),
    ("Milk (Y) Egg (N) Soya (N)", "milk", ""),
    ("Milk Yes\nEgg No\nFish No", "milk", ""),
    ("Milk: yes; Egg: no; Nuts: may contain", "milk", "tree_nut"),
    (
        (
            "Crustaceans .......... No\nEggs .......... No\nSoybeans .......... Yes\nNuts .......... May"
            " contain"
        ),
        "soy",
        "tree_nut",
    ),
    (
        "Allergen | Present | Absent | May contain\nMilk | X | | \nEgg | | X |\nNuts | | | X\nFish | | X |",
        "milk",
        "tree_nut",
    ),
    ("Present | Absent | Allergen\nX | | Milk\n | X | Egg\nX | | Soya", "milk soy", ""),
    ("Allergen    Yes    No\nMilk        X\nEgg                X\nSoya               X", "milk", ""),
    ("Allergen\tYes\tNo\nMilk\tx\t\nEgg\t\tx\nSoya\t\tx", "milk", ""),
    ("Allergen | Contains | Free from\nEgg | ✓ |\nMilk | | ✓", "egg", ""),
    ("Allergen | Yes | No\nEgg | |\nMilk | | x\nSoya | x |", "soy", "egg"),  # nobody answered for egg
    (
        (
            "| Allergen | Present in product | Present on site |\n| Milk | Yes | Yes |\n| Egg | No | Yes"
            " |\n| Soya | No | No |"
        ),
        "milk",
        "egg",
    ),
    ("Lait : oui\nŒufs : non\nSoja : non", "milk", ""),
    ("Allergènes | Présent | Absent | Traces\nLait | x | |\nŒuf | | x |\nSoja | | | x", "milk", "soy"),
    ("Milch: ja\nEier: nein\nSenf: nicht vorhanden", "milk", ""),
    ("Allergen | Enthalten | Nicht enthalten\nMilch | x |\nEi | | x", "milk", ""),
    ("Leche: sí; Huevo: no; Soja: ausente", "milk", ""),
    ("Latte: sì, Uova: no, Soia: assente", "milk", ""),
    ("sugar, hazel-\nnuts, milk -\negg", "tree_nut/hazelnut milk egg", ""),
    ("✓ Gluten free ✓ Vegan ✓ No nuts", "", ""),
]


@pytest.mark.parametrize("text, contains, may", TABLES, ids=lambda v: v[:30])
def test_table(text, contains, may):
    assert found(text) == (set(contains.split()), set(may.split()))
