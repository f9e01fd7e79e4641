"""Mass balance first, then nutrients: inputs - losses = output at every stage, and every figure keeps its trail.

Mixed method of FAO/EuroFIR recipe calculation: yield at recipe level, retention at ingredient level; what is lost
in baking is water (and the alcohol a retention factor drives off) unless the recipe says otherwise.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache

import numpy as np

from labelgen import paths
from labelgen.composition.records import ResolvedIngredient
from labelgen.errors import Finding, UnitError
from labelgen.formulation.records import Amounts, Ingoing, NutrientProfile, Stage
from labelgen.formulation.retention import factors
from labelgen.formulation.weights import grams_of
from labelgen.nutrients import INDEX, KEYS
from labelgen.recipe.models import Formulation, Kitchen, Product

_WATER, _ALC, _FAT, _ENERC = (INDEX[k] for k in ("WATER", "ALC", "FAT", "ENERC"))
_FATS = [INDEX[k] for k in ("FAT", "FASAT", "FAMS", "FAPU", "FATRN")]


@cache
def _setting(name: str) -> float:
    with open(paths.reference("factors", "process.toml"), "rb") as f:
        return float(tomllib.load(f)[name]["value"])


@dataclass(frozen=True, eq=False)
class _Leaf:
    """So many grams of one ingredient in a batch, with the share of each nutrient kept so far."""

    ingredient: ResolvedIngredient
    grams: float
    path: tuple[str, ...]
    kept: np.ndarray
    retained: str
    heated: bool

    def scaled(self, k: float, outer: str = "") -> "_Leaf":
        return _Leaf(self.ingredient, self.grams * k, (outer, *self.path) if outer else self.path, self.kept, self.retained, self.heated)


@dataclass(frozen=True, eq=False)
class _Batch:
    """One formulation's output: grams (with bounds from estimated losses), leaves, water lost so far [g]."""

    grams: float
    grams_low: float
    grams_high: float
    leaves: tuple[_Leaf, ...]
    water_lost: float
    stages: tuple[Stage, ...]


