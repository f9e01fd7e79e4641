"""Matches a text's words against the allergen lexicon: longest term first, then what stands around it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from labelgen.composition.terms import Lexicon, Term
from labelgen.composition.words import BREAKS, Word, key_of

_OF = {"from", "of", "ex", "derived", "made", "based", "source", "origin"}
_NEGATING = {"no", "without", "non", "zero", "sans", "ohne", "sin", "senza", "kein", "keine", "minus", "not"}
_NEGATING_ABROAD = {"sans", "ohne", "sin", "senza", "kein", "keine"}
#: More foods than any sentence denies at once.
_LONGEST = 40
_CLOSING = {"or", "nor", "oder", "ou", "ni", "o"}
_JOINING = {"and", "or", "nor", "/", ",", "und", "oder", "et", "ou", "y", "o", "e", "ed", "added", "any", "no"}
_ADDED = {"added", "any", "the", "de", "d", "zusatz", "von", "ajout", "adicion", "aggiunta", "di"}
_FREE_UNLESS = {"range", "from", "of", "flowing", "run", "roaming", "roam"}
#: Words that take their plant's name before them: "rice flour", "sunflower lecithin", "almond meal".
_MILLED = {key_of(w) for w in (
    "flour flours starch starches bran meal grits groats dextrin maltodextrin maltodextrins dextrose glucose syrup solid "
    "protein isolate concentrate lecithin lecithins oil fat shortening margarine mix blend monohydrate hydrolysate").split()}
#: Cereals that stay cereals when a text calls them gluten-free: oats, or wheat starch with the gluten washed out.
_CEREALS = {key_of(w) for w in "wheat oat oats oatmeal barley rye spelt kamut avoine avena hafer weizen malt".split()}
_CLASSES = {key_of(w) for w in (
    "emulsifier emulsifiers preservative preservatives antioxidant antioxidants stabiliser stabilizer acidity colour "
    "thickener regulator acid lecithin additive").split()}


@dataclass(frozen=True)
class Match:
    """A term found at words[start:end]. members_end: where a bracket or list of its members, if any, ends."""

    term: Term
    start: int
    end: int
    contains: tuple[str, ...]
    typical: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    members_end: int = 0


def find_matches(words: list[Word], lexicon: Lexicon, food: bool = False, denials: bool = True) -> list[Match]:
    """The allergen matches of one clause, after false friends, denials and modifiers have had their say.

    food: the words are a dataset name, whose qualifiers follow their noun ("Beans, butter"). denials: "nut-free" takes the nuts away.
    """
    raw = _in_one_language(_longest(words, lexicon))
    if food:
        raw = _turned_round(words, raw, lexicon)
    denied = _denied(words, raw) if denials else set()
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


def _longest(words: list[Word], lexicon: Lexicon) -> list[Match]:
    found, i = [], 0
    while i < len(words):
        match = _at(words, i, lexicon)
        if match:
            found.append(match)
            i = match.end
            continue
        if len(words[i].text) > 3 and not words[i].text.endswith(("frei", "free")):
            for part in lexicon.pattern.finditer(words[i].text):
                term = lexicon.parts[part.group()]
                found.append(Match(term, i, i + 1, term.contains, term.typical, term.may))
        i += 1
    return found


def _at(words: list[Word], i: int, lexicon: Lexicon) -> Match | None:
    for term in lexicon.terms(words[i].key):
        end = i + len(term.keys)
        if tuple(w.key for w in words[i:end]) != term.keys:
            continue
        if term.rule == "item" and not (_breaks(words, i - 1) and _breaks(words, end)):
            continue
        if term.rule == "number" and not _is_additive_number(words, i, end):
            continue
        return Match(term, i, end, term.contains, term.typical, term.may)
    return None


def _breaks(words: list[Word], i: int) -> bool:
    return i < 0 or i >= len(words) or words[i].text in BREAKS or words[i].text == "and"


def _is_additive_number(words: list[Word], i: int, end: int) -> bool:
    if not (_breaks(words, end) or words[end].text in ("i", "ii", "a", "b")):
        return False
    before = words[max(0, i - 10) : i]
    return bool(before) and (_breaks(words, i - 1) or before[-1].key in _CLASSES) and any(w.key in _CLASSES for w in before)


def _turned_round(words: list[Word], raw: list[Match], lexicon: Lexicon) -> list[Match]:
    """Drops matches that a false friend explains once "Beans, butter" is read as "butter beans", and the like;
    and "flour" in "Flour, almond", which is of almonds."""
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
            matches = _longest(turned, lexicon)
            for match in matches:
                if match.start == 0 < len(segments[j]) < match.end and match.term.silent and match.term.rule in ("word", "grain", "source"):
                    quiet |= {place[w.start] for w in turned[match.start : match.end]}
            if len(segments[k]) == 1 and segments[k][0].key in _MILLED and segments[j] and _is_plant(segments[j], lexicon):
                quiet.add(place[segments[k][0].start])
    return [m for m in raw if m.start not in quiet]


def _denied(words: list[Word], raw: list[Match]) -> set[int]:
    """Indexes of matches that the text denies: "no milk", "egg-free", "nut and dairy free", "without soy or nuts"."""
    denied: set[int] = set()
    by_end = {m.end: n for n, m in enumerate(raw)}
    by_start = {m.start: n for n, m in enumerate(raw)}
    for n, match in enumerate(raw):
        after = words[match.end].text if match.end < len(words) else ""
        then = words[match.end + 1].text if match.end + 1 < len(words) else ""
        if after == "free" and then not in _FREE_UNLESS:
            denied.add(n)
            alone = match.end + 1 >= len(words) or words[match.end + 1].text in BREAKS
            denied |= _chain_back(words, raw, match, by_end, alone)
        before = match.start - 1
        while before >= 0 and words[before].text in _ADDED:
            before -= 1
        nothing = before >= 0 and words[before].text == "0" and words[match.start].key != "milk"
        if before >= 0 and (nothing or words[before].text in _NEGATING) and not _with_or_without(words, before):
            denied.add(n)
            denied |= _chain_on(words, raw, match, by_start)
    return denied


def _with_or_without(words: list[Word], i: int) -> bool:
    return i >= 2 and words[i].text == "without" and words[i - 1].text == "or" and words[i - 2].text == "with"


def _chain_back(words: list[Word], raw: list[Match], match: Match, by_end: dict, alone: bool) -> set[int]:
    """Further foods before "... and milk free". Across commas only when the sentence says nothing else (alone)."""
    chain, at, commas = [], match.start, False
    if at and words[at - 1].text == ",":
        return set()
    while at > 0 and words[at - 1].text in ("and", "or", "/", ",") and len(chain) < _LONGEST:
        commas = commas or words[at - 1].text == ","
        at -= 1
        while at > 0 and words[at - 1].text in ("and", "or", "/", ","):
            at -= 1
        if at not in by_end:
            return set() if commas else set(chain)
        chain.append(by_end[at])
        at = raw[by_end[at]].start
    return set(chain) if not commas or alone and (at == 0 or words[at - 1].text in (".", "!", ":")) else set()


def _chain_on(words: list[Word], raw: list[Match], match: Match, by_start: dict) -> set[int]:
    """Further foods after "no milk, eggs or nuts"; a chain with commas counts only if it closes with or/nor."""
    chain, at, commas, closed = [], match.end, False, False
    closing = _CLOSING | (_JOINING if words[max(match.start - 1, 0)].text in _NEGATING_ABROAD else set())
    while at < len(words) and (words[at].text in _JOINING or words[at].text == "ni") and len(chain) < _LONGEST:
        closed = closed or words[at].text in closing - {","}
        commas = commas or words[at].text == ","
        at += 1
        while at < len(words) and words[at].text in _JOINING:
            closed = closed or words[at].text in closing - {","}
            at += 1
        if at not in by_start:
            break
        chain.append(by_start[at])
        at = raw[by_start[at]].end
    return set(chain) if closed or not commas else set()


def _in_context(words: list[Word], raw: list[Match], i: int, denied: set[int], lexicon: Lexicon) -> Match:
    """A match after what stands around it: modifiers before, "flavour" after, its own ingredients in brackets."""
    match = raw[i]
    contains, typical, may = match.contains, match.typical, match.may
    for off, doubtful in _modifiers(words, raw, i, denied, lexicon):
        dropped = [c for c in contains + typical if _family(c) in off]
        named = "gluten" in off and bool(_CEREALS & set(match.term.keys))
        gluten_named = {c for c in contains if named and _family(c) in ("gluten", "wheat")}
        contains = tuple(c for c in contains if _family(c) not in off or c in gluten_named)
        typical = tuple(c for c in typical if _family(c) not in off)
        may = tuple(c for c in may if _family(c) not in off)
        if doubtful:
            may += tuple(dropped)
    if contains and _is_flavour(words, match.end) and "flavor" not in match.term.keys and "malt" not in match.term.keys:
        may, contains = may + contains, ()
    if match.term.keys[-1] in _MILLED and _plant_before(raw, i):
        typical, may = (), ()
    inside, close = _bracket(words, match.end)
    if inside:
        told = [m for m in raw if match.end < m.start < close and m.term.rule != "modifier"]
        items = sum(w.text in (",", ";") for w in inside) + 1
        typical = tuple(c for c in typical if not _settled(c, match, contains, told, items))
        may = () if told or items >= 3 else may
    elif match.end < len(words) and words[match.end].text in _OF:
        at = match.end
        while at < len(words) and words[at].text in _OF | {"non", "gm", "the", ":"}:
            at += 1
        may = () if any(m.start == at for m in raw) else may
    return replace(match, contains=contains, typical=typical, may=may, members_end=_members_end(words, match.end, close))


def _modifiers(words: list[Word], raw: list[Match], i: int, denied: set[int], lexicon: Lexicon):
    """(families taken off, whether they stay possible) from "vegan", "dairy-free", "non-dairy" just before a match.

    A false friend that opens with such a word ("vegan cream", cheese) passes it on."""
    match = raw[i]
    for n in range(i - 1, -1, -1):
        other = raw[n]
        gap = words[other.end : match.start]
        if len(gap) > 3 or any(w.text in BREAKS or w.text == "and" for w in gap):
            return
        opening = other.term if other.term.rule == "modifier" else _opening(other, words, lexicon)
        if opening:
            yield {_family(c) for c in opening.contains + opening.may}, bool(opening.may)
        elif n in denied and other.term.keys not in (("lactos",), ("whei",)):
            off = {_family(c) for c in other.contains}
            yield off | ({"wheat", "gluten"} if off & {"wheat", "gluten"} else set()), False


def _opening(friend: Match, words: list[Word], lexicon: Lexicon) -> Term | None:
    """The modifier a false friend opens with."""
    terms = lexicon.terms(words[friend.start].key) if friend.term.silent else ()
    return next((t for t in terms if t.rule == "modifier" and t.keys == friend.term.keys[: len(t.keys)]), None)


def _settled(code: str, match: Match, named: tuple[str, ...], told: list[Match], items: int) -> bool:
    """Whether a food's own ingredients settle what it is usually made with.

    Flour and baked goods stay wheat unless a grain that takes its place is among them: a bracket after
    "enriched flour" often lists only what was added to it. Rye, oats and the like take its place in other goods.
    """
    if _family(code) in ("wheat", "gluten") and not named:
        other = any(c.startswith("gluten/") and c not in ("gluten/barley", "gluten/wheat") for m in told for c in m.contains)
        return any(m.term.rule == "grain" for m in told) or (other and items >= 2 and match.term.keys[-1] not in _MILLED)
    return items >= 2 and bool(told)


def _is_plant(words: list[Word], lexicon: Lexicon) -> bool:
    """Whether words begin with a plant that a milled or pressed thing may be made of."""
    first = next(iter(_longest(words, lexicon)), None)
    return first is not None and first.start == 0 and _may_be_milled(first)


def _may_be_milled(match: Match) -> bool:
    named = any(_family(c) not in ("milk", "egg", "wheat", "fish", "crustacean", "mollusc") for c in match.contains)
    return match.term.rule in ("source", "grain") or named


def _plant_before(raw: list[Match], i: int) -> bool:
    """Whether a plant's name stands right before a milled or pressed thing: then that plant is what it is made of."""
    before = raw[i - 1] if i else None
    return before is not None and before.end == raw[i].start and _may_be_milled(before)


def _family(code: str) -> str:
    return code.partition("/")[0]


def _is_flavour(words: list[Word], end: int) -> bool:
    skip = {"natural", "artificial", "nat", "type", "style", "and", "other"}
    while end < len(words) and words[end].text in skip and end + 1 < len(words):
        end += 1
    return end < len(words) and words[end].key in ("flavor", "flavored", "aroma", "arom", "aromen", "essenc")


def _bracket(words: list[Word], end: int) -> tuple[list[Word], int]:
    """The words of a bracket that opens at ``end`` (a percentage may stand before it), and where it closes."""
    while end < len(words) and words[end].text.replace(".", "").isdigit():
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
    if close > end:
        return close
    if end < len(words) and words[end].text in (":", "such", "namely", "including", "like", "from"):
        return len(words)
    return end
