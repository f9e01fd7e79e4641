"""What the law asks of type, as small records: read from a market's rule pack, used to choose and check
sizes.

Only minimums live here. How a label is arranged above those minimums is in ``templates/``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import cache
from types import MappingProxyType

from labelgen.errors import RuleError
from labelgen.law.format_tables import Abbreviation, Format, Length, LetterHeight, TypeSize
from labelgen.law.label_tables import NetQuantity, Statement
from labelgen.law.pack import Pack, read_pack
from labelgen.law.record import known
from labelgen.layout.metrics import Face, face

#: Points in one unit of length.
POINTS = {"pt": 1.0, "in": 72.0, "mm": 72.0 / 25.4}
#: Square millimetres in one unit of area.
AREAS = {"sq in": 25.4**2, "cm2": 100.0}


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

    def heavy(self) -> TypeRule:
        """The same rule, asking for bold type."""
        return self if self.bold else replace(self, bold=True)


@dataclass(frozen=True, eq=False)
class PanelRules:
    """The rules of one panel format: what may be printed how small, with leading and bars.

    format: the format's entry in the market's formats table. types: element -> rule; an element without its
    own takes the one named "any". geometry: name -> points. base: type size [pt] asked for, never below the
    law's.
    """

    format: Format
    types: Mapping[str, TypeRule]
    geometry: Mapping[str, float]
    base: float = 0.0

    def __getitem__(self, element: str) -> TypeRule:
        return self.types.get(element) or self.types["any"]

    def size(self, element: str, name: str = "regular", times: float = 1.0) -> float:
        """Type size of an element in a face: ``times`` the base size or the law's least, whichever is
        larger [pt].
        """
        return max(self.base * times, _up(self[element].least_size(face(name))))

    @property
    def template(self) -> str:
        return self.format.template


def _up(points: float) -> float:
    """Rounded up to a twentieth of a point: a size is never rounded below the minimum."""
    return math.ceil(points * 20 - 1e-6) / 20


@dataclass(frozen=True)
class LabelRules:
    """A market's type rules on a date."""

    market: str
    pack: Pack

    def panel(self, key: str, base: float = 0.0) -> PanelRules:
        """Rules of one of the market's panel formats, its text set at ``base`` points or the law's least."""
        return _panel_rules(self.pack, key, base)

    def short_words(self) -> dict[str, str]:
        """Long name -> abbreviation that small packages may use."""
        if not self.pack.has(Abbreviation):
            return {}
        return {entry.text: entry.abbreviation for entry in self.pack.entries(Abbreviation)}

    @property
    def information(self) -> TypeRule:
        """Ingredients, allergens, business name and address, and other small mandatory text, beside a
        nutrition panel.
        """
        return self._letter_height(
            "beside_panel" if self.pack.find(LetterHeight, "beside_panel") else "information_panel"
        )

    @property
    def display(self) -> TypeRule:
        """The product's identity, on the front of the pack."""
        return (
            self._letter_height("display_panel")
            if self.pack.find(LetterHeight, "display_panel")
            else self.information
        )

    @property
    def as_panel(self) -> bool:
        """Whether the ingredient list beside a nutrition panel has letters as high as the panel's
        nutrients.
        """
        return self.pack.find(LetterHeight, "beside_panel") is not None

    @property
    def set_off(self) -> bool:
        """Whether the ingredient list stands inside a border."""
        return self.pack.has(Statement) and self.pack.find(Statement, "set_off") is not None

    @property
    def warning(self) -> TypeRule:
        """Warnings the law gives letters of their own; like other small text where it does not."""
        return self._letter_height("warning") if self.pack.find(LetterHeight, "warning") else self.information

    def net_quantity(self, width_pt: float, height_pt: float, grams: float, text: str = "a") -> TypeRule:
        """Net quantity on a label of this size, of so much food."""
        amounts = {
            "display_sq_in": width_pt * height_pt / POINTS["in"] ** 2,
            "display_cm2": width_pt * height_pt / POINTS["mm"] ** 2 / AREAS["cm2"],
            "longest_mm": max(width_pt, height_pt) / POINTS["mm"],
            "grams": grams,
        }
        return self._letter_height("net_quantity", amounts, capitals=text.isupper())

    def net_zone(self, width_pt: float, height_pt: float) -> float:
        """The share of a display panel of this size, from its foot, the net quantity must stand in; 0.0 =
        anywhere.
        """
        zone, above = (self.pack.find(NetQuantity, key) for key in ("zone", "zone_above"))
        if zone is None or (
            above and width_pt * height_pt <= float(above.figure) * AREAS[above.unit] * POINTS["mm"] ** 2
        ):
            return 0.0
        return float(zone.figure) / 100

    def net_clear(self, key: str) -> float:
        """Clear space around the net quantity: ``clear_above`` in letter heights, ``clear_beside`` in
        widths of N.
        """
        entry = self.pack.find(NetQuantity, key)
        return float(entry.figure) if entry else 0.0

    def _letter_height(
        self, key: str, amounts: Mapping[str, float] = MappingProxyType({}), capitals: bool = False
    ) -> TypeRule:
        """The band of an entry by the amount it names; where that is not known, the largest height of all."""
        entry = self.pack.entry(LetterHeight, key)
        amount = Decimal(round(amounts.get(entry.by, math.inf), 6))
        band = next((b for b in entry.bands if b.holds(amount)), None)
        if band is None:
            raise RuleError(
                f"letter_heights has no band for {key} at {amount}: give a panel area within its bands"
            )
        measured = "cap_height" if capitals or entry.measured.startswith("capitals") else "x_height"
        return TypeRule(
            float(known(band.to, f"letter_heights/{key}")) * POINTS[entry.unit],
            measured,
            key == "net_quantity",
            entry.source,
        )


def read_label_rules(market: str, on: date) -> LabelRules:
    """The layout rules of a market on a date. Raises RuleError for an unknown market or date."""
    return LabelRules(market, read_pack(market, on))


@cache
def _panel_rules(pack: Pack, key: str, base: float) -> PanelRules:
    given = pack.entry(Format, key)
    types = {
        entry.key: TypeRule(
            float(entry.sizes[given.sizes]) * POINTS[entry.unit],
            entry.measured,
            entry.bold,
            entry.source,
        )
        for entry in pack.entries(TypeSize)
        if given.sizes in entry.sizes
    }
    geometry = {e.key: float(e.value) * POINTS[e.unit] for e in pack.entries(Length) if e.unit in POINTS}
    return PanelRules(given, types, geometry, base)
