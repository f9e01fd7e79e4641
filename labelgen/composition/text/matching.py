"""Matches a text's words against the allergen lexicon: longest term first, then what stands around it."""

from __future__ import annotations

from dataclasses import replace

from labelgen.composition.text.denials import find_denied
from labelgen.composition.text.folded_words import BREAKS, Word, folded, keyed
from labelgen.composition.text.longest import Match, find_longest
from labelgen.composition.text.terms import Lexicon, Term
from labelgen.composition.text.tongues import Tongues

#: Words around an allergen's name by what they do, and foods by what they may be made of.
_OF, _BETWEEN = folded("around.of"), folded("around.between") | {":"}
_SHAPED, _LIKE, _FREE = folded("around.shaped"), folded("around.like"), folded("around.free")
_JOINING, _MEMBERS = folded("around.joining"), folded("around.members") | {":"}
#: Words that take their plant's name before them: "rice flour", "sunflower lecithin", "almond meal".
_MILLED = keyed("around.milled")
#: What a food may be sold as: "pesto sauce (basil ...)", "cake mix: flour ...".
_MADE_UP = keyed("around.made_up")
_STARCHES, _FLOURS = keyed("around.starches"), keyed("around.flours")
#: What goes on or into baked goods, and holds none of them: "cake icing", "bagel seasoning".
_ON_BAKED_GOODS = keyed("around.on_baked_goods")
_SEA = ("fish", "crustacean", "mollusc")
#: Cereals that stay cereals when a text calls them gluten-free: oats, or wheat starch with the gluten washed
# out.
_CEREALS = keyed("around.cereals")
_LECITHIN = tuple(folded("around.lecithin"))
#: Parts of milk that are taken off alone: "lactose-free" is not free of milk.
_OF_MILK = keyed("around.of_milk")
_FLAVOUR, _NAMED_FLAVOUR = keyed("around.flavour"), keyed("around.named_flavour")
_BEFORE_FLAVOUR = folded("around.before_flavour")
#: "arôme naturel de": the word for a flavour, and what may stand between it and the food.
_NAMES_FLAVOUR, _FROM_FLAVOUR = keyed("around.names_flavour"), folded("around.from_flavour")


def find_matches(
    words: list[Word], lexicon: Lexicon, food: bool = False, denials: bool = True
) -> list[Match]:
    """The allergen matches of one clause, after false friends, denials and modifiers have had their say.

    food: the words are a dataset name, whose qualifiers follow their noun ("Beans, butter"). denials:
    "nut-free" takes the nuts away.
    """
    tongues = Tongues(words, lexicon.language) if lexicon.abroad else None
    raw = _in_one_language(find_longest(words, lexicon, tongues))
    if food:
        raw = _turned_round(words, raw, lexicon)
    denied = find_denied(words, raw, lexicon, tongues) if denials else set()
    found = []
    for i, match in enumerate(raw):
        if i in denied or match.term.rule in ("modifier", "source", "grain"):
            continue
        found.append(_in_context(words, raw, i, denied, lexicon))
    return [m for m in found if m.contains or m.typical or m.may]


def _in_one_language(raw: list[Match]) -> list[Match]:
    """Words that differ in meaning between languages, read in the language most of the other words are in."""
    if not any(m.term.others for m in raw):
        return raw
    votes: dict[str, int] = {}
    for match in raw:
        if not match.term.others and not match.term.silent and match.term.language != "any":
            votes[match.term.language] = votes.get(match.term.language, 0) + 1
    chosen = []
    for match in raw:
        options = (match.term, *match.term.others)
        term = max(options, key=lambda t: (votes.get(t.language, 0), not t.silent, t.language == "en"))
        chosen.append(replace(match, term=term, contains=term.contains, typical=term.typical, may=term.may))
    return chosen


def _turned_round(words: list[Word], raw: list[Match], lexicon: Lexicon) -> list[Match]:
    """Drops matches that a false friend explains once "Beans, butter" is read as "butter beans", and the
    like; and "flour" in "Flour, almond", which is of almonds.
    """
    segments: list[list[Word]] = [[]]
    for word in words:
        if word.text in BREAKS:
            segments.append([])
        else:
            segments[-1].append(word)
    quiet: set[int] = set()
    place = {word.start: n for n, word in enumerate(words)}
    for j in range(1, len(segments)):
        for k in range(j):
            turned = segments[j] + segments[k]
            matches = find_longest(turned, lexicon)
            for match in matches:
                if (
                    match.start == 0 < len(segments[j]) < match.end
                    and match.term.silent
                    and match.term.rule in ("word", "grain", "source")
                ):
                    quiet |= {place[w.start] for w in turned[match.start : match.end]}
            if (
                len(segments[k]) == 1
                and segments[k][0].key in _MILLED
                and segments[j]
                and _is_plant(segments[j], lexicon)
            ):
                quiet.add(place[segments[k][0].start])
    return [m for m in raw if m.start not in quiet]


