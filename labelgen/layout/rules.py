"""What the law asks of type, as small records: read from a market's rule pack, used to choose and check sizes.

Only minimums live here. How a label is arranged above those minimums is in ``templates/``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cache

from labelgen.errors import RuleError
from labelgen.layout.metrics import Face
from labelgen.market.pack import Pack, read_pack

#: Points in one unit of length.
POINTS = {"pt": 1.0, "in": 72.0, "mm": 72.0 / 25.4}


@dataclass(frozen=True, slots=True)
class TypeRule:
    """The least type for one kind of text.

    minimum: points. measured: what the minimum is of: "size" (type size), "x_height" or "cap_height".
    bold: must be bold type. source: citation key and locator.
    """

    minimum: float
    measured: str = "size"
    bold: bool = False
    source: str = ""

    def least_size(self, face: Face) -> float:
        """The smallest lawful type size in points for a face."""
        if self.measured == "x_height":
            return self.minimum / face.x_height
        if self.measured == "cap_height":
            return self.minimum / face.cap_height
        return self.minimum

    def heavy(self) -> "TypeRule":
        """The same rule, asking for bold type."""
        return self if self.bold else replace(self, bold=True)


@dataclass(frozen=True, eq=False)
class PanelRules:
    """The type rules of one panel format, with its leading, bars and fixed words.

    types: element -> rule. geometry: name -> points. words: names the panel prints that are not in the
    ``Panel`` record. short: long name -> abbreviation allowed in this format.
    """

    form: str
    types: Mapping[str, TypeRule]
    geometry: Mapping[str, float]
    words: Mapping[str, str]
    short: Mapping[str, str]

    def __getitem__(self, element: str) -> TypeRule:
        return self.types[element]


@dataclass(frozen=True)
class LabelRules:
    """A market's type rules on a date."""

    market: str
    pack: Pack

    def panel(self, form: str) -> PanelRules:
        """Rules of a panel format: "standard", "tabular" or "small"."""
        return _panel_rules(self.pack, form)

    @property
    def information(self) -> TypeRule:
        """Ingredients, allergens, business name and address, and other small mandatory text."""
        return self._letter_height("information_panel", 0.0)

    def net_quantity(self, area_sq_in: float, text: str = "a") -> TypeRule:
        """Net quantity on a principal display panel of this area [square inches]."""
        return self._letter_height("net_quantity", area_sq_in, capitals=text.isupper())

    def limit(self, key: str) -> float:
        """A limit from the formats table, e.g. ``small_package`` [square inches]."""
        return float(self.pack.value("formats", key))

    def _letter_height(self, key: str, amount: float, capitals: bool = False) -> TypeRule:
        entry = self.pack.entry("letter_heights", key)
        for band in entry["bands"]:
            if "at_most" not in band or amount <= band["at_most"]:
                height = float(band["to"]) * POINTS[entry["unit"]]
                return TypeRule(height, "cap_height" if capitals else "x_height", key == "net_quantity", entry.source)
        raise RuleError(f"letter_heights has no band for {key} at {amount}: give a panel area within its bands")


def read_label_rules(market: str, on: date) -> LabelRules:
    """The layout rules of a market on a date. Raises RuleError for an unknown market or date."""
    return LabelRules(market, read_pack(market, on))


@cache
def _panel_rules(pack: Pack, form: str) -> PanelRules:
    types = {
        entry.key: TypeRule(float(entry[f"{form}_pt"]), "size", entry["bold"], entry.source)
        for entry in pack.entries("type_sizes")
    }
    geometry = {
        entry.key: float(entry["value"]) * POINTS[entry["unit"]]
        for entry in pack.entries("geometry")
        if entry["unit"] in POINTS
    }
    formats = pack.entries("formats")
    words = {entry.key: entry["text"] for entry in formats if entry.get("abbreviation")}
    short = {entry["text"]: entry["abbreviation"] for entry in formats if entry.get("abbreviation")}
    return PanelRules(form, types, geometry, words, short if form == "small" else {})
