"""Adopted ripening: position of picking among cultivars.

Scale of `ripening_offset_days`: days after Golden Delicious on the average dated list of a temperate place (about 35 to
50 degrees of latitude, a season long enough for the latest). Lists of cool places with a short season pack ripening
closer; each list has a slope of its own, and is expected where the climate of its place puts it (`place_seasons`).
Dates without a place give order, and hardly the day. Days from bloom, offsets from a reference cultivar and season
classes are read on the same axis, each with the error that its agreement with the dates shows. Days on which samples
were picked for juice are no ripeness and are not read.
"""

import functools
import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import msgspec
import numpy as np

from domain.adoption.bloom_positions import estimates_of
from domain.adoption.mixed_model import Expectations, Fit, Series, rescaled
from domain.adoption.mixed_model_fit import ITERATIONS, fit
from domain.adoption.place_seasons import PlaceSeason, season_of
from domain.adoption.reading import Row, Share, marked, table
from domain.adoption.timing_lists import (
    MONTHS,
    Assembled,
    Positions,
    Reading,
    assemble,
    day,
    level,
    middle_of,
    middle_of_few,
    place_covariates,
    scheme_levels,
    sports_prior,
)
from domain.adoption.weighing import MOST_SOURCES
from domain.common.season_days import YEAR_DAYS
from domain.fruit.reference import REFERENCE
from domain.tables.cultivars import Estimate
from domain.tables.observations import Observation
from domain.tables.parameters import figures

TRAIT = "ripening_offset_days"


class RipeningFigures(msgspec.Struct, frozen=True):
    """What is expected of ripening and of its lists before any is read; days unless named otherwise."""

    usual_latitude: float
    slope_deviation: float
    slope_of_days_from_bloom: float
    least_spread: float
    collection_deviation: float
    reference_share: float
    spread: float
    sport_share: float
    sport_deviation: float
    residual_dates: float
    residual_unplaced: float
    residual_days: float
    residual_offset: float
    residual_class: float
    shift_dates: float
    shift_unplaced: float
    shift_days: float
    shift_offset: float
    shift_class: float
    usual_picking_day: float
    usual_days_from_bloom: float
    beyond_expected: float
    days_beyond_expected: float
    same_value_days: float


FIGURES = figures("adoption", "ripening_positions", RipeningFigures)


@dataclass(frozen=True)
class KnownCultivars:
    """What else is known: sport -> the tree it came from; cultivar -> how far it is one of low chill, 0 to 1."""

    sport_of: Mapping[str, str] = field(default_factory=dict)
    low_chill: Mapping[str, float] = field(default_factory=dict)


NOTHING_KNOWN = KnownCultivars()


class PickingEvent(Row, frozen=True, kw_only=True):
    """A dated event of picking and the days from it to mid-picking."""

    trait: str
    days_to_mid_picking: float


class SupersededList(Row, frozen=True, kw_only=True):
    """A list that keeps only a share of its weight where another has the cultivar."""

    list_id: str
    superseded_by: str
    share: Share


@functools.cache
def picking_events() -> dict[str, float]:
    """Trait of a dated event -> days from it to mid-picking."""
    return {one.trait: one.days_to_mid_picking for one in table("picking_events", PickingEvent, ("trait",))}


@functools.cache
def superseded_lists() -> dict[str, SupersededList]:
    """Lists that weigh little where the other has the cultivar."""
    return {one.list_id: one for one in table("superseded_lists", SupersededList, ("list_id",))}


def _expected() -> Expectations:
    """Coefficients of the shift: of dates, and of days from bloom, beyond what the climate of the place tells."""
    return Expectations(
        spread=FIGURES.spread,
        residual={
            "dates": FIGURES.residual_dates,
            "unplaced": FIGURES.residual_unplaced,
            "days": FIGURES.residual_days,
            "offset": FIGURES.residual_offset,
            "class": FIGURES.residual_class,
        },
        shift_sd={
            "dates": FIGURES.shift_dates,
            "unplaced": FIGURES.shift_unplaced,
            "days": FIGURES.shift_days,
            "offset": FIGURES.shift_offset,
            "class": FIGURES.shift_class,
        },
        coefficient_mean=(0.0, 0.0),
        coefficient_sd=(FIGURES.beyond_expected, FIGURES.days_beyond_expected),
        shift_learnt=frozenset({"dates", "days"}),
    )


def adopt(
    observations: Sequence[Observation], known: KnownCultivars = NOTHING_KNOWN
) -> dict[tuple[str, str], Estimate]:
    """Adopted ripening_offset_days of every cultivar that the observations speak of.

    observations: of the topic ripening (others are passed over). Months in use are passed over too (a fruit in use from
    December was picked in October), and so are parents of crosses: neither lowers the error of documents left out.
    """
    return in_order(estimates_of(positions(observations, known), TRAIT, FIGURES.least_spread), observations)