def _in_context(words: list[Word], raw: list[Match], i: int, denied: set[int], lexicon: Lexicon) -> Match:
    """A match after what stands around it: modifiers before, "flavour" after, its own ingredients in
    brackets.
    """
    match = raw[i]
    contains, typical, may = match.contains, match.typical, match.may
    after = words[match.end].text if match.end < len(words) else ""
    if after in _SHAPED:
        return replace(match, contains=(), typical=(), may=())
    if after in _LIKE:  # oyster-style sauce, crab-style sticks
        may += tuple(c for c in contains + typical if _family(c) in _SEA)
        contains, typical = (
            tuple(c for c in codes if _family(c) not in _SEA) for codes in (contains, typical)
        )
    for off, doubtful in _modifiers(words, raw, i, denied, lexicon):
        dropped = [c for c in contains + typical if _family(c) in off]
        named = "gluten" in off and bool(_CEREALS & set(match.term.keys))
        gluten_named = {c for c in contains if named and _family(c) in ("gluten", "wheat")}
        contains = tuple(c for c in contains if _family(c) not in off or c in gluten_named)
        typical = tuple(c for c in typical if _family(c) not in off)
        may = tuple(c for c in may if _family(c) not in off)
        if doubtful:
            may += tuple(dropped)
    if typical and words[match.end : match.end + 1] and words[match.end].key in _ON_BAKED_GOODS:
        typical = tuple(c for c in typical if _family(c) not in ("wheat", "gluten"))
    if (
        contains
        and (_is_flavour(words, match.end) or _after_flavour(words, match.start))
        and not _NAMED_FLAVOUR & set(match.term.keys)
    ):
        may, contains = may + contains, ()
    if match.term.keys[-1] in _MILLED and _plant_before(raw, i):
        typical, may = (), ()
    if (named := _lecithin_of(words, raw, i)) is not None:
        may = _in_context(words, raw, named, denied, lexicon).may if named < i else ()
    inside, close = _bracket(words, match.end)
    numbered = any(
        _lecithin_of(words, raw, n) == i and raw[n].end == close for n in range(i + 1, min(i + 2, len(raw)))
    )
    if inside and not numbered:
        told = [m for m in raw if match.end < m.start < close and m.term.rule != "modifier"]
        items = sum(w.text in (",", ";") for w in inside) + 1
        typical = tuple(c for c in typical if not _settled(c, match, contains, told, items))
        may = () if told or items >= 3 else may
    elif (at := close + 1 if numbered else match.end) < len(words) and words[at].text in _OF:
        while at < len(words) and words[at].text in _OF | _BETWEEN:
            at += 1
        may = () if any(m.start == at for m in raw) else may
    return replace(
        match,
        contains=contains,
        typical=typical,
        may=may,
        members_end=_members_end(words, match.end, close),
    )


def _lecithin_of(words: list[Word], raw: list[Match], i: int) -> int | None:
    """Where ``raw[i]`` is but the number of a lecithin named before it in the same item ("sunflower
    lecithin (E322)"), that one's place; its own where no allergen's name covers the word ("Rapslecithin").
    """
    if not raw[i].term.keys[-1].startswith("322"):
        return None
    before = raw[i].start - 1 - (raw[i].start > 0 and words[raw[i].start - 1].text == "(")
    if (
        before >= 0
        and words[before].text.endswith(_LECITHIN)
        and not any(m.start <= before < m.end for m in raw)
    ):
        return i
    for j in range(i - 1, -1, -1):
        gap = words[raw[j].end : raw[i].start]
        if len(gap) > 6 or any(w.text in BREAKS - {"(", ")"} for w in gap):
            return None
        if any(word in key for word in _LECITHIN for key in raw[j].term.keys):
            return j
    return None


def _modifiers(words: list[Word], raw: list[Match], i: int, denied: set[int], lexicon: Lexicon):
    """(families taken off, whether they stay possible) from "vegan", "dairy-free", "non-dairy" just before a
    match.

    A false friend that opens with such a word ("vegan cream", cheese) passes it on.
    """
    match = raw[i]
    within = [
        n
        for n in range(i + 1, min(i + 3, len(raw)))
        if words[match.end : match.end + 1] and words[match.end].text == "(" and raw[n].start == match.end + 1
    ]
    for n in (*within, *range(i - 1, -1, -1)):
        other = raw[n]
        if n in within:
            close = other.end + (other.end < len(words) and words[other.end].text in _FREE)
            if close >= len(words) or words[close].text != ")":
                continue
        gap = words[other.end : match.start] if n < i else []
        if len(gap) > 3 or any(w.text in BREAKS or w.text in _JOINING for w in gap):
            return
        opening = other.term if other.term.rule == "modifier" else _opening(other, words, lexicon)
        if opening:
            yield {_family(c) for c in opening.contains + opening.may}, bool(opening.may)
        elif n in denied and not (len(other.term.keys) == 1 and other.term.keys[0] in _OF_MILK):
            off = {_family(c) for c in other.contains}
            yield off | ({"wheat", "gluten"} if off & {"wheat", "gluten"} else set()), False


