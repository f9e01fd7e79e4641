"""Mass balance first, then nutrients: inputs - losses = output at every stage, and every figure keeps its
trail.

Mixed method of FAO/EuroFIR recipe calculation: yield at recipe level, retention at ingredient level; what is
lost in baking is water (and the alcohol a retention factor drives off) unless the recipe says otherwise.

Grams are followed recipe by recipe; the nutrients of all products come from one product of arrays (``rows``).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np

from labelgen import paths
from labelgen.composition.ingredient_records import ResolvedIngredient
from labelgen.errors import Finding, UnitError
from labelgen.findings import find
from labelgen.formulation import slips
from labelgen.formulation.batch_records import Amounts, Ingoing, Later, NutrientProfile, Stage, by_weight
from labelgen.formulation.ingredient_rows import Rows
from labelgen.formulation.weights import grams_of, weight_doubts
from labelgen.nutrients import INDEX
from labelgen.recipe.models import Formulation, Kitchen, Product
from labelgen.tomlfile import read_toml

_WATER, _SODIUM = INDEX["WATER"], INDEX["NA"]


@cache
def _setting(name: str) -> float:
    return float(read_toml(paths.reference("factors", "process.toml"))[name]["value"])


@dataclass(slots=True, eq=False)
class _Batch:
    """One formulation's output. grams: its weight, with the bounds an estimated loss gives it. rows, raw:
    the rows of ``Rows`` in it and their ingoing grams; bounds: the least and the most of these, where part
    of a batch of unsure weight was weighed in, else None. lost: water gone so far [g]. inputs: grams of
    each line. left: g left behind. water, alcohol, fat: lost or gained in this stage [g]. inner: the
    formulations it was made of, in order.
    """

    form: Formulation
    grams: float
    grams_low: float
    grams_high: float
    rows: list[int]
    raw: list[float]
    bounds: tuple[list[float], list[float]] | None
    lost: float
    inputs: list[float]
    left: float
    water: float
    alcohol: float
    fat: float
    inner: tuple[str, ...]

    def stage(self) -> Stage:
        form, cook = self.form, self.form.cook
        inputs = tuple((line.use, grams) for line, grams in zip(form.lines, self.inputs))
        return Stage(
            form.name,
            inputs,
            self.left,
            cook.method if cook else "",
            self.water,
            self.alcohol,
            self.fat,
            self.grams,
            cook.how if cook else "none",
            form.where,
        )


class _Kitchen:
    """Formulations of one kitchen, each rolled up once."""

    def __init__(self, kitchen: Kitchen, resolved: dict[str, ResolvedIngredient]):
        self.formulations, self.country, self.resolved = kitchen.formulations, kitchen.country, resolved
        self.products = kitchen.products
        self.yeasts = slips.yeasts_of(resolved)
        self.rows = Rows(resolved, kitchen.retention)
        self.pack_limits = _setting("least_pack"), _setting("most_pack")
        self.done: dict[str, _Batch | None] = {}
        #: Faults by the formulation they are in, or ("product", key).
        self.findings: dict[str | tuple[str, str], list[Finding]] = {}

    def tell(self, of: str | tuple[str, str], *found: Finding) -> None:
        if found:
            self.findings.setdefault(of, []).extend(found)

    def batch(self, name: str, trail: tuple[str, ...] = ()) -> _Batch | None:
        """None when the formulation cannot be weighed out; the faults say why."""
        if name in trail:
            return None
        if name not in self.done:
            self.done[name] = self._roll(self.formulations[name], (*trail, name))
        return self.done[name]

    def _roll(self, form: Formulation, trail: tuple[str, ...]) -> _Batch | None:
        index, rows, inputs, weight = self.rows.index, [], [], 0.0
        try:
            for line in form.lines:
                rows.append(index[line.use])
                inputs.append(grams := line.amount.grams)
                weight += grams
        except (KeyError, TypeError):
            return self._roll_mixed(form, trail)
        return (
            self._process(form, inputs, weight, rows, inputs, None, 0.0, weight, weight, ())
            if rows and not form.misread
            else None
        )

    def _roll_mixed(self, form: Formulation, trail: tuple[str, ...]) -> _Batch | None:
        """A formulation that uses others, or measures and counts."""
        rows: list[int] = []
        raw: list[float] = []
        least: list[float] = []
        most: list[float] = []
        inputs: list[float] = []
        lost, low, high, whole, made_of = 0.0, 0.0, 0.0, True, {}
        for line in form.lines:
            try:
                if line.use in self.formulations:
                    inner = self.batch(line.use, trail)
                    if inner is None:
                        whole = False
                        continue
                    grams = self._grams_of_batch(line, inner)
                    k = grams / inner.grams
                    rows += inner.rows
                    raw += [g * k for g in inner.raw]
                    lost += inner.lost * k
                    # a count takes a share of the batch, whatever it weighs; a mass takes more of it the
                    # lighter it is
                    by_count = line.amount.kind == "count"
                    low += inner.grams_low * k if by_count else grams
                    high += inner.grams_high * k if by_count else grams
                    fewer, more = (k, k) if by_count else (grams / inner.grams_high, grams / inner.grams_low)
                    inner_least, inner_most = inner.bounds or (inner.raw, inner.raw)
                    least += [g * fewer for g in inner_least]
                    most += [g * more for g in inner_most]
                    made_of |= dict.fromkeys((*inner.inner, line.use))
                else:
                    grams = grams_of(line.amount, self.resolved[line.use], self.country)
                    self.tell(
                        form.name,
                        *weight_doubts(line, self.resolved[line.use], self.country, form.path_of(line)),
                    )
                    rows.append(self.rows.index[line.use])
                    for weights in (raw, least, most):
                        weights.append(grams)
                    low, high = low + grams, high + grams
            except UnitError as error:
                self.tell(
                    form.name, find("no-weight", line.where, path=form.path_of(line), reason=str(error))
                )
                whole = False
                continue
            inputs.append(grams)
        bounds = (least, most) if least != most else None
        return (
            self._process(form, inputs, sum(inputs), rows, raw, bounds, lost, low, high, tuple(made_of))
            if whole and inputs and not form.misread
            else None
        )

    def _grams_of_batch(self, line, inner: _Batch) -> float:
        amount = line.amount
        if amount.kind == "mass":
            return amount.grams
        makes = self.formulations[line.use].makes
        if amount.kind == "count" and makes:
            return amount.count * inner.grams / makes
        if amount.kind == "count" and amount.unit in ("batch", "batches"):
            return amount.count * inner.grams
        raise UnitError(
            f"{amount.text!r}: {line.use!r} is a batch of {inner.grams:.1f} g: write grams, or say how many"
            " pieces it makes ('per: piece' or 'makes: 24')"
        )

    def _process(
        self, form: Formulation, inputs, put_in, rows, raw, bounds, lost, low, high, made_of
    ) -> _Batch | None:
        """What is left behind and what heat does. inputs: grams of each line; put_in, low, high: their sum
        and its bounds.
        """
        cook = form.cook
        ratio = 1.0 if cook is None else cook.after / cook.before if cook.before else 1.0 - cook.loss
        left = form.left or 0.0
        if form.yields is not None and "@" in form.name:
            # what its base yields was weighed with other ingredients: a variant leaves the same share behind
            base = self.batch(form.name.partition("@")[0])
            if base is None:
                return None
            left = base.left / sum(base.inputs)
        elif form.yields is not None:
            expected = put_in * ratio
            if form.yields > expected * (1 + _setting("weighing_tolerance")):
                self.tell(
                    form.name,
                    find(
                        "yield-above-input",
                        form.where,
                        path=form.path("yields"),
                        formulation=form.name,
                        yields=form.yields,
                        most=expected,
                        put_in=put_in,
                    ),
                )
                return None
            left = max(0.0, 1 - form.yields / expected)
        if left or cook or self.yeasts:
            self.tell(
                form.name,
                *slips.of_batch(form, inputs, put_in, left, ratio),
                *slips.of_yeast(form, inputs, put_in, self.yeasts),
            )
        if left:
            raw, bounds = _scaled(raw, bounds, 1 - left)
            lost, low, high = lost * (1 - left), low * (1 - left), high * (1 - left)
        into_oven = put_in * (1 - left)
        if cook is None:
            return _Batch(
                form,
                into_oven,
                min(low, into_oven),
                max(high, into_oven),
                rows,
                raw,
                bounds,
                lost,
                inputs,
                put_in * left,
                0.0,
                0.0,
                0.0,
                made_of,
            )
        return self._cook(form, inputs, rows, raw, bounds, lost, low, high, made_of, put_in, into_oven, ratio)

    def _cook(
        self,
        form: Formulation,
        inputs,
        rows,
        raw,
        bounds,
        lost,
        low,
        high,
        made_of,
        put_in: float,
        into_oven: float,
        ratio: float,
    ) -> _Batch | None:
        table, cook = self.rows, form.cook
        here = {"where": cook.where, "path": form.path(cook.method), "formulation": form.name}
        if form.makes == 1 and cook.before and abs(cook.before - put_in) > max(0.05 * put_in, 0.2):
            self.tell(form.name, find("piece-weight", before=cook.before, put_in=put_in, **here))
        fat = cook.fat * into_oven / (cook.before or put_in) if cook.fat else 0.0
        if fat > 0 and cook.fat_from in self.resolved:
            rows, raw = [*rows, table.index[cook.fat_from]], [*raw, fat]
            bounds = bounds and ([*bounds[0], fat], [*bounds[1], fat])
        out = into_oven * ratio
        gone = into_oven + fat - out
        spirit = table.total(rows, raw, table.alcohol) if table.spirited else 0.0
        rows = table.heated(rows, cook.method)
        if fat < 0:
            whole = table.total(rows, raw, table.fat)
            if -fat > whole:
                self.tell(form.name, find("fat-above-total", drained=-fat, fat=whole, **here))
                return None
            rows = table.drained(rows, -fat / whole, _setting("fat_energy"))
        alcohol = (
            min(max(0.0, spirit - table.total(rows, raw, table.alcohol)), max(gone, 0.0)) if spirit else 0.0
        )
        if -gone > _setting("weighing_tolerance") * into_oven:
            self.tell(form.name, find("gain-in-cooking", put_in=into_oven + fat, out=out, **here))
            return None
        water = gone - alcohol
        if cook.loses == "everything":
            raw, bounds = _scaled(raw, bounds, out / into_oven)
            lost, water, alcohol, dry, left = (
                lost * out / into_oven,
                0.0,
                0.0,
                0.0,
                put_in - into_oven + gone,
            )
        else:
            held = table.total(rows, raw, table.water) - lost
            if water > held + _setting("water_tolerance") * into_oven:
                key = "loss-above-water.variant" if "@" in form.name else "loss-above-water"
                self.tell(form.name, find(key, lost=water, water=held, put_in=into_oven, out=out, **here))
                return None
            lost += water
            dry, left = min(out, out - held + water), put_in - into_oven
        least, most = (1 - ratio, 1 - ratio) if cook.loss is None else (cook.loss_low, cook.loss_high)
        if least == most and cook.how == "estimated":
            spread = _setting("estimated_loss_spread") * min(1 - ratio, ratio)
            least, most = 1 - ratio - spread, 1 - ratio + spread
            self.tell(form.name, find("loss-estimated", percent=100 * (1 - ratio), **here))
        low, high = low * max(1 - most, dry / into_oven), high * (1 - least)
        return _Batch(
            form,
            out,
            min(low, out),
            max(high, out),
            rows,
            raw,
            bounds,
            lost,
            inputs,
            left,
            water,
            alcohol,
            fat,
            made_of,
        )

    def paths(self, batch: _Batch) -> Iterator[tuple[str, ...]]:
        """The formulations each row of a batch came through, outermost first, in the order of its rows."""
        count = 0
        for line in batch.form.lines:
            inner = self.done[line.use] if line.use in self.formulations else None
            for path in self.paths(inner) if inner else ((),):
                count += 1
                yield (batch.form.name, *path)
        if count < len(batch.rows):
            yield (batch.form.name,)

    def stages(self, batch: _Batch) -> tuple[Stage, ...]:
        return (*(self.done[name].stage() for name in batch.inner), batch.stage())

    def ingoing(self, batch: _Batch, k: float) -> Iterator[Ingoing]:
        """Every ingredient line of ``k`` batches."""
        for row, grams, path in zip(batch.rows, batch.raw, self.paths(batch), strict=True):
            table, grams = self.rows, grams * k
            yield Ingoing(
                table.ingredient[row],
                grams,
                path,
                table.amounts(row, grams),
                table.retained(row),
                not table.methods[row],
            )


def _scaled(
    raw: list[float], bounds: tuple[list[float], list[float]] | None, k: float
) -> tuple[list[float], tuple[list[float], list[float]] | None]:
    """``k`` times as much of every row."""
    return [g * k for g in raw], bounds and ([g * k for g in bounds[0]], [g * k for g in bounds[1]])


def roll_up(
    kitchen: Kitchen, resolved: dict[str, ResolvedIngredient], product: Product
) -> NutrientProfile | None:
    """A product's finished pack. None when it cannot be weighed out; use ``roll_up_kitchen`` for the
    faults.
    """
    return roll_up_kitchen(kitchen, resolved, (product.key,))[0].get(product.key)


def roll_up_kitchen(
    kitchen: Kitchen, resolved: dict[str, ResolvedIngredient], products: Iterable[str] | None = None
) -> tuple[dict[str, NutrientProfile], tuple[Finding, ...]]:
    """All products (or those named) and every finding of the mass balance, each once."""
    work = _Kitchen(kitchen, resolved)
    every, packs, masses = kitchen.products, [], []
    for key in every if products is None else products:
        product = every[key]
        batch = work.batch(product.of) if product.of in work.formulations else None
        size = _size(work, product, batch) if batch else None
        if size:
            packs.append((product, batch, *size))
            masses.append((batch.grams, batch.lost, size[1]))
    if products is None:
        for name in work.formulations:
            if name not in work.done:
                work.batch(name)
    return _profiles(work, packs, masses), tuple(f for found in work.findings.values() for f in found)


def _water_doubt(work: _Kitchen, batch: _Batch) -> tuple[float, float]:
    """How much less and more water [g] a batch may hold than is counted, for its estimated losses: what
    its weight may lack or exceed, and what more or less of its dry matter leaves of that weight.
    """
    if batch.grams_low == batch.grams_high and not batch.bounds:
        return 0.0, 0.0
    dry, least, most = (
        sum(raw) - work.rows.total(batch.rows, raw, work.rows.water)
        for raw in (batch.raw, *(batch.bounds or (batch.raw, batch.raw)))
    )
    return batch.grams - batch.grams_low + most - dry, batch.grams_high - batch.grams + dry - least


def _size(work: _Kitchen, product: Product, batch: _Batch) -> tuple[float | None, float] | None:
    """(pieces, batches) of one pack."""
    makes = batch.form.makes
    if product.net:
        net = _net(work, product, batch)
        if net is None:
            return None
        pieces, batches = None, net / batch.grams
    elif makes:
        pieces = product.pieces or makes
        batches = pieces / makes
    elif product.pieces and product.pieces != 1:
        told = {
            "product": product.key,
            "pieces": product.pieces,
            "formulation": product.of,
            "batch": batch.grams,
        }
        work.tell(
            ("product", product.key),
            find("pieces-unknown", product.where, path=product.path("pieces"), **told),
        )
        return None
    else:
        pieces, batches = 1.0, 1.0
    least, most = work.pack_limits
    if not least <= batch.grams * batches <= most:
        told = {"product": product.key, "grams": batch.grams * batches, "least": least, "most": most}
        work.tell(
            ("product", product.key),
            find("pack-weight", product.where, path=product.path("net" if product.net else "pieces"), **told),
        )
        return None
    work.tell(("product", product.key), *slips.of_pack(product, batch.form, batch.grams, pieces, batches))
    return pieces, batches


def _net(work: _Kitchen, product: Product, batch: _Batch) -> float | None:
    """The net weight [g] of a product sold by weight. A variant that says none is packed like its base:
    where that is one batch a pack, the pack weighs what the variant's own batch does; None, with a fault,
    where it cannot be told.
    """
    base = (
        work.products.get(product.variant_of)
        if product.variant_of and not (product.own_size or product.boxed)
        else None
    )
    whole = work.batch(base.of) if base and base.of in work.formulations else None
    if whole is None or abs(whole.grams - batch.grams) <= _setting("weighing_tolerance") * whole.grams:
        return product.net
    share = product.net / whole.grams
    packs = max(1, round(1 / share))
    near = _setting("one_batch_a_pack") if packs == 1 else _setting("shared_batch")
    if abs(1 - share * packs) > near:
        return product.net
    own = batch.grams * share
    if packs == 1 and not product.volume:
        return own
    told = {
        "product": product.key,
        "net": product.net,
        "share": 1 / packs,
        "whole": whole.grams,
        "batch": batch.grams,
        "own": own,
    }
    key = "variant-net.volume" if product.volume else "variant-net"
    work.tell(("product", product.key), find(key, product.where, path=product.path("net"), **told))
    return None


def _profiles(work: _Kitchen, packs, masses) -> dict[str, NutrientProfile]:
    """The nutrients of all packs, from one product. packs: (product, batch, pieces, batches); masses:
    (grams of the batch, grams of water gone from it, batches).
    """
    if not packs:
        return {}
    table, findings = work.rows, work.findings
    low, value, high, covered = table.multiply(
        [b.rows for _, b, _, _ in packs], [b.raw for _, b, _, _ in packs]
    )
    unsure = [n for n, (_, batch, _, _) in enumerate(packs) if batch.bounds]
    moist = low[:, _WATER].copy(), high[:, _WATER].copy()
    if unsure:
        rows = [packs[n][1].rows for n in unsure]
        low[unsure] = table.multiply(rows, [packs[n][1].bounds[0] for n in unsure])[0]
        high[unsure] = table.multiply(rows, [packs[n][1].bounds[1] for n in unsure])[2]
    grams, gone, scale = np.array(masses).T
    drier, moister = np.array([_water_doubt(work, batch) for _, batch, _, _ in packs]).T
    low[:, _WATER], high[:, _WATER] = (
        np.maximum(moist[0] - gone - drier, 0.0),
        np.maximum(moist[1] - gone + moister, 0.0),
    )
    water = value[:, _WATER]
    water -= gone
    water[(water < 0) & (water >= -0.02 * grams)] = 0.0
    for array in (low, value, high):
        array *= scale[:, None]
    for n, (product, batch, _, _) in enumerate(packs):
        if product.net:
            lighter, heavier = batch.grams_low / batch.grams, batch.grams_high / batch.grams
            low[n], high[n] = by_weight(low[n], high[n], lighter, heavier)
    told = {
        row: ingredient.findings for row, ingredient in enumerate(table.ingredient) if ingredient.findings
    }
    profiles = {}
    for (product, batch, pieces, k), a, b, c, d in zip(packs, low, value, high, covered):
        names = (*batch.inner, product.of)
        own = (
            [f for name in (*names, ("product", product.key)) for f in findings.get(name, ())]
            if findings
            else []
        )
        if b[_SODIUM] > slips.LEAST_SALTY * batch.grams * k:
            own += slips.of_salt(
                product,
                [work.formulations[name] for name in names],
                100 * b[_SODIUM] / (batch.grams * k),
                table.brought(batch.rows, batch.raw, _SODIUM),
            )
        if told:
            own += [f for row in batch.rows if row in told for f in told[row]]
        profiles[product.key] = NutrientProfile(
            product.key,
            Amounts(batch.grams * k, a, b, c, d),
            pieces,
            Later(work.stages, batch),
            Later(work.ingoing, batch, k),
            names,
            tuple(own),
            (1.0, 1.0) if product.net else (batch.grams_low / batch.grams, batch.grams_high / batch.grams),
        )
    return profiles
