"""Height, spread and yearly crop of a tree by cultivar, rootstock, form, soil, pruning and age, with their spread.

Size. A pruned garden tree on seedling is as tall as published heights of garden trees say (`garden_height` of
seedling); another stock makes it smaller in proportion (`size_percent`). A step of vigour of the cultivar (of five)
changes it, a spur type is smaller by the published ratio, a triploid of unknown vigour larger. A form holds a tree that
is larger to its own upper size; nobody holds a tree that is smaller. Left unpruned a tree grows taller.

Width. A pruned bush and a spindle are each as wide as a share of their height.

Crop. A full crop is `crop_kg` times the volume of the crown in m3 raised to `crop_power`. It begins in the year of the
first crop and is full at twice that age (M.9 in 5 to 7 years, MM.106 in 6 or 7).
"""

import math
from typing import Literal

import msgspec

from domain.common.distributions import PERCENTILE_80
from domain.fruit.bearing import is_columnar
from domain.tables.cultivars import Cultivar, Estimate
from domain.tables.parameters import figures
from domain.tables.rootstocks import Rootstock, rootstocks
from domain.tables.tree_forms import Support, TreeForm, takes_ladder

Soil = Literal["fertile", "average", "poor"]


class TreeSizeFigures(msgspec.Struct, frozen=True):
    """How cultivar, stock, soil, form and age make the size and the crop of a tree."""

    middle_vigour: float
    vigour_step: float
    vigour_step_error: float
    unknown_vigour_error: float
    triploid: float
    fertile_soil: float
    poor_soil: float
    site_error: float
    unpruned_height_m: float
    pruned_height_m: float
    unknown_stock_percent: float
    unknown_stock_spread_percent: float
    led_up: tuple[str, ...]
    led_up_taller: float
    led_up_crops_sooner: float
    bush_width: float
    spindle_width: float
    column_width_m: float
    planted_height_m: float
    grown_base_years: float
    grown_years_per_size: float
    crop_kg: float
    crop_power: float
    crop_error: float
    held_from_ratio: float
    usual_first_crop_years: float
    least_precocity: float
    most_precocity: float


FIGURES = figures("trees", "tree_size", TreeSizeFigures)


class Likely(msgspec.Struct, frozen=True, kw_only=True):
    """The middle, and about the 20th and 80th percentile of what we know."""

    likely: float
    low: float
    high: float


class ScionGrowth(msgspec.Struct, frozen=True, kw_only=True):
    """What of a cultivar makes the size of its tree; None or False where nothing is known."""

    vigour: float | None = None
    spur: bool = False
    columnar: bool = False
    triploid: bool = False
    bearing: str | None = None
    precocity_years: float | None = None


class TreeSize(msgspec.Struct, frozen=True, kw_only=True):
    """A tree at an age, or grown up."""

    height_m: Likely
    crown_spread_m: Likely
    depth_m: float | None
    """Thickness across the fence of a flat form; null for round ones."""
    yearly_crop_kg: Likely
    natural_height_m: float
    """Height it would reach in the same soil with ordinary pruning and no form to hold it."""
    held_by_pruning: bool
    """True where the form is smaller than the tree would be: it is kept by pruning every year."""
    ladder: bool
    support: Support
    pruning_hours_a_year: tuple[float, float]
    years_to_first_crop: tuple[int, int]
    years_to_full_crop: int


def scion_growth(cultivar: Cultivar) -> ScionGrowth:
    """Growth of a cultivar of the catalogue."""
    form, habit = cultivar.findings.get("growth_form"), cultivar.findings.get("fruiting_habit")
    vigour, precocity = cultivar.numbers.get("vigour"), cultivar.numbers.get("precocity_years")
    ploidy = cultivar.findings.get("ploidy")
    return ScionGrowth(
        vigour=None if vigour is None else vigour.value,
        spur=form is not None and form.value == "spur",
        columnar=is_columnar(cultivar),
        triploid=ploidy is not None and ploidy.value == "3",
        bearing=None if habit is None else habit.value,
        precocity_years=None if precocity is None else precocity.value,
    )


def tree_size(
    scion: ScionGrowth,
    stock: Rootstock | None,
    form: TreeForm,
    *,
    soil: Soil = "average",
    pruned: bool = True,
    age_years: float | None = None,
    keep_height_m: float | None = None,
) -> TreeSize:
    """Size of a tree; grown up where no age is given, kept to a height by pruning where one is.

    An unknown stock is taken as middling, with a wide spread. Units: m, years.
    """
    size = _size_percent(stock)
    natural, error = _natural_height(scion, size, soil)
    pruned = pruned and not form.left_to_grow
    led_up = form.id in FIGURES.led_up
    if led_up:
        natural *= FIGURES.led_up_taller
    if not pruned:
        natural *= math.exp(math.log(FIGURES.unpruned_height_m / FIGURES.pruned_height_m))
    columnar = scion.columnar or form.columnar
    limit = min(form.ranges["mature_height"].high, keep_height_m or math.inf) if pruned else math.inf
    height = min(natural, limit)
    width = _width(form, columnar, height, pruned)
    share = 1.0 if age_years is None else _share_grown(age_years, size.value / 100)
    started = min(FIGURES.planted_height_m, height)
    height_now = started + (height - started) * share
    width_now = width * height_now / height
    likely_height = _range(height_now, error, limit)
    first = years_to_first_crop(scion, stock) * (FIGURES.led_up_crops_sooner if led_up else 1.0)
    bearing = 1.0 if age_years is None else bearing_share(age_years, first)
    depth = form.ranges.get("depth")
    thick = None if depth is None else (depth.low + depth.high) / 2
    crop = full_crop_kg(height_now, width_now, thick, columnar) * bearing
    if form.arrangement == "pot":
        crop = min(crop, form.ranges["yield_per_tree"].high)  # its roots have no more room, however strong the scion
    hours = form.ranges["pruning_hours"]
    return TreeSize(
        height_m=likely_height,
        crown_spread_m=_range(width_now, error, form.ranges["spread"].high if pruned else math.inf),
        depth_m=thick,
        yearly_crop_kg=_range(crop, math.hypot(FIGURES.crop_error, 2 * FIGURES.crop_power * error)),
        natural_height_m=round(natural, 1),
        held_by_pruning=natural > limit * FIGURES.held_from_ratio and not columnar,
        ladder=takes_ladder(likely_height.likely),
        support=_support(form, stock),
        pruning_hours_a_year=(hours.low, hours.high) if pruned else (0.0, 0.0),
        years_to_first_crop=(max(round(first - 1), 1), max(round(first + 1), 2)),
        years_to_full_crop=round(2 * first),
    )


