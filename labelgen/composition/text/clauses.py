"""Cuts a packet's text into clauses: the ingredient list, what it declares, warns of, denies, or merely says.

"Milk" means one thing in a list, another after "may contain", and nothing after "free from" or in the
maker's address. Every character of the text belongs to exactly one clause.
"""

from __future__ import annotations

import re
from typing import NamedTuple

LIST, CONTAINS, MAY, ABSENT, NOISE, PRAISE = "list", "contains", "may", "absent", "noise", "praise"


class Clause(NamedTuple):
    """mode: one of the six above. start, end: its place in the text. nested: it stands inside brackets."""

    mode: str
    start: int
    end: int
    nested: bool = False


_SITE = (
    r"(?:facilit(?:y|ies)|factor(?:y|ies)|plants?|bakery|bakeries|kitchens?|premises|equipment|machinery|machines?|"
    r"(?:production |packing |same |shared )?lines?|environment|areas?|mills?|warehouses?|buildings?|rooms?|utensils|"
    r"sites?|workshops?|surfaces|fryers?|oven|nurser(?:y|ies)|location|unit|place|establishment)"
)
_MADE = (
    r"(?:made|produced|manufactured|processed|packed|packaged|prepared|baked|handled|stored|roasted|blended|cooked|"
    r"milled|bottled|fried|crafted|grown|dried|mixed|assembled|repacked|bagged)"
)
_MAY = "|".join([
    r"(?:may|might|can|could)\s+(?:also\s+|still\s+|sometimes\s+|occasionally\s+|inadvertently\s+|unintentionally\s+)*"
    r"(?:contain|include|have|be\s+present|carry)(?:\s+(?:small\s+|minute\s+|occasional\s+)?(?:traces?|amounts)\s+of)?",
    r"may\s+be\s+(?:present|contaminated|cross[- ]contaminated)",
    r"(?:small\s+|minute\s+|possible\s+)?traces?\s+(?:amounts?\s+)?of",
    r"possible\s+(?:presence|traces)",
    r"(?:traces?|spuren|tracce|trazas)\s*:",
    rf"{_MADE}(?:\s+(?:and|or|&)\s+{_MADE})*\s*(?:in|on|at|with|using|by|alongside|near)\b[^.;\n]{{0,160}}?"
    rf"(?:\n[^.;\n]{{0,160}}?)??\b{_SITE}\b",
    rf"(?:same|shared|common)\s+{_SITE}",
    rf"(?:our|this|the)\s+{_SITE}\s+(?:also\s+|that\s+)*(?:handles?|uses?|process(?:es)?|contains?|stores?|produces?|"
    r"makes?|packs?|works?\s+with)",
    rf"{_SITE}\s+(?:also\s+)?(?:handles|uses|processes|stores|packs)\b",
    rf"{_SITE}\s+(?:that|which|where)\s+(?:also\s+|may\s+)*(?:handles?|uses?|process(?:es)?|contains?|stores?|produces?|"
    r"makes?|packs?)",
    r"also\s+(?:handles?|process(?:es)?|packs?|produces?)",
    r"(?:not|un)\s*suitable\s+for",
    r"can\s?not\s+(?:be\s+)?(?:guaranteed?|ensured?|rule\s+out|exclude)",
    r"(?:cannot|can't|unable\s+to)\s+guarantee",
    r"risk\s+of",
    r"cross[- ]?(?:contamination|contact)",
    r"precautionary\s+(?:allergen\s+)?(?:statement|labell?ing)",
    r"other\s+products\s+(?:made|produced|baked|packed|prepared|sold)\b[^.\n]{0,40}?\bcontain",
    rf"{_MADE}\s+(?:alongside|near|next\s+to|beside|where)\b",
    r"(?:not|never)\s+(?:be\s+)?guaranteed",
    r"(?:peut|peuvent|pourrai(?:en)?t)\s+(?:\w+\s+){0,2}(?:contenir|renfermer)(?:\s+des\s+traces)?",
    r"susceptibles?\s+de\s+contenir",
    r"traces?\s+(?:(?:[ée]ventuelles?|possibles?|fortuites?)(?:\s+d(?:e\b|['’]))?|d(?:e\b|['’]))",
    r"(?:pr[ée]sence|contamination)\s+(?:possible|[ée]ventuelle|fortuite|crois[ée]e)",
    r"risque\s+de",
    r"(?:fabriqu[ée]e?s?|conditionn[ée]e?s?|produite?s?|[ée]labor[ée]e?s?|pr[ée]par[ée]e?s?|transform[ée]e?s?)\s+(?:dans|sur)\s+(?:une?|des|le|la|les|nos|notre)\b",
    r"(?:atelier|usine|ligne|site)\s+(?:utilisant|manipulant|traitant|qui\s+(?:utilise|manipule|traite|transforme))",
    r"ne\s+convien(?:t|nent)\s+pas",
    r"kann(?:\s+auch)?(?:\s+spuren)?(?=\b[^.]{0,300}\benthalten)",
    r"k[oö]nnen?\b(?=[^.]{0,300}\benthalten)",
    r"kann\s+(?:auch\s+)?(?:spuren\s+)?(?:von\s+)?",
    r"spuren\s+von",
    r"(?:hergestellt|verarbeitet|abgepackt|produziert|gefertigt|verpackt|gebacken|abgef[uü]llt)\s+in\s+(?:einem|einer|unserem|unserer|demselben|derselben)\b",
    r"(?:in|im|auf)\s+(?:unser\w+|derselben|demselben|selben|dieser|diesem|der|dem|gleichen)?\s*(?:\w*(?:betrieb|st[aä]tte|anlage|linie|b[aä]ckerei|k[uü]che|werk|maschinen)\w*)\s+werden\b",
    r"(?:nicht|un)\s*geeignet\s+f[uü]r",
    r"(?:puede|pueden|podr[ií]an?|pudiera)\s+(?:\w+\s+)?(?:contener|presentar)(?:\s+trazas)?",
    r"trazas\s+de",
    r"(?:elaborad|fabricad|envasad|producid|procesad)[oa]s?\s+en\s+(?:una?\s+|las?\s+mismas?\s+)?(?:instalaci|f[aá]brica|l[ií]nea|planta|obrador)",
    r"en\s+(?:el|la|este|esta|nuestro|nuestra|las)\s+(?:mismas?\s+)?(?:obrador|f[aá]brica|l[ií]nea|planta|instalaci\w+|cocina)\s+(?:tambi[eé]n\s+)?se\b",
    r"no\s+(?:es\s+)?apt[oa]s?\s+para",
    r"(?:pu[oòó]['’]?|possono|potrebbe(?:ro)?)\s+(?:\w+\s+)?contenere(?:\s+tracce)?",
    r"tracce\s+di",
    r"(?:possibile|eventuale)\s+presenza",
    r"(?:prodott|confezionat|lavorat|preparat)[oaie]\s+in\s+uno?\s+(?:stabilimento|laboratorio)",
    r"n(?:ello|el|ei)\s+(?:stess[oi]\s+|nostr[oi]\s+)?(?:stabiliment[oi]|laboratori[o]?)\s+(?:si|vengono|sono)\b",
    r"non\s+(?:[eè]\s+)?(?:adatt|idone)[oaie]\s+a",
])
_ABSENT = "|".join([
    r"(?:contains?|containing|has|have|had|with)\s+(?:absolutely\s+)?no(?:ne\s+of(?:\s+the\s+following)?)?\b(?!\s*\d)",
    r"(?:does|do|did)\s*(?:not|n['’]t)\s+(?:contain|use|handle|process|include|pack|store|produce|have|add)",
    r"(?:doesn|don|didn)['’]t\s+(?:contain|use|handle|process|include|pack|store|produce|have|add)",
    r"not\s+contain(?:ing)?",
    r"never\s+(?:contains?|uses?|handles?)",
    r"(?:is|are|100\s*%|completely|totally|naturally|always)?\s*free\s+(?:from|of)(?:\s+(?:the\s+following|all))?",
    r"no(?:ne)?\s+of\s+the\s+following",
    r"(?:no|none\s+of)\s*:",
    r"(?:allerg\w+\s+)?(?:absent|not\s+(?:present|contained|used))\s*:",
    r"(?:made|produced|manufactured|prepared)\s+without(?:\s+the\s+use\s+of)?",
    r"without\s+the\s+use\s+of",
    r"not\s+(?:made|produced|manufactured|processed|prepared)\s+(?:with|from|using|on|in)",
    r"ne\s+contien(?:t|nent)\s+(?:pas|ni|aucun)",
    r"n['’]utilis(?:e|ent|ons)\s+(?:pas|ni|aucun)",
    r"exempte?s?\s+d[e'’]",
    r"frei\s+von",
    r"enth[aä]lt\s+(?:kein(?:e|en|er)?|weder)",
    r"no\s+contienen?",
    r"(?:libres?|exent[oa]s?)\s+de",
    r"non\s+contiene",
    r"priv[oaie]\s+di",
])
_SIGNPOST = "|".join([
    r"for\s+(?:a\s+list\s+of\s+|information\s+on\s+|all\s+)?allerg(?:ens?|ies|y)\b[^.\n]*(?:\n[^.\n]*?(?:bold|capitals?)\b)?",
    r"allerg(?:ens?|y\s+advice|y\s+information|en\s+advice|en\s+information)\s*(?:are|is|:)?\s*"
    r"(?:shown|highlighted|listed|indicated|marked|declared|printed|identified|see)?\s*(?:the\s+)?(?:ingredients?\s+)?"
    r"(?:in|highlighted\s+in|marked\s+in|shown\s+in)\s+(?:bold|capitals?|caps|capital\s+letters|upper\s*case)",
    r"(?:including|incl\.?)\s+cereals\s+containing\s+gluten\s*,?\s*(?:please\s+)?see\b[^.\n]*",
    r"(?:please\s+)?see\s+(?:the\s+)?(?:ingredients?|items?|those)\s+(?:listed\s+|shown\s+|highlighted\s+|marked\s+)?"
    r"(?:in|above|below)\s*(?:bold|capitals?)?",
    r"convien(?:t|nent)\s+(?:aux|[aà])\s[^.\n]*",
    r"apt[oa]s?\s+para\s[^.\n]*",
    r"(?:adatt|idone)[oaie]\s+(?:a|ai|alle|agli)\s[^.\n]*",
    r"geeignet\s+f[uü]r\s[^.\n]*",
    r"suitable\s+for\s+(?:people\s+(?:with|who)|those|anyone|nut|milk|egg|coeliacs?|celiacs?|vegans?|vegetarians?)[^.,;\n]*",
])
_LISTLIKE = (
    r"contains?\s+(?:one\s+or\s+more\s+of|the\s+following\s+ingredients|(?:less\s+than|up\s+to|at\s+least|a?\s*minimum"
    r"(?:\s+of)?|min\.?|approx\.?|about|over|more\s+than|not\s+more\s+than)?\s*\d+(?:[.,]\d+)?\s*(?:%|percent|per\s+cent)"
    r"(?:\s+or\s+less)?|(?:one|two)\s+percent|or\s+less|vegetable\s+fats?\s+in\s+addition)"
)
_CONTAINS = "|".join([
    r"contains?\b(?:\s+the\s+following\s+allergens?)?|contain\b",
    r"(?:food\s+|major\s+|known\s+)?allergen(?:ic)?s?(?:\s+(?:statement|information|info|advice|declaration|warning|"
    r"present|ingredients?|declared))?\s*[:\-–]",
    r"allergy\s+(?:advice|information|info|warning|statement)\s*[:\-–]?",
    r"contient\b|contiennent\b|enth[aä]lt\b|contiene\b|contengono\b",
    r"all[eè]rg[eè]n(?:es?|i|os)\s*:",
    r"al[eé]rgenos\s*:",
])
#: Words that never stand in a list of ingredients: they silence the rest of their line.
_NOISE_LINE = "|".join([
    r"(?:distributed|imported|marketed|supplied|exported)\s+(?:exclusively\s+)?(?:by|for)\b",
    r"(?:manufactured|produced|packed|packaged|made|baked|prepared)\s+(?:exclusively\s+|with\s+love\s+|by\s+hand\s+)?"
    r"(?:by|for)\b",
    r"country\s+of\s+origin",
    r"net\s+(?:wt|weight|contents?)\b",
    r"tel(?:ephone)?\s*[.:]",
    r"www\.|https?:",
])
#: The same, but only at the start of a sentence or line.
_NOISE_START = "|".join([
    r"(?:best\s+(?:before|by)|use\s+by|sell\s+by|expir(?:y|es)|lot|batch)\b",
    r"(?:store|keep|refrigerate|freeze)\s+(?:in|at|frozen|refrigerated|chilled|cool|dry|away|below|out|tightly|airtight|after)\b",
    r"(?:questions|comments)\b\s*[?:]",
    r"(?:best|serve|enjoy|pairs?|perfect|delicious|great|ideal)\s+(?:it\s+|well\s+)?(?:with|on|over|for)\b",
])
#: Advertising beside a list: it tells what is in the food and declares nothing.
_PRAISE = r"(?:hand[- ]?|home[- ]?)?(?:baked|made|crafted|prepared|cooked|filled|topped|bursting|loaded|packed|enriched|lovingly\s+made)\s+with\b(?!\s*:)"
#: A place of origin, silenced to the next comma.
_PLACE = "|".join([
    r"(?:product|produce)\s+of\b(?!\s+(?:milk|wheat|soy|egg|the\s+milk))",
    r"(?:made|produced|packed|baked|manufactured|grown|milled)\s+in\s+(?!(?:a|an|the|our|this|facilit\w*|same|shared|small|\w+\s+(?:oil|batches))\b)",
])
_NOISE_BLOCK = (
    r"(?:directions|instructions|how\s+to\s+(?:use|prepare|make|cook|bake)|preparation|cooking\s+instructions|method|"
    r"baking\s+(?:directions|instructions)|to\s+(?:prepare|make|bake|cook)\b|serving\s+suggestions?|suggested\s+use|"
    r"recipe\s+(?:idea|suggestion)s?|nutrition(?:al)?\s+(?:facts|information|declaration|values)|typical\s+values|storage"
    r"(?:\s+(?:instructions|conditions))?|you\s+will\s+need|just\s+add)\b\s*:?"
)
_HEADING = (
    r"(?:list\s+of\s+)?(?:sub[- ]?|other\s+|minor\s+)?ingredients?(?:\s+(?:list|statement|declaration|deck))?\s*[:\-–]|"
    r"ingredients?(?=\s*\n)|(?<=\n)ingredients?\s|\Aingredients?\s|"
    r"made\s+(?:from|with)\s*:|ingr[ée]dients?\s*:|zutaten\s*:|zutatenverzeichnis\s*:|ingredientes\s*:|ingredienti\s*:"
)
#: What follows the foods it warns of, rather than going before them.
_HANDLED = "|".join([
    r"(?:is|are)\s+(?:also\s+)?(?:handled|used|processed|present|stored|packed)\s+(?:in|on|at|elsewhere|by)\b",
    r"(?:may|might|could)\s+(?:also\s+)?be\s+present\b(?=\s*(?:[.;)\]]|in\b|$))",
    r"traces?\s+(?:are\s+|may\s+be\s+)?(?:possible|present)\b(?=\s*(?:[.;,)\]]|$))",
])
_TRIGGER = re.compile(
    rf"(?P<signpost>\b(?:{_SIGNPOST}))|(?P<handled>\b(?:{_HANDLED}))|(?P<may>\b(?:{_MAY}))|(?P<absent>\b(?:{_ABSENT}))|(?P<heading>\b(?:{_HEADING}))|"
    rf"(?P<listlike>\b(?:{_LISTLIKE}))|(?P<contains>\b(?:{_CONTAINS}))|(?P<block>(?:^|(?<=[\n.!])|(?<=[\n.!] ))(?:{_NOISE_BLOCK}))|"
    rf"(?P<noise>\b(?:{_NOISE_LINE})|(?:^|(?<=[\n.!])|(?<=[\n.!] ))(?:{_NOISE_START}))|(?P<praise>(?:(?<=[\n.!])|(?<=[\n.!] ))(?:{_PRAISE}))|(?P<place>\b(?:{_PLACE}))|(?P<but>\b(?:but|however|although|except|aber|mais|pero)\b)",
    re.IGNORECASE,
)
#: A full stop ends a sentence unless it belongs to a number or a common short form.
_STOP = re.compile(
    r"(?<!\bmin)(?<!\bmax)(?<!\bconc)(?<!\bincl)(?<!\bapprox)(?<!\bvit)(?<!\bno)(?<!\bst)(?<!\bex)(?<!\bveg)(?<!\binc)"
    r"[.!?](?=\s|$|[\"”)])|\n[ \t]*\n",
    re.IGNORECASE,
)
#: A promise withheld: "free of peanuts" after it warns of them.
_UNSURE = re.compile(r"guarant|ensure|rule\s+out|exclude", re.IGNORECASE)
_MODE = {"may": MAY, "absent": ABSENT, "contains": CONTAINS, "noise": NOISE, "place": NOISE, "block": NOISE, "signpost": NOISE, "praise": PRAISE}