def in_order(
    fitted: dict[tuple[str, str], Estimate], observations: Sequence[Observation]
) -> dict[tuple[str, str], Estimate]:
    """The same with what is only known in order of another ("after Cripps Pink", `0..` days) moved past it.

    With d = sign (own - reference) ~ N(m, s^2) cut at 0, s^2 the sum of both variances, z = m / s and h the ratio of
    normal density to normal distribution function at z, the mean of d rises by s h. The own position takes its share
    own^2 / s^2 of the rise and keeps 1 - own^2 / s^2 h (h + z) of its variance; the reference, which other lists know,
    stays.
    """
    ordered = dict(fitted)
    for o in observations:
        key, other = (o.cultivar_id, TRAIT), (o.unit.removeprefix("days after "), TRAIT)
        sign = float(o.low is not None) - float(o.high is not None)
        if o.trait != "days_from_reference" or not sign or key not in fitted or other not in fitted:
            continue
        own, reference = ordered[key], fitted[other]
        apart = math.hypot(own.deviation, reference.deviation)
        z = sign * (own.value - reference.value) / apart
        hazard = math.exp(-0.5 * z * z) * math.sqrt(2.0 / math.pi) / math.erfc(-z / math.sqrt(2.0))
        rise = sign * own.deviation**2 / apart * hazard
        narrower = 1.0 - (own.deviation / apart) ** 2 * hazard * (hazard + z)
        ordered[key] = msgspec.structs.replace(
            own,
            value=round(own.value + rise, 2),
            deviation=round(max(own.deviation * math.sqrt(narrower), FIGURES.least_spread), 2),
            observations=own.observations + 1,
            sources=tuple(sorted({*own.sources, o.source_id}))[:MOST_SOURCES],
        )
    return ordered


