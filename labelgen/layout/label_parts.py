"""The parts of one label as blocks of a given width: front matter, net quantity, small text. What each must
satisfy comes from the market's rules, how it is spaced from ``templates/labels/label.toml``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from labelgen.errors import LayoutError
from labelgen.layout.arrangement import Spacing, read_spacing
from labelgen.layout.assortment_panels import ItemPanels
from labelgen.layout.boxes import Block, RuleBox, TextBox, stack_blocks
from labelgen.layout.codes import lay_out_bar_code, lay_out_qr_code
from labelgen.layout.fit import Package
from labelgen.layout.linebreak import widest_word
from labelgen.layout.metrics import describe_characters, face, missing_characters
from labelgen.layout.panels.panel_parts import glued
from labelgen.layout.rules import POINTS, LabelRules, TypeRule, read_label_rules
from labelgen.layout.stack import lay_out_text, text_lines
from labelgen.layout.tried import PanelSpaces, Tried
from labelgen.market.box import item_list
from labelgen.market.declaration_records import Declaration, Run

#: A date of day, month and year in either order: "8 Dec 2026", "8. Dez. 2026", "2026 DE 08".
_DATE = re.compile(r"\b\d{1,4}\.? [^\W\d]+\.? \d{1,4}\b")
#: (part name, runs, what its type must satisfy) of one text.
Text = tuple[str, tuple[Run, ...], TypeRule]


@dataclass(frozen=True, eq=False)
class Parts:
    """What one declaration puts on its label. display: width and height of the
    display panel [pt]. head: what stands above
    the body: ``front`` (name, identity, and the net quantity below), ``back`` (the identity again, small) or
    ``none``.
    body: what of ``panel`` and ``text`` this face carries. package: surfaces of the whole package. tried:
    what all parts of one declaration share. any_will_do: the first arrangement that fits is taken, not the
    best.
    """

    said: Declaration
    rules: LabelRules
    spacing: Spacing
    display: tuple[float, float]
    tried: Tried
    head: str = "front"
    body: tuple[str, ...] = ("panel", "text")
    package: Package = Package()  # noqa: RUF009
    any_will_do: bool = False

    def face(self, head: str, *body: str) -> Parts:
        """Some of the parts, for one face of several. A back repeats the identity, so that backs are never
        mixed up.
        """
        return replace(self, head=head, body=_printed(self.said, body))

    def at_usual_sizes(self) -> Parts:
        """The same parts, with nothing set larger than usual."""
        front = [scale for scale in self.spacing["front.scales"] if scale <= 1]
        return replace(self, spacing={**self.spacing, "front.scales": front, "text.scales": [1.0]})

    def at_least_sizes(self) -> Parts:
        """The same parts, with nothing set larger than it must be and any arrangement good enough: where
        these do not fit, nothing does.
        """
        return replace(
            self,
            any_will_do=True,
            spacing={
                **self.spacing,
                "front.scales": [min(self.spacing["front.scales"])],
                "text.scales": [1.0],
            },
        )

    @cached_property
    def small(self) -> TypeRule:
        return self.rules.information

    @cached_property
    def least(self) -> float:
        """The least lawful size of small text, rounded up to a tenth of a point."""
        return up(self.small.least_size(face("regular")))

    @cached_property
    def net_rule(self) -> TypeRule:
        return self.rules.net_quantity(*self.display, self.said.volume or self.said.net_grams)

    @cached_property
    def net_size(self) -> float:
        return up(self.net_rule.least_size(face("bold")))

    @cached_property
    def said_in(self) -> tuple[Declaration, ...]:
        """The declaration in each language of the label."""
        return tuple(d for d in (self.said, self.said.second) if d is not None)

    @cached_property
    def front_texts(self) -> tuple[Text, ...]:
        rule = self.rules.display
        if self.head == "back":
            return (("identity-back", (Run(self.said.identity, bold=True),), self.small),)
        if self.head == "none":
            return ()
        # what the law puts behind a name ("with sweetener") makes it the identity, and it is not printed
        # twice
        name = (
            ""
            if self.said.identity == " ".join((self.said.product, *self.said.behind_name))
            else self.said.product
        )
        texts = [("name", (Run(name, bold=True),), rule)]
        texts += [
            (f"identity{n or ''}", (Run(d.identity, bold=True),), rule) for n, d in enumerate(self.said_in)
        ]
        for n, said in enumerate(self.said_in):
            claimed = (c.said for c in said.claims)
            texts += [
                (f"claim{n or ''}-{i}", (Run(words, bold=True),), self.small)
                for i, words in enumerate(claimed)
            ]
        return tuple(t for t in texts if t[1][0].text)

    @cached_property
    def lists(self) -> tuple[tuple[Text, ...], ...]:
        """Ingredients, allergens and advice, which some markets want inside a border."""
        if "text" not in self.body:
            return ()
        groups: list[tuple[Text, ...]] = []
        for n, said in enumerate(self.said_in):
            mark = n or ""
            groups.append(((f"ingredients{mark}", said.ingredients, self.small),))
            groups += [
                ((f"ingredients{mark}-of-{i}", item_list(item), self.small),)
                for i, item in enumerate(said.items)
            ]
            groups.append(((f"allergens{mark}", said.allergens, self.small),))
            for i, text in enumerate(said.advisories):
                warned = text in said.warnings
                groups.append(
                    (
                        (
                            f"advisory{mark}-{i}",
                            (Run(text, bold=warned),),
                            self.rules.warning if warned else self.small,
                        ),
                    )
                )
        return _filled(groups)

    @cached_property
    def others(self) -> tuple[tuple[Text, ...], ...]:
        """The other small text in groups; the lines of a group stand close together."""
        if "text" not in self.body:
            return ()
        groups = [
            ((f"storage{n or ''}", (Run(glued(d.storage)),), self.small),) for n, d in enumerate(self.said_in)
        ]
        groups.append(
            tuple((f"date-{i}", (Run(_undivided(t)),), self.small) for i, t in enumerate(self.said.dates))
        )
        groups.append(
            tuple((f"business-{i}", (Run(t),), self.small) for i, t in enumerate(self.said.business))
        )
        return _filled(groups)

    @cached_property
    def inset(self) -> float:
        """How far the lists stand inside their border [pt]; 0 without one."""
        return self.spacing["list.inset"] if self.rules.set_off and self.lists else 0.0

    @cached_property
    def codes(self) -> tuple[Block, ...]:
        """The bar code and QR code, under the small text."""
        if "text" not in self.body:
            return ()
        codes = [lay_out_bar_code(self.said.gtin, self.spacing)] if self.said.gtin else []
        return (*codes, *([lay_out_qr_code(self.said.qr, self.spacing)] if self.said.qr else []))

    def _codes(self, width: float) -> Block:
        """The codes side by side where there is room, else under one another."""
        if not self.codes:
            return Block(width, 0.0, ())
        one, *more = self.codes
        if not more or one.width + more[0].width > width:
            return stack_blocks(list(self.codes), self.spacing["gap.texts"], width)
        high = max(one.height, more[0].height)
        return Block(width, high, (*one.boxes, *more[0].shifted(one.width, 0.0)), one.statements)

    def _texts(self, width: float) -> Iterator[tuple[Text, float]]:
        """Every small text with the width it has in a column."""
        for groups, room in ((self.lists, width - 2 * self.inset), (self.others, width)):
            yield from ((text, room) for group in groups for text in group)

    def _size(self, text: Text, size: float) -> float:
        """The type size of a small text where the others are set at ``size``."""
        _, runs, rule = text
        return (
            size
            if rule is self.small
            else max(size, up(rule.least_size(face("bold" if runs[0].bold else "regular"))))
        )

    def floor(self, panel: Block | None) -> float:
        """The least size of small text beside a panel: some markets want its letters as high as the
        panel's.
        """
        return max(self.least, nutrient_size(panel)) if panel and self.rules.as_panel else self.least

    def pitch(self, size: float) -> float:
        return size * self.spacing["gap.lines"]

    @cached_property
    def net_zone(self) -> float:
        """The share of the display panel, from its foot, that the net quantity must stand in; 0 =
        anywhere.
        """
        return self.rules.net_zone(*self.display)

    @cached_property
    def clear_beside(self) -> float:
        """Least space to the left and right of the net quantity [pt]."""
        return self.rules.net_clear("clear_beside") * face("bold").width("N", self.net_size)

    @cached_property
    def net_gap(self) -> float:
        """Least space above the net quantity [pt]: its own letter height where the law asks for that."""
        letters = self.rules.net_clear("clear_above") * self.net_size * face("bold").cap_height
        return max(self.spacing["gap.blocks"], letters)

    def front(self, width: float, scale: float, align: str = "left") -> Block | None:
        """Name and identity; None when a word of them is wider than the width."""
        blocks = []
        for part, runs, rule in self.front_texts:
            usual = self.spacing.get(f"front.{part.rstrip('-0123456789')}", 0.0) * scale
            size = max(usual, up(rule.least_size(face("bold"))))
            if widest_word(runs, size) > width:
                return None
            blocks.append(lay_out_text(runs, width, size, self.pitch(size), part, part, rule, align))
        return stack_blocks(blocks, self.spacing["front.between"], width)

    def net(self, width: float, align: str = "left") -> Block | None:
        """The net quantity with the clear space it needs above it; None when a word of it is wider than
        the width.
        """
        # a figure and its unit are never parted; what stands in brackets may go on a line of its own
        runs = (Run(re.sub(r" (?!\()", "\u00a0", self.said.net_quantity), bold=True),)
        if not self.said.net_quantity or self.head != "front":
            return Block(width, 0.0, ())
        if widest_word(runs, self.net_size) > width:
            return None
        return lay_out_text(
            runs,
            width,
            self.net_size,
            self.pitch(self.net_size),
            "net-quantity",
            "net-quantity",
            self.net_rule,
            align,
        )

    def text_height(self, width: float, size: float) -> float:
        """Height of the small text at a width and type size: the cheap question asked while searching."""
        high = sum(
            text_lines(t[1], room, self._size(t, size)) * self.pitch(self._size(t, size))
            for t, room in self._texts(width)
        )
        blocks = len(self.lists) + len(self.others) + bool(self.codes)
        return (
            high + self.spacing["gap.texts"] * max(0, blocks - 1) + 2 * self.inset + self._codes(width).height
        )

    def text_width(self, size: float) -> float:
        """The narrowest column that cuts no word of the small text."""
        words = (widest_word(t[1], self._size(t, size)) - room for t, room in self._texts(0.0))
        return max((*words, *(code.width for code in self.codes)), default=0.0)

    def text(self, width: float, size: float) -> Block:
        gap, inset = self.spacing["gap.texts"], self.inset
        lists = stack_blocks(
            [self._group(g, width - 2 * inset, size) for g in self.lists], gap, width - 2 * inset
        )
        others = stack_blocks([self._group(g, width, size) for g in self.others], gap, width)
        return stack_blocks(
            [
                bordered(lists, width, inset, self.spacing["list.line"]) if inset else lists,
                others,
                self._codes(width),
            ],
            gap,
            width,
        )

    def _group(self, group: tuple[Text, ...], width: float, size: float) -> Block:
        blocks = []
        for part, runs, rule in group:
            own = self._size((part, runs, rule), size)
            blocks.append(lay_out_text(runs, width, own, self.pitch(own), part, part, rule))
        return stack_blocks(blocks, 0.0, width)

    def panel(self, width: float, height: float) -> Block | None:
        """The nutrition panel in at most this space; None when it does not fit."""
        if "panel" not in self.body:
            return Block(width, 0.0, ())
        return self._spaces.fit(width, height)

    @property
    def _spaces(self) -> PanelSpaces | ItemPanels:
        """The spaces of the one panel, or of those of a box's items."""
        if self.said.items and not self.said.panel.columns[0].serving:
            return self.tried.items(self.rules.pack, self.package, self.least, self.small)
        return self.tried.panel(self.rules.pack, self.package)

    def rank(self, panel: Block) -> int:
        """Place of a panel's format among the market's, in the order the law prefers them; 0 is the first,
        or no panel.
        """
        return self._spaces.rank(panel)

    def ease(self, panel: Block) -> float:
        """How much of the width it would like the panel has, at most 1; 1 for no panel."""
        return self.tried.panel(self.rules.pack, self.package).ease(panel)


