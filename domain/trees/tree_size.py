"""Height, spread and yearly crop of a tree by cultivar, rootstock, form, soil, pruning and age, with their spread.

Size. A pruned garden tree on seedling is as tall as published heights of garden trees say (`garden_height` of
seedling); another stock makes it smaller in proportion (`size_percent`). A step of vigour of the cultivar (of five)
changes it by a tenth, a spur type is smaller by the published ratio, a triploid of unknown vigour larger by a tenth
(from memory). A form holds a tree that is larger to its own upper size; nobody holds a tree that is smaller. Left
unpruned a tree grows taller, as 9.14 m to 7.32 (Extension Foundation, "Understanding Apple Tree Size").

Width. A pruned bush is as wide as tall times 0.86 (Extension Foundation, summary on seedling: 4.0-4.9 m by 4.9-5.5 m),
a spindle 0.58 (mean of 17 stocks in W. Autio et al., 2010 NC-140 Honeycrisp trial, J. Amer. Pomological Society 2017).

Crop. A full crop grows with the volume of the crown, 4.1 kg times its 0.73rd power in m3; fitted to published yields of
M.27 (5 kg), dwarf pyramid (5-7), dwarf bush (15-25), bush (25-50) and M.25 (to 180 kg). It begins in the year of the
first crop and is full at twice that age (M.9 in 5 to 7 years, MM.106 in 6 or 7).
"""

import math
from typing import Literal

import msgspec

from domain.tables.cultivars import Cultivar, Estimate
from domain.tables.rootstocks import Rootstock, rootstocks
from domain.tables.tree_forms import REACH_M, Support, TreeForm

Soil = Literal["fertile", "average", "poor"]

MIDDLE_VIGOUR = 3.0
VIGOUR_STEP = 0.10
VIGOUR_STEP_ERROR = 0.05
UNKNOWN_VIGOUR_ERROR = 0.12
TRIPLOID = 0.10
SOILS: dict[Soil, float] = {"fertile": 0.08, "average": 0.0, "poor": -0.15}
"""Change of the logarithm of size; common practice, no source."""
SITE_ERROR = 0.12
"""Scions and sites reorder stocks: G.202 made trees 16 % smaller than M.26 under one scion, 61 % larger in another."""
UNPRUNED = math.log(9.14 / 7.32)
UNKNOWN_STOCK = Estimate(value=60.0, spread=21.0, unit="percent of seedling", basis="imputed")

LED_UP = frozenset({"tall-spindle", "vertical-axis"})
"""Forms whose leader is never headed."""
LED_UP_TALLER = 1.2
LED_UP_CROPS_SOONER = 0.8
"""A tall spindle on M.9 or similar is 3.05 to 3.66 m tall and crops in its second year (Fruit Growers News 2007; R.
Lehnert, Good Fruit Grower, 15 April 2012), where a garden bush on M.9 is about 2.6 m tall and crops in two to three."""

BUSH_WIDTH = 0.86
SPINDLE_WIDTH = 0.58
COLUMN_WIDTH_M = 0.55

PLANTED_HEIGHT_M = 1.2
"""Height of a young tree from a nursery; common practice, no source."""
GROWN_BASE_YEARS, GROWN_YEARS_PER_SIZE = 3.0, 8.0
"""Years until nine tenths of the growth is made: soonest on dwarfing stocks; fitted by eye to trial trees in year 5."""

