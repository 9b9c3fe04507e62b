"""What decides whether fruit is sound and good, and whether disease kills the tree."""

from collections.abc import Callable, Hashable, Iterable
from typing import TypeVar

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.common.distributions import PERCENTILE_80, rises
from domain.fruit.diseases import DISEASES
from domain.hazards.codling_moth import escaped_share
from domain.hazards.infection_models import DISEASE_FIGURES
from domain.hazards.sound_fruit import Health, health, sound_share
from domain.orchard_site.conditions import SiteConditions
from domain.suitability import sentences
from domain.suitability.classes import CLASSES
from domain.suitability.crop_figures import FIGURES as CROP
from domain.suitability.factors import Factor, susceptibility_basis, trait_input
from domain.suitability.ripening_heat import heat_to_ripen, summer_heat_here
from domain.tables.parameters import figures
from domain.tables.words import say
from domain.traits.trait_table import FIGURES as TRAITS
from domain.traits.trait_table import TraitTable


class FruitFigures(msgspec.Struct, frozen=True):
    """See parameters/suitability.csv, subject fruit_factors."""

    ripening_window_days: int
    hot_mean_c: float
    heat_tolerance_span_c: float
    hot_slope_c: float
    cool_mean_c: float
    cool_slope_c: float
    lost_to_heat: float
    lost_to_cool: float
    lost_to_short_summer: float
    short_summer_slope_dd10: float
    heat_need_spread_dd10: float
    lost_to_sunburn: float
    sunburn_days_for_all: float
    lost_to_bitter_pit: float
    much_of_the_loss: float
    resistant_susceptibility: float


FIGURES = figures("suitability", "fruit_factors", FruitFigures)

T = TypeVar("T")


def fruit_factors(conditions: SiteConditions, traits: TraitTable, harvest: Floats) -> tuple[Factor, ...]:
    """The factors beside the crop of every cultivar; harvest: (cultivars,) season day of first ripe fruit."""
    found = health_here(conditions, traits, harvest)
    here = conditions.spot
    return (
        _as_on_open_ground(conditions, traits, _tree_disease(conditions, traits, found)),
        _kept_over_ground(
            conditions, (traits, here.quality), "fruit_quality", lambda: _fruit_quality(conditions, traits, harvest)
        ),
        _kept_over_ground(
            conditions, (traits, _powers(conditions)), "sound_fruit", lambda: _sound_fruit(conditions, traits, found)
        ),
    )


def health_here(conditions: SiteConditions, traits: TraitTable, harvest: Floats) -> Health:
    """`health_under` the pressure of the site; kept with the site, and with its years where no date moves harvest."""
    return conditions.kept.get(
        "health",
        traits,
        lambda: _kept_over_ground(
            conditions,
            (traits, _powers(conditions)),
            "health",
            lambda: health_under(conditions.pressure, conditions, traits, harvest),
        ),
    )


def _powers(conditions: SiteConditions) -> tuple[tuple[str, float], ...]:
    """All by which the ground moves the pressure of diseases."""
    return tuple(sorted(conditions.health.powers.items()))


def _kept_over_ground(conditions: SiteConditions, key: Hashable, kind: str, found: Callable[[], T]) -> T:
    """What is found; of years whose days no date seen moves it is kept with them, for the same on other ground."""
    return found() if conditions.observed is not None else conditions.kept_alike.get(kind, key, found)


def health_under(pressure: dict[str, float], conditions: SiteConditions, traits: TraitTable, harvest: Floats) -> Health:
    """Sound fruit and deaths by disease under a pressure of each disease; harvest: season days of first ripe fruit."""
    return health(
        traits.susceptibility,
        traits.susceptibility_spread,
        pressure,
        conditions.insects,
        escaped_share(conditions.health.moth, harvest),
        unknown=TRAITS.unknown_susceptibility,
        much_of_the_loss=FIGURES.much_of_the_loss,
    )


def sound_under(
    pressures: Iterable[dict[str, float]], conditions: SiteConditions, traits: TraitTable, harvest: Floats
) -> list[Floats]:
    """Sound fruit (n,) alone, as `health_under` tells it, under each of several pressures."""
    escaped = escaped_share(conditions.health.moth, harvest)
    return [
        sound_share(traits.susceptibility, each, conditions.insects, escaped, unknown=TRAITS.unknown_susceptibility)
        for each in pressures
    ]


def unspoilt_resistant(pressure: dict[str, float]) -> float:
    """Share of the fruit that diseases leave unsprayed to a cultivar that resists them all."""
    lost = np.array([pressure[d] * DISEASE_FIGURES[d].fruit_loss for d in DISEASES])
    return float(np.prod(1.0 - FIGURES.resistant_susceptibility * lost))