def read_parts(declaration: Declaration, width: float, height: float, tried: Tried | None = None) -> Parts:
    """The parts of a label of this size [pt], which is the display panel unless the package's own size is
    known. tried: of the same declaration, where other sizes have been sought before. Raises LayoutError
    when the typeface lacks letters.
    """
    package, display = Package(), (width, height)
    if declaration.package:
        sides = sorted(declaration.package, reverse=True)
        display = sides[0] * POINTS["mm"], sides[1] * POINTS["mm"]
        package = Package.of_sides(sides)
    rules, spacing = read_label_rules(declaration.market, declaration.on), read_spacing("label", "labels")
    parts = Parts(
        declaration,
        rules,
        spacing,
        display,
        tried or Tried(declaration),
        body=_printed(declaration, ("panel", "text")),
        package=package,
    )
    every = (*parts.front_texts, *(text for text, _ in parts._texts(0.0)))
    lacking = missing_characters(
        "".join((declaration.net_quantity, *(run.text for text in every for run in text[1])))
    )
    if lacking:
        raise LayoutError(
            f"the typeface cannot draw {describe_characters(lacking)}: write the text with other characters"
        )
    return parts


def _printed(declaration: Declaration, body: tuple[str, ...]) -> tuple[str, ...]:
    """Of a body, what the label carries: an exemption may let it go without its panel."""
    return tuple(b for b in body if b != "panel" or not declaration.without_panel)