CROP_KG, CROP_POWER, CROP_ERROR = 4.1, 0.73, 0.4
EIGHTY = 0.8416
"""Standard deviations from the middle to the 20th and 80th percentile."""


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
    spread_m: Likely
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
        columnar=form is not None and form.value == "columnar",
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
    size = UNKNOWN_STOCK if stock is None else stock.numbers.get("size_percent", UNKNOWN_STOCK)
    natural, error = _natural_height(scion, size, soil)
    pruned = pruned and form.id != "untrained"
    led_up = form.id in LED_UP
    if led_up:
        natural *= LED_UP_TALLER
    if not pruned:
        natural *= math.exp(UNPRUNED)
    columnar = scion.columnar or form.id == "columnar"
    limit = min(form.ranges["mature_height"].high, keep_height_m or math.inf) if pruned else math.inf
    height = min(natural, limit)
    width = _width(form, columnar, height, pruned)
    share = 1.0 if age_years is None else _share_grown(age_years, size.value / 100)
    started = min(PLANTED_HEIGHT_M, height)
    height_now = started + (height - started) * share
    width_now = width * height_now / height
    likely_height = _range(height_now, error, limit)
    first = _years_to_first_crop(scion, stock) * (LED_UP_CROPS_SOONER if led_up else 1.0)
    bearing = 1.0 if age_years is None else bearing_share(age_years, first)
    depth = form.ranges.get("depth")
    thick = None if depth is None else (depth.low + depth.high) / 2
    crop = full_crop_kg(height_now, width_now, thick, columnar) * bearing
    if form.arrangement == "pot":
        crop = min(crop, form.ranges["yield_per_tree"].high)  # its roots have no more room, however strong the scion
    hours = form.ranges["pruning_hours"]
    return TreeSize(
        height_m=likely_height,
        spread_m=_range(width_now, error, form.ranges["spread"].high if pruned else math.inf),
        depth_m=thick,
        yearly_crop_kg=_range(crop, math.hypot(CROP_ERROR, 2 * CROP_POWER * error)),
        natural_height_m=round(natural, 1),
        held_by_pruning=natural > limit * 1.05 and not columnar,
        ladder=likely_height.likely > REACH_M,
        support=_support(form, stock),
        pruning_hours_a_year=(hours.low, hours.high) if pruned else (0.0, 0.0),
        years_to_first_crop=(max(round(first - 1), 1), max(round(first + 1), 2)),
        years_to_full_crop=round(2 * first),
    )


def _natural_height(scion: ScionGrowth, size: Estimate, soil: Soil) -> tuple[float, float]:
    """Height (m) of a pruned tree that no form holds, and the standard deviation of its logarithm."""
    seedling = rootstocks()["seedling"]
    garden, ratio = seedling.numbers["garden_height"], seedling.numbers["spur_scion_ratio"]
    log_height = math.log(garden.value * size.value / 100) + SOILS[soil]
    variance = (garden.spread / garden.value) ** 2 + (size.spread / size.value) ** 2 + SITE_ERROR**2
    if scion.vigour is not None:
        log_height += VIGOUR_STEP * (scion.vigour - MIDDLE_VIGOUR)
        variance += (VIGOUR_STEP_ERROR * (scion.vigour - MIDDLE_VIGOUR)) ** 2
    else:
        log_height += TRIPLOID * scion.triploid
        variance += UNKNOWN_VIGOUR_ERROR**2
    if scion.spur:
        log_height += math.log(ratio.value)
    return math.exp(log_height), math.sqrt(variance)


def _width(form: TreeForm, columnar: bool, height: float, pruned: bool) -> float:
    if columnar:
        return COLUMN_WIDTH_M
    if form.arrangement == "fence":
        kept = form.ranges["spread"]
        return (kept.low + kept.high) / 2
    share = SPINDLE_WIDTH if form.arrangement == "row" and pruned else BUSH_WIDTH
    return min(share * height, form.ranges["spread"].high) if pruned else share * height


def _share_grown(age: float, size: float) -> float:
    """Share of the growth made at an age (years from planting), 0 to 1."""
    years = GROWN_BASE_YEARS + GROWN_YEARS_PER_SIZE * size
    return 1 - math.exp(-math.log(10) * max(age, 0.0) / years)


def _years_to_first_crop(scion: ScionGrowth, stock: Rootstock | None) -> float:
    """Years from planting to the first crop."""
    told = None if stock is None else stock.numbers.get("years_to_first_crop")
    first = 3.5 if told is None else told.value
    if scion.precocity_years is not None:  # given for a semi-dwarfing stock, on which the middle is 3.5 years
        first *= min(max(scion.precocity_years / 3.5, 0.6), 2.0)
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
    crop: float = CROP_KG * volume**CROP_POWER
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
    low, high = value * math.exp(-EIGHTY * error), min(value * math.exp(EIGHTY * error), max(limit, value))
    return Likely(likely=round(value, 2), low=round(low, 2), high=round(high, 2))