def years_alive_share(death_a_year: Floats) -> Floats:
    """Share (n,) of ten years in which a tree is alive, by its yearly chance of death."""
    years = np.arange(1, 11, dtype=np.float32)
    share: Floats = ((1.0 - death_a_year)[:, None] ** years).mean(axis=1)
    return share


def _tree_disease(conditions: SiteConditions, traits: TraitTable, found: Health) -> Factor:
    off = PERCENTILE_80 * found.death_spread

    in_wet_ground = conditions.spot.deaths_a_year

    def survival(death_a_year: Floats) -> Floats:
        share: Floats = (1.0 - np.clip(death_a_year + in_wet_ground, 0.0, 1.0)) ** 10
        return share

    factor: Factor = Factor(
        code="tree_disease",
        outcome="tree_survival",
        likely=survival(found.death_a_year),
        low=survival(found.death_a_year + off),
        high=survival(found.death_a_year - off),
        basis=susceptibility_basis(traits, found.kills),
        inputs=(),
        sentence=sentences.tree_disease,
        alike=lambda one: sentences.by_share(one, (sentences.OFTEN,)),
        at_best=lambda rows: np.ones(rows.size, dtype=np.float32),
    )
    return factor


def _as_on_open_ground(conditions: SiteConditions, traits: TraitTable, factor: Factor) -> Factor:
    """The factor; where another of the same years was equal, that: what is told of each cultivar is kept with it.

    Only for a factor whose sentence turns on nothing but its own figures.
    """
    before = conditions.kept_alike.get(factor.code, traits, lambda: factor)
    return before if before.is_like(factor) else factor


def _sound_fruit(conditions: SiteConditions, traits: TraitTable, found: Health) -> Factor:
    off = np.exp(np.float32(PERCENTILE_80) * found.log_spread)
    worst = tuple(insect.insect for insect in conditions.insects[:2])
    order = np.argsort(-found.taken, axis=1, kind="stable")[:, :2]
    most = [tuple(DISEASES[disease] for disease in row) for row in order.tolist()]
    factor: Factor = Factor(
        code="sound_fruit",
        outcome="sound_fruit",
        likely=found.sound,
        low=found.sound / off,
        high=np.clip(found.sound * off, 0.0, 1.0),
        basis=susceptibility_basis(traits, found.counts),
        inputs=(),
        sentence=lambda one, row: sentences.sound_fruit(one, row, most[row], worst),
        alike=lambda one: sentences.by_share(one, (sentences.OFTEN, sentences.FIGURES.hardly_sound), most),
        at_best=lambda rows: np.ones(rows.size, dtype=np.float32),
    )
    return factor


def _fruit_quality(conditions: SiteConditions, traits: TraitTable, harvest: Floats) -> Factor:
    """Quality, 0 to 1; each doubtful trait is moved in turn and the changes are added as independent errors."""
    given = [trait_input(traits, trait) for trait in ("heat_tolerance", "sunburn", "bitter_pit")]
    month = _month_before_picking(conditions, harvest)
    sharp, *otherwise = left_by_warmth(conditions, traits)

    light, very_hot = np.float32(conditions.spot.quality), conditions.very_hot_days

    def at(*values: Floats) -> Floats:
        kept: Floats = light * sharp * quality(month, very_hot, *values)
        return kept

    middle = [one.value for one in given]
    likely = at(*middle)
    down, up = np.zeros_like(likely), np.zeros_like(likely)
    for place, one in enumerate(given):
        off = PERCENTILE_80 * one.deviation
        for side in (-1.0, 1.0):
            moved = at(*[value + side * off if n == place else value for n, value in enumerate(middle)]) - likely
            down += np.minimum(moved, 0.0) ** 2
            up += np.maximum(moved, 0.0) ** 2
    for other in otherwise:
        moved = likely * (other / sharp - 1.0)
        down += np.minimum(moved, 0.0) ** 2
        up += np.maximum(moved, 0.0) ** 2
    heat = given[0]
    best = np.float32(traits.published_range["heat_tolerance"][1])
    shaded = ((likely < CLASSES.good_quality) & (likely / light >= CLASSES.good_quality)).tolist()
    told_month, told_sharp = month.tolist(), sharp.tolist()
    factor: Factor = Factor(
        code="fruit_quality",
        outcome="quality",
        likely=likely,
        low=np.clip(likely - np.sqrt(down), 0.0, 1.0),
        high=np.clip(likely + np.sqrt(up), 0.0, 1.0),
        # Sunburn and bitter pit take little beside heat, so what is known of heat is what it rests on.
        basis=heat.basis,
        inputs=tuple(given),
        sentence=lambda one, row: (
            say("fruit_spoilt_by_shade")
            if shaded[row]
            else sentences.fruit_quality(one, row, told_month[row], CLASSES.good_quality, short=told_sharp[row])
        ),
        alike=lambda one: zip(
            shaded,
            (one.likely.astype(np.float64) >= CLASSES.good_quality).tolist(),
            (one.likely.astype(np.float64) >= sharp.astype(np.float64) ** 2).tolist(),
            (month > sentences.FIGURES.temperate_c).tolist(),
            sentences.rounded(month),
            strict=True,
        ),
        at_best=lambda rows: (
            light
            * sharp[rows]
            * quality(
                month[rows],
                very_hot,
                np.fmax(heat.value[rows], best),
                np.zeros(rows.size, dtype=np.float32),
                np.zeros(rows.size, dtype=np.float32),
            )
        ),
    )
    return factor