class _Kitchen:
    """Formulations of one kitchen, each rolled up once."""

    def __init__(self, kitchen: Kitchen, resolved: dict[str, ResolvedIngredient]):
        self.kitchen, self.resolved = kitchen, resolved
        self.done: dict[str, _Batch | None] = {}
        self.findings: list[Finding] = []

    def fault(self, code: str, where, message: str, severity: str = "block") -> None:
        self.findings.append(Finding(code, severity, where, message))

    def batch(self, name: str, trail: tuple[str, ...] = ()) -> _Batch | None:
        """None when the formulation cannot be weighed out; the faults say why."""
        if name in trail:
            return None
        if name not in self.done:
            self.done[name] = self._roll(self.kitchen.formulations[name], (*trail, name))
        return self.done[name]

    def _roll(self, form: Formulation, trail: tuple[str, ...]) -> _Batch | None:
        leaves: list[_Leaf] = []
        inputs: list[tuple[str, float]] = []
        lost, low, high, whole, stages = 0.0, 0.0, 0.0, bool(form.lines), {}
        for line in form.lines:
            try:
                if line.use in self.kitchen.formulations:
                    inner = self.batch(line.use, trail)
                    if inner is None:
                        whole = False
                        continue
                    grams = self._grams_of_batch(line, inner)
                    k = grams / inner.grams
                    leaves += [leaf.scaled(k) for leaf in inner.leaves]
                    lost += inner.water_lost * k
                    by_count = line.amount.kind == "count"
                    low += inner.grams_low * k if by_count else grams
                    high += inner.grams_high * k if by_count else grams
                    stages |= {s.formulation: s for s in inner.stages}
                else:
                    ingredient = self.resolved[line.use]
                    grams = grams_of(line.amount, ingredient, self.kitchen.country)
                    leaves.append(_Leaf(ingredient, grams, (), np.ones(len(KEYS)), "", False))
                    low, high = low + grams, high + grams
            except UnitError as error:
                self.fault("no-weight", line.where, str(error))
                whole = False
                continue
            inputs.append((line.use, grams))
        if not whole:
            return None
        return self._process(form, inputs, leaves, lost, low, high, tuple(stages.values()))

    def _grams_of_batch(self, line, inner: _Batch) -> float:
        amount = line.amount
        if amount.kind == "mass":
            return amount.grams
        makes = self.kitchen.formulations[line.use].makes
        if amount.kind == "count" and makes:
            return amount.count * inner.grams / makes
        if amount.kind == "count" and amount.unit in ("batch", "batches"):
            return amount.count * inner.grams
        raise UnitError(f"{amount.text!r}: {line.use!r} is a batch of {inner.grams:.1f} g: write grams, or say how many pieces it makes ('per: piece' or 'makes: 24')")

    def _process(self, form: Formulation, inputs, leaves, lost, low, high, stages) -> _Batch | None:
        put_in = sum(g for _, g in inputs)
        cook = form.cook
        ratio = 1.0 if cook is None else cook.after / cook.before if cook.before else 1.0 - cook.loss
        left = form.left or 0.0
        if form.yields is not None:
            expected = put_in * ratio
            if form.yields > expected * (1 + _setting("weighing_tolerance")):
                self.fault("yield-above-input", form.where, f"{form.name}: yields {form.yields:g} g but only {expected:.1f} g can come out ({put_in:.1f} g went in): weigh again, or add what is missing")
                return None
            left = max(0.0, 1 - form.yields / expected)
        if cook and cook.before and form.makes == 1 and abs(cook.before - put_in) > max(0.05 * put_in, 0.2):
            self.fault("piece-weight", cook.where, f"{form.name}: weighs {cook.before:g} g before the oven, but {put_in:.2f} g of ingredients go into it: correct one of the two", "warn")
        into_oven = put_in * (1 - left)
        leaves = [leaf.scaled(1 - left) for leaf in leaves]
        lost *= 1 - left
        low, high = low * (1 - left), high * (1 - left)
        water_loss = alcohol_loss = fat = 0.0
        out = into_oven
        if cook:
            scale = into_oven / cook.before if cook.before else 1.0
            fat = cook.fat * scale if cook.before else cook.fat * into_oven / put_in
            if fat > 0 and cook.fat_from in self.resolved:
                leaves.append(_Leaf(self.resolved[cook.fat_from], fat, (), np.ones(len(KEYS)), "", False))
            out = into_oven * ratio
            gone = into_oven + fat - out
            before_alcohol = _total(leaves, _ALC)
            leaves = [self._heated(leaf, cook.method) for leaf in leaves]
            if fat < 0:
                leaves = self._drained(form, leaves, -fat)
                if leaves is None:
                    return None
            alcohol_loss = min(max(0.0, before_alcohol - _total(leaves, _ALC)), max(gone, 0.0))
            water_loss = gone - alcohol_loss
            if cook.loses == "everything":
                leaves = [leaf.scaled(out / into_oven) for leaf in leaves]
                lost, water_loss, alcohol_loss = lost * out / into_oven, 0.0, 0.0
            else:
                held = _total(leaves, _WATER, unknown=True) - lost
                if water_loss > held + _setting("water_tolerance") * into_oven:
                    self.fault(
                        "loss-above-water", cook.where,
                        f"{form.name}: loses {water_loss:.1f} g of water in the oven, but only {held:.1f} g of water is in it ({into_oven:.1f} g in, {out:.1f} g out): weigh before and after again, or check the amounts",
                    )  # fmt: skip
                    return None
                lost += water_loss
            spread_low, spread_high = (cook.loss_low, cook.loss_high) if cook.loss is not None else (1 - ratio, 1 - ratio)
            if cook.how == "estimated" and spread_low == spread_high:
                spread_low, spread_high = (1 - ratio) * (1 - _setting("estimated_loss_spread")), (1 - ratio) * (1 + _setting("estimated_loss_spread"))
                self.fault("loss-estimated", cook.where, f"{form.name}: the loss of {100 * (1 - ratio):.1f} % is an estimate: weigh some before and after and write 'before:' and 'after:'", "note")
            low, high = low * (1 - spread_high), high * (1 - spread_low)
        outputs = (low, high) if low <= out <= high else (min(low, out), max(high, out))
        stage = Stage(form.name, tuple(inputs), put_in * left, cook.method if cook else "", water_loss, alcohol_loss, fat, out, cook.how if cook else "none", form.where)
        leaves = tuple(_Leaf(x.ingredient, x.grams, (form.name, *x.path), x.kept, x.retained, x.heated) for x in leaves)
        return _Batch(out, *outputs, leaves, lost, (*stages, stage))

    def _heated(self, leaf: _Leaf, method: str) -> _Leaf:
        kept, what = factors(leaf.ingredient.retention, method) if self.kitchen.retention else (1.0, "")
        retained = "; ".join(dict.fromkeys(t for t in (leaf.retained, what) if t))
        return _Leaf(leaf.ingredient, leaf.grams, leaf.path, leaf.kept * kept, retained, True)

    def _drained(self, form: Formulation, leaves: list[_Leaf], grams: float) -> list[_Leaf] | None:
        total = _total(leaves, _FAT)
        if grams > total:
            self.fault("fat-above-total", form.where, f"{form.name}: {grams:.1f} g of fat drained off, but only {total:.1f} g is in it: check the figure")
            return None
        drained = []
        for leaf in leaves:
            kept = leaf.kept.copy()
            kept[_FATS] *= 1 - grams / total
            energy = leaf.ingredient.composition.value[_ENERC]
            fat = leaf.ingredient.composition.value[_FAT] * leaf.kept[_FAT]
            if energy > 0:
                kept[_ENERC] *= max(0.0, 1 - np.nan_to_num(fat) * grams / total * _setting("fat_energy") / energy)
            drained.append(_Leaf(leaf.ingredient, leaf.grams, leaf.path, kept, leaf.retained, leaf.heated))
        return drained