def read_clauses(text: str) -> list[Clause]:
    """The clauses of a text, in order and without gaps.

    Text before the first "Ingredients" heading is a title or advertising, so not part of the list; after
    it, text is the list until words such as "contains", "may contain" or "free from" say otherwise.
    """
    depth, stops = _depths(text), _sentence_ends(text)
    triggers = [m for m in _TRIGGER.finditer(text) if m.lastgroup != "heading" or depth[m.start()] == 0]
    has_heading = any(m.lastgroup == "heading" for m in triggers)
    base = NOISE if has_heading else LIST
    cuts: list[tuple[int, str, bool]] = [(0, base, False)]
    until = base_from = 0
    for match in triggers:
        kind, at, level = match.lastgroup, match.start(), depth[match.start()]
        governing = _governing(cuts, at)
        if at < until and governing[1] == NOISE and kind in ("but", "handled", "noise", "place"):
            continue
        if kind == "heading":
            base, until, base_from = LIST, at, match.end()
            cuts.append((match.end(), LIST, False))
            cuts.insert(-1, (at, NOISE, False))
            continue
        if kind == "block":
            until = at
            cuts.append((at, NOISE, False))
            if has_heading:
                base = NOISE
            else:
                blank = re.search(r"\n[ \t]*\n", text[at:])
                until = at + blank.start() if blank else len(text)
                cuts.append((until, base, False))
            continue
        if kind == "listlike":
            if not (governing[1] == MAY and at < until):
                cuts.append((at, LIST if base == LIST or not has_heading else base, level > 0))
            continue
        if kind == "but":
            if at < until and governing[1] == ABSENT:
                cuts.append((at, base, False))
            continue
        if kind == "absent" and at < until and governing[1] == MAY and _UNSURE.search(text, governing[0], at):
            continue
        end = _end_of(text, match, depth, stops, kind)
        if kind == "handled":
            begin = _begin_of(text, at, depth, stops, base_from)
            cuts = [c for c in cuts if c[0] <= begin]
            cuts.append((begin, MAY, False))
        elif kind == "contains" and governing[1] == MAY and at < until and match.group().lower().startswith("contain"):
            continue
        else:
            if kind in ("noise", "place", "praise") and level or (kind == "praise" and (base != LIST or not has_heading)):
                continue
            if kind == "contains" and level:
                continue
            cuts.append((at, _MODE[kind], level > 0))
        until = end
        cuts.append((end, base, False))
    return _laid_end_to_end(cuts, len(text))