def positions(
    observations: Sequence[Observation], known: KnownCultivars = NOTHING_KNOWN, iterations: int = ITERATIONS
) -> Positions:
    """Positions of picking on the temperate dated scale, 0 = Golden Delicious; of sports with their tree as prior."""
    entries, series = readings_of(observations, known.low_chill)
    assembled = assemble(entries, series, FIGURES.collection_deviation)
    cultivars = assembled.cultivars
    arguments = (assembled.readings, assembled.series, _expected(), len(cultivars))
    fitted = fit(*arguments, iterations=iterations)
    of_tree = _undated_from_tree(observations, known.sport_of)
    if of_tree:
        mean, kept = sports_prior(cultivars, fitted, of_tree, FIGURES.sport_deviation, FIGURES.sport_share)
        fitted = fit(*arguments, prior_mean=mean, prior_variance_share=kept, start=fitted, iterations=iterations // 2)
    return Positions(assembled, _standard(assembled, fitted))


def _undated_from_tree(observations: Sequence[Observation], sport_of: Mapping[str, str]) -> dict[str, str]:
    """The sports whose days from their own tree no document tells: those that one does would move their tree."""
    told = {
        (o.cultivar_id, o.unit.removeprefix("days after ")) for o in observations if o.trait == "days_from_reference"
    }
    return {sport: tree for sport, tree in sport_of.items() if (sport, tree) not in told}


def _by_list(observations: Sequence[Observation]) -> dict[tuple[str, str], list[Observation]]:
    """(List, what its values are) -> its observations of position, each told once by its document."""
    placed: defaultdict[tuple[str, str, str], list[Observation]] = defaultdict(list)
    for o in observations:
        if o.latitude is not None:
            placed[o.cultivar_id, o.source_id, o.trait].append(o)
    lists: defaultdict[tuple[str, str], list[Observation]] = defaultdict(list)
    for o in observations:
        kind = _kind(o)
        told = placed.get((o.cultivar_id, o.source_id, o.trait), ())
        if kind and o.latitude is None and any(_same_value(o, other) for other in told):
            continue  # the document gives the same value with its place
        if kind:
            shared = marked(o, "shared_scale")  # one convention of a country, whatever document uses its words
            list_id = o.list_id or (o.scheme.partition(":")[0] if shared else o.source_id)
            lists[list_id, o.unit if kind == "offset" else kind].append(o)
    return lists


def readings_of(
    observations: Sequence[Observation], low_chill: Mapping[str, float] | None = None
) -> tuple[list[Reading], dict[str, Series]]:
    """The readings of position in ripening observations, and the lists they stand in.

    low_chill: as in `KnownCultivars`. Such a cultivar blooms weeks before the reference where winters are mild: what it
    is picked early for that is no part of its position, so it is expected where the place puts its like.
    """
    present = {(o.cultivar_id, o.list_id) for o in observations}
    entries: list[Reading] = []
    series: dict[str, Series] = {}
    for (list_id, what), listed in sorted(_by_list(observations).items()):
        first, kind = listed[0], _kind(listed[0])
        season = season_of(first)
        name, superseded = f"{list_id}/{what}", superseded_lists().get(list_id)
        levels = scheme_levels(listed) if kind == "class" else ()
        if kind == "class" and len(levels) < 2:
            continue
        place = place_covariates(first, FIGURES.usual_latitude)
        series[name] = Series(
            name=name,
            kind=kind,
            group=name,
            covariates=(float(kind in ("dates", "unplaced")), float(kind == "days")),
            slope_covariates=(place[0] / 10.0, place[1]) if kind in ("dates", "unplaced", "days") else (0.0, 0.0),
            slope=FIGURES.slope_of_days_from_bloom if kind == "days" else 1.0,
            slope_sd=FIGURES.slope_deviation,
            levels=len(levels),
        )
        for o in listed:
            read = _value(o, kind, levels)
            if read and not middle_of_few(listed, levels, read[0]):
                beyond = read[0] - _expected_at(kind, season, (low_chill or {}).get(o.cultivar_id, 0.0))
                share = superseded.share if superseded and (o.cultivar_id, superseded.superseded_by) in present else 1.0
                entries.append(Reading(o.cultivar_id, name, beyond, read[1], o.source_id, o.place or list_id, share))
        if kind == "offset":
            reference = first.unit.removeprefix("days after ")
            entries.append(
                Reading(
                    reference, name, 0.0, 0.0, first.source_id, "reference", share=FIGURES.reference_share, implied=True
                )
            )
    return entries, series


def _same_value(one: Observation, other: Observation) -> bool:
    """Whether both are one value: a window in words ("mid October") and the same in figures differ by a day."""
    if one.low is None or one.high is None or other.low is None or other.high is None:
        return (one.low, one.high) == (other.low, other.high)
    apart = max(abs(one.low - other.low), abs(one.high - other.high))
    return apart <= FIGURES.same_value_days


def _kind(o: Observation) -> str:
    """Kind of list that an observation belongs to, blank for what says nothing of the day of picking (samples for
    juice, what is being harvested on the day of a report, trees whose rest was broken).
    """
    if marked(o, "not_picking_day") or marked(o, "rest_broken"):
        return ""
    if o.trait in picking_events() and o.low is not None:
        return "dates" if o.latitude is not None else "unplaced"
    if o.trait == "ripening_class":
        return "class" if not month_window(o.published) else "dates" if o.latitude is not None else "unplaced"
    if o.trait == "days_from_full_bloom" and o.low is not None:
        return "days"
    if o.trait == "days_from_reference" and o.unit.startswith("days after ") and " at " not in o.unit:
        return "offset"
    return ""


def _expected_at(kind: str, season: PlaceSeason | None, low_chill: float) -> float:
    """Day of mid-picking, or days from bloom, of the reference cultivar by the climate of the place; else 0.

    low_chill: how far its like of low chill stands in its stead, 0 to 1. A place where the reference is never ripe (a
    whole country at its mean height) is expected where an ordinary one lies.
    """
    if kind not in ("dates", "unplaced", "days"):
        return 0.0
    if season is None or season.picking_day >= YEAR_DAYS:
        return FIGURES.usual_days_from_bloom if kind == "days" else FIGURES.usual_picking_day
    picking = season.picking_day + low_chill * (season.low_chill_picking_day - season.picking_day)
    if kind == "days":
        return picking - season.bloom_day - low_chill * (season.low_chill_bloom_day - season.bloom_day)
    return picking + picking_events()["harvest_start"]


def _value(o: Observation, kind: str, levels: tuple[str, ...]) -> tuple[float, float] | None:
    if kind == "class":
        index = level(o.published, levels)
        return None if index is None else (index, 0.0)
    if kind in ("dates", "unplaced"):
        months = month_window(o.published) if o.trait == "ripening_class" else None
        if months:
            return middle_of(*months, o.latitude)
        dated = day(o)
        return dated and (dated[0] + picking_events()[o.trait], dated[1])
    if o.low is None or o.high is None:
        return None
    return 0.5 * (o.low + o.high), (o.high - o.low) ** 2 / 12.0


def month_window(published: str) -> tuple[float, float] | None:
    """First and last day of year of months printed as words or numbers (`August`, `May to June`, `07..08`), or None.

    A window over the new year ends in the next year (`December to January`).
    """
    parts = [part.strip() for part in published.lower().replace(" to ", "..").split("..")]
    numbers = [MONTHS.index(p) + 1 if p in MONTHS else int(p) if len(p) == 2 and p.isdigit() else 0 for p in parts]
    if not all(1 <= number <= 12 for number in numbers):
        return None
    over = 12 if numbers[-1] < numbers[0] else 0
    return (numbers[0] - 1) * 30.4 + 1.0, (numbers[-1] + over) * 30.4


def _standard(assembled: Assembled, fitted: Fit) -> Fit:
    """The fit at slope 1 of the dated lists (each weighed by its values, at most ten), 0 at Golden Delicious."""
    n = np.bincount(assembled.readings.series, minlength=len(assembled.series))
    rows = [k for k, s in enumerate(assembled.series) if s.kind == "dates" and 1 < n[k] < 50]
    factor = float(np.average(fitted.slope[rows], weights=np.minimum(n[rows], 10))) if rows else 1.0
    zero = REFERENCE.cultivar
    origin = fitted.position[assembled.cultivars.index(zero)] if zero in assembled.cultivars else 0.0
    return rescaled(fitted, factor, float(origin))