def _opening(friend: Match, words: list[Word], lexicon: Lexicon) -> Term | None:
    """The modifier a false friend opens with."""
    terms = lexicon.terms(words[friend.start].key) if friend.term.silent else ()
    return next(
        (t for t in terms if t.rule == "modifier" and t.keys == friend.term.keys[: len(t.keys)]), None
    )


def _settled(code: str, match: Match, named: tuple[str, ...], told: list[Match], items: int) -> bool:
    """Whether a food's own ingredients settle what it is usually made with.

    Flour and baked goods stay wheat unless a grain that takes its place is among them: a bracket after
    "enriched flour" often lists only what was added to it. Rye, oats and the like take its place in other
    goods.
    """
    if (
        _family(code) in ("wheat", "gluten")
        and not named
        and not {"soy", "fish", "sesame", "peanut"} & {_family(c) for c in match.typical}
    ):
        other = any(
            c.startswith("gluten/") and c not in ("gluten/barley", "gluten/wheat")
            for m in told
            for c in m.contains
        )
        nut_flour = any(
            m.term.keys[-1] in _FLOURS
            and not {"wheat", "gluten"} & {_family(c) for c in m.contains + m.typical}
            for m in told
        )
        starch = any(m.term.silent and _STARCHES & set(m.term.keys) for m in told)
        return (
            any(m.term.rule == "grain" for m in told)
            or nut_flour
            or starch
            or (other and items >= 2 and match.term.keys[-1] not in _MILLED)
        )
    return items >= 2 and bool(told)


def _is_plant(words: list[Word], lexicon: Lexicon) -> bool:
    """Whether words begin with a plant that a milled or pressed thing may be made of."""
    first = next(iter(find_longest(words, lexicon)), None)
    return first is not None and first.start == 0 and _may_be_milled(first)


def _may_be_milled(match: Match) -> bool:
    named = any(
        _family(c) not in ("milk", "egg", "wheat", "fish", "crustacean", "mollusc") for c in match.contains
    )
    return match.term.rule in ("source", "grain") or named


def _plant_before(raw: list[Match], i: int) -> bool:
    """Whether a plant's name stands right before a milled or pressed thing: then that plant is what it is
    made of.
    """
    before = raw[i - 1] if i else None
    return before is not None and before.end == raw[i].start and _may_be_milled(before)


def _family(code: str) -> str:
    return code.partition("/")[0]


def _is_flavour(words: list[Word], end: int) -> bool:
    while end < len(words) and words[end].text in _BEFORE_FLAVOUR and end + 1 < len(words):
        end += 1
    return end < len(words) and words[end].key in _FLAVOUR


def _after_flavour(words: list[Word], start: int) -> bool:
    """Whether "arôme naturel de", "aroma di" or "sabor a" stands right before."""
    at = start - 1
    while at >= 0 and words[at].text in _FROM_FLAVOUR:
        at -= 1
    return 0 <= at < start - 1 and words[at].key in _NAMES_FLAVOUR


def _bracket(words: list[Word], end: int) -> tuple[list[Word], int]:
    """The words of a bracket that opens at ``end`` (a percentage may stand before it), and where it
    closes.
    """
    while end < len(words) and (words[end].text.replace(".", "").isdigit() or words[end].key in _MADE_UP):
        end += 1
    if end < len(words) and words[end].text == ":":
        return words[end + 1 :], len(words)
    if end >= len(words) or words[end].text != "(":
        return [], end
    depth, at = 0, end
    while at < len(words):
        depth += {"(": 1, ")": -1}.get(words[at].text, 0)
        if depth == 0:
            break
        at += 1
    return words[end + 1 : at], at


def _members_end(words: list[Word], end: int, close: int) -> int:
    """How far the members of a group word reach: its bracket, or after a colon the rest of the clause."""
    if close > end:  # "nuts (in varying proportions): pecans, walnuts"
        return len(words) if words[close + 1 : close + 2] and words[close + 1].text == ":" else close
    if end < len(words) and words[end].text in _MEMBERS:
        return len(words)
    return end
