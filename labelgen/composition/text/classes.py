"""Function classes of additives, as suppliers write them.

Names after the Codex class names (CXG 36-1989) and 21 CFR 101.4(b); the first name is the one kept.
"""

from __future__ import annotations

_SPELLINGS = """
emulsifier, emulsifying agent
emulsifying salt
stabiliser, stabilizer
thickener, thickening agent
gelling agent
colour, color, colouring, coloring
flavouring, flavoring
preservative
antioxidant, anti-oxidant
acid, acidulant
acidity regulator
raising agent, leavening, leavening agent, leavener
sweetener
humectant
glazing agent
anti-caking agent, anticaking agent
flour treatment agent
dough conditioner
flavour enhancer, flavor enhancer
firming agent
bulking agent
foaming agent
antifoaming agent, anti-foaming agent
sequestrant
mineral salt
vegetable gum
yeast nutrient
propellant, propellent gas
"""


def _read() -> dict[str, str]:
    names = {}
    for line in _SPELLINGS.split("\n"):
        spellings = [s.strip() for s in line.split(",") if s.strip()]
        for spelling in spellings:
            names[spelling] = names[spelling + "s"] = spellings[0]
    return names


#: Any spelling, singular or plural, in lower case -> the class's name.
CLASS_OF = _read()