def _month_before_picking(conditions: SiteConditions, harvest: Floats) -> Floats:
    """Its mean temperature (cultivars,); what hangs at the end of the season is picked then, ripe or not."""
    picked = np.minimum(harvest, np.float32(np.median(conditions.clock.last_ripening_day)))
    return last_month_mean(conditions.mean_by_day_c, picked)


def left_by_heat(conditions: SiteConditions, traits: TraitTable, harvest: Floats) -> Floats:
    """What heat leaves of the quality (cultivars,) of one picked the same day that stands it as the best known does."""
    best = traits.published_range["heat_tolerance"][1]
    if np.isnan(best):
        return np.ones(harvest.size, dtype=np.float32)
    left: Floats = 1.0 - np.float32(FIGURES.lost_to_heat) * _heat(_month_before_picking(conditions, harvest), best)
    return left


def left_by_warmth(conditions: SiteConditions, traits: TraitTable) -> tuple[Floats, Floats, Floats]:
    """What summers too short of heat for sweet fruit leave of its quality (cultivars,): likely, and at both ends.

    Kept with the years of the site.
    """
    return conditions.kept_alike.get("warmth", traits, lambda: _left_by_warmth(conditions, traits))


def _left_by_warmth(conditions: SiteConditions, traits: TraitTable) -> tuple[Floats, Floats, Floats]:
    heat, needed = summer_heat_here(conditions), heat_to_ripen(traits)
    of_site = conditions.years.spread.summer_mean_c * CROP.warm_season_days
    off = np.float32(PERCENTILE_80 * np.hypot(FIGURES.heat_need_spread_dd10, of_site))

    def left(need: Floats) -> Floats:
        enough = rises(heat, need, np.float32(FIGURES.short_summer_slope_dd10)).mean(axis=1)
        return np.asarray(1.0 - np.float32(FIGURES.lost_to_short_summer) * (1.0 - enough))

    return left(needed), left(needed - off), left(needed + off)


def quality(
    last_month_mean_c: Floats, very_hot_days: float, heat_tolerance: Floats, sunburn: Floats, bitter_pit: Floats
) -> Floats:
    """Eating quality (cultivars,), 0 to 1: what heat, sun and a cool autumn leave of it.

    last_month_mean_c: (cultivars,) mean temperature of the 30 days before picking. very_hot_days: days a year above
    35 C, on which fruit in the sun burns (fruit stands up to 18 C above the air: University of California).
    """
    heat = _heat(last_month_mean_c, heat_tolerance)
    cool = 1.0 - _share(last_month_mean_c, FIGURES.cool_mean_c, FIGURES.cool_slope_c)
    burnt = np.clip(sunburn, 0.0, 1.0) * float(np.clip(very_hot_days / FIGURES.sunburn_days_for_all, 0.0, 1.0))
    pitted = np.clip(bitter_pit, 0.0, 1.0) * FIGURES.lost_to_bitter_pit * (0.5 + 0.5 * heat)
    kept: Floats = (
        (1.0 - FIGURES.lost_to_heat * heat)
        * (1.0 - FIGURES.lost_to_cool * cool)
        * (1.0 - FIGURES.lost_to_sunburn * burnt)
        * (1.0 - pitted)
    )
    return kept


def _heat(last_month_mean_c: Floats, heat_tolerance: Floats | float) -> Floats:
    """How much of all that heat can take it takes (cultivars,)."""
    middle = FIGURES.hot_mean_c + FIGURES.heat_tolerance_span_c * (heat_tolerance - 0.5)
    return _share(last_month_mean_c, middle, FIGURES.hot_slope_c)


def _share(value: Floats, middle: Floats | float, width: float) -> Floats:
    share: Floats = (1.0 / (1.0 + np.exp(-(value - middle) / width))).astype(np.float32)
    return share


def last_month_mean(mean_by_day_c: Floats, harvest: Floats) -> Floats:
    """Mean temperature (C) of the month before each season day (n,)."""
    window = FIGURES.ripening_window_days
    total = np.concatenate([[0.0], np.cumsum(mean_by_day_c, dtype=np.float64)])
    last = np.clip(harvest, window, mean_by_day_c.size - 1).astype(np.int32)
    mean: Floats = ((total[last] - total[last - window]) / window).astype(np.float32)
    return mean