def _begin_of(text: str, at: int, depth: list[int], stops: list[int], list_from: int) -> int:
    """Where what a backward trigger speaks of begins: its sentence or line; within the list or a bracket, its last item."""
    begin = max([e for e in stops if e <= at] + [text.rfind("\n", 0, at) + 1, list_from])
    if depth[at]:
        begin = next((i + 1 for i in range(at - 1, -1, -1) if depth[i] < depth[at]), begin)
    return max(begin, text.rfind(",", 0, at) + 1) if depth[at] or begin == list_from else begin


def _governing(cuts: list[tuple[int, str, bool]], at: int) -> tuple[int, str, bool]:
    """The cut that a place in the text falls under."""
    return next(c for c in reversed(cuts) if c[0] <= at)


def _end_of(text: str, match: re.Match, depth: list[int], stops: list[int], kind: str) -> int:
    """Where a trigger stops governing: closing bracket, end of sentence, or end of line for address lines."""
    at = match.start()
    if kind == "signpost":
        return match.end()
    level = depth[at]
    end = next((e for e in stops if e > match.end() - 1), len(text))
    if level:
        close = next((i for i in range(match.end(), len(text)) if depth[i] < level), len(text))
        end = min(end, close)
    if kind == "place":
        comma = re.search(r"[,;()]", text[match.end() :])
        end = min(end, match.end() + comma.start()) if comma else end
    if kind in ("noise", "place"):
        line = text.find("\n", match.end())
        end = min(end, line if line >= 0 else len(text))
    return end


def _depths(text: str) -> list[int]:
    """Bracket depth at every character, one more entry than characters; a stray closing bracket counts as none."""
    depths, level = [], 0
    for c in text:
        if c in ")]}":
            level = max(0, level - 1)
        depths.append(level)
        if c in "([{":
            level += 1
    if level:  # an opening bracket never closed: everything after it would seem nested
        return [0] * (len(text) + 1)
    return depths + [0]


def _sentence_ends(text: str) -> list[int]:
    return [m.end() if m.group().strip() else m.start() for m in _STOP.finditer(text)]


def _laid_end_to_end(cuts: list[tuple[int, str, bool]], length: int) -> list[Clause]:
    """Cuts as clauses: each runs to the next cut; a return to the list is dropped where a later trigger already began."""
    ordered: list[tuple[int, str, bool]] = []
    for cut in cuts:
        while ordered and ordered[-1][0] > cut[0]:
            ordered.pop()
        ordered.append(cut)
    clauses = []
    for (at, mode, nested), following in zip(ordered, [*ordered[1:], (length, "", False)]):
        if following[0] > at:
            clauses.append(Clause(mode, at, following[0], nested))
    return clauses