def _size_percent(stock: Rootstock | None) -> Estimate:
    """Size of a stock in percent of seedling; one that is not known is taken as middling, with a wide spread."""
    known = None if stock is None else stock.numbers.get("size_percent")
    if known is not None:
        return known
    return Estimate(
        value=FIGURES.unknown_stock_percent,
        deviation=FIGURES.unknown_stock_spread_percent,
        unit="percent of seedling",
        basis="imputed",
    )


def _natural_height(scion: ScionGrowth, size: Estimate, soil: Soil) -> tuple[float, float]:
    """Height (m) of a pruned tree that no form holds, and the standard deviation of its logarithm."""
    seedling = rootstocks()["seedling"]
    garden, ratio = seedling.numbers["garden_height"], seedling.numbers["spur_scion_ratio"]
    soils: dict[Soil, float] = {"fertile": FIGURES.fertile_soil, "average": 0.0, "poor": FIGURES.poor_soil}
    log_height = math.log(garden.value * size.value / 100) + soils[soil]
    variance = (garden.deviation / garden.value) ** 2 + (size.deviation / size.value) ** 2 + FIGURES.site_error**2
    if scion.vigour is not None:
        log_height += FIGURES.vigour_step * (scion.vigour - FIGURES.middle_vigour)
        variance += (FIGURES.vigour_step_error * (scion.vigour - FIGURES.middle_vigour)) ** 2
    else:
        log_height += FIGURES.triploid * scion.triploid
        variance += FIGURES.unknown_vigour_error**2
    if scion.spur:
        log_height += math.log(ratio.value)
    return math.exp(log_height), math.sqrt(variance)


def _width(form: TreeForm, columnar: bool, height: float, pruned: bool) -> float:
    if columnar:
        return FIGURES.column_width_m
    if form.arrangement == "fence":
        kept = form.ranges["spread"]
        return (kept.low + kept.high) / 2
    share = FIGURES.spindle_width if form.arrangement == "row" and pruned else FIGURES.bush_width
    return min(share * height, form.ranges["spread"].high) if pruned else share * height


def _share_grown(age: float, size: float) -> float:
    """Share of the growth made at an age (years from planting), 0 to 1."""
    years = FIGURES.grown_base_years + FIGURES.grown_years_per_size * size
    return 1 - math.exp(-math.log(10) * max(age, 0.0) / years)


def years_to_first_crop(scion: ScionGrowth, stock: Rootstock | None) -> float:
    """Years from planting to the first crop."""
    told = None if stock is None else stock.numbers.get("years_to_first_crop")
    first = FIGURES.usual_first_crop_years if told is None else told.value
    if scion.precocity_years is not None:  # given for a semi-dwarfing stock
        sooner = scion.precocity_years / FIGURES.usual_first_crop_years
        first *= min(max(sooner, FIGURES.least_precocity), FIGURES.most_precocity)
    return first


def bearing_share(age: float, first: float) -> float:
    """Share of a full crop at an age: none before the first crop, all at twice its age."""
    return 0.0 if age < first - 0.5 else min(1.0, (age - first + 1) / (first + 1))


def full_crop_kg(height: float, width: float, depth: float | None = None, columnar: bool = False) -> float:
    """A full crop (kg) by height, width and, of a flat form, depth of the crown (m)."""
    if depth is not None:
        volume = height * width * depth
    elif columnar:
        volume = height * math.pi / 4 * width**2
    else:
        volume = math.pi / 6 * height * width**2
    crop: float = FIGURES.crop_kg * volume**FIGURES.crop_power
    return crop


def _support(form: TreeForm, stock: Rootstock | None) -> Support:
    """What the form asks, or what the roots ask where that is more."""
    staking = None if stock is None else stock.findings.get("staking")
    if form.support == "wires" or staking is None:
        return form.support
    asked: dict[str, Support] = {"permanent": "permanent_stake", "early_years": "stake_early_years"}
    order: tuple[Support, ...] = ("none", "stake", "stake_early_years", "permanent_stake")
    return max(form.support, asked.get(staking.value, "none"), key=order.index)


def _range(value: float, error: float, limit: float = math.inf) -> Likely:
    low, high = value * math.exp(-PERCENTILE_80 * error), value * math.exp(PERCENTILE_80 * error)
    high = min(high, max(limit, value))
    return Likely(likely=round(value, 2), low=round(low, 2), high=round(high, 2))