def nutrient_size(panel: Block) -> float:
    """The type size of a panel's nutrient lines [pt]; 0 when it has none."""
    parts = {s.part for s in panel.statements if s.role == "nutrient"}
    return max((b.size_pt for b in panel.boxes if isinstance(b, TextBox) and b.part in parts), default=0.0)


def bordered(block: Block, width: float, inset: float, line: float) -> Block:
    """The block inside a border, ``width`` wide; all lengths in points."""
    high, half = block.height + 2 * inset, line / 2
    corners = ((half, half), (width - half, half), (width - half, high - half), (half, high - half))
    lines = [RuleBox(*a, *b, line) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)]
    return Block(width, high, (*block.shifted(inset, inset), *lines), block.statements)


def _undivided(line: str) -> str:
    """A date's line that does not end inside the date: "Best before 8 Dec 2026"."""
    return _DATE.sub(lambda found: found.group().replace(" ", "\u00a0"), line)


def _filled(groups: list[tuple[Text, ...]]) -> tuple[tuple[Text, ...], ...]:
    """The groups without texts that say nothing."""
    kept = (tuple(t for t in group if any(run.text for run in t[1])) for group in groups)
    return tuple(group for group in kept if group)


def up(points: float) -> float:
    """A type size rounded up to a tenth of a point, never below the minimum."""
    return -(-round(points, 6) * 10 // 1) / 10