def _total(leaves, index: int, unknown: bool = False) -> float:
    """Sum of one nutrient over leaves [its unit]; with ``unknown`` the highest it could be."""
    total = 0.0
    for leaf in leaves:
        composition = leaf.ingredient.composition
        x = composition.high[index] if unknown else composition.value[index]
        total += leaf.grams / 100 * (x if x == x else 0.0) * leaf.kept[index]
    return total


def _amounts(leaf: _Leaf) -> Amounts:
    k = leaf.grams / 100 * leaf.kept
    c = leaf.ingredient.composition
    with np.errstate(invalid="ignore"):
        high = np.where(k > 0, c.high * k, 0.0)
    return Amounts(leaf.grams, c.low * k, c.value * k, high, (~np.isnan(c.value)).astype(float))


def roll_up(kitchen: Kitchen, resolved: dict[str, ResolvedIngredient], product: Product) -> NutrientProfile | None:
    """A product's finished pack. None when it cannot be weighed out; use ``roll_up_kitchen`` for the faults."""
    return roll_up_kitchen(kitchen, resolved, (product.key,))[0].get(product.key)


def roll_up_kitchen(kitchen: Kitchen, resolved: dict[str, ResolvedIngredient], products=None) -> tuple[dict[str, NutrientProfile], tuple[Finding, ...]]:
    """All products (or those named) and every finding of the mass balance, each once."""
    work = _Kitchen(kitchen, resolved)
    profiles = {}
    for key in products if products is not None else kitchen.products:
        product = kitchen.products[key]
        if product.of not in kitchen.formulations:
            continue
        before = len(work.findings)
        batch = work.batch(product.of)
        if batch is None:
            continue
        made = _pack(work, product, batch)
        if made:
            own = work.findings[before:] + [f for leaf in batch.leaves for f in leaf.ingredient.findings]
            profiles[key] = NutrientProfile(product.key, *made, components=tuple(s.formulation for s in batch.stages), findings=tuple(own))
    if products is None:
        for name in kitchen.formulations:
            work.batch(name)
    return profiles, tuple(work.findings)


def _pack(work: _Kitchen, product: Product, batch: _Batch):
    makes = work.kitchen.formulations[product.of].makes
    pieces = None
    if product.net:
        k = product.net / batch.grams
    elif makes:
        pieces = product.pieces or makes
        k = pieces / makes
    elif product.pieces and product.pieces != 1:
        work.fault("pieces-unknown", product.where, f"{product.key}: packs {product.pieces:g} pieces, but {product.of!r} is a batch of {batch.grams:.1f} g: say how many pieces it makes ('per: piece' or 'makes: 24')")
        return None
    else:
        pieces, k = 1.0, 1.0
    leaves = [leaf.scaled(k) for leaf in batch.leaves]
    ingoing = tuple(Ingoing(x.ingredient, x.grams, x.path, _amounts(x), x.retained, not x.heated) for x in leaves)
    low, value, high, covered = (np.zeros(len(KEYS)) for _ in range(4))
    mass = sum(x.grams for x in leaves)
    for item in ingoing:
        low += item.amounts.low
        value += np.nan_to_num(item.amounts.value)
        high += item.amounts.high
        covered += item.amounts.covered * item.grams / mass
    covered = np.minimum(np.round(covered, 12), 1.0)
    value = np.where(covered > 0, value, np.nan)
    for array in (low, value, high):
        array[_WATER] -= batch.water_lost * k
    low[_WATER], high[_WATER] = max(0.0, low[_WATER]), max(0.0, high[_WATER])
    if -0.02 * batch.grams * k <= value[_WATER] < 0:
        value[_WATER] = 0.0
    grams = batch.grams * k
    if product.net:
        low, high = low * (batch.grams / batch.grams_high), high * (batch.grams / batch.grams_low)
    pack = Amounts(grams, low, value, high, covered)
    return pack, pieces, batch.stages, ingoing
