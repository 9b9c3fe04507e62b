"""Adopted bloom: position of full bloom among cultivars, and its length.

Scale of `bloom_offset_days`: days after Golden Delicious as they come out on the average of the European reference
population's sites (five sites from Belgium to Spain, 2018-2023), that is at places with enough chill. Cold springs pack
bloom closer, which is why each list has a slope of its own.

A list is expected where the climate of its place puts it (`place_seasons`). Where winters are warm, bloom follows chill
rather than heat: the low-chill cultivars open first because the others wait for chill. Such lists say little of the
position meant here and are given a large error.
Scale of `bloom_length_days`: first flower to petal fall at the average place of the lists.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence

import msgspec
import numpy as np

from domain.adoption.mixed_model import Expectations, Fit, Series, rescaled
from domain.adoption.mixed_model_fit import ITERATIONS, fit
from domain.adoption.place_seasons import season_of
from domain.adoption.timing_lists import (
    Assembled,
    Positions,
    Reading,
    assemble,
    counts_of,
    day,
    level,
    middle_of_few,
    place_covariates,
    relatives_prior,
    scheme_levels,
    sources_of,
)
from domain.fruit.reference import REFERENCE
from domain.tables.cultivars import Estimate
from domain.tables.observations import Observation
from domain.tables.parameters import figures

TRAIT = "bloom_offset_days"
_DATES = ("first_bloom", "full_bloom")
_CLASSES = ("bloom_class", "bloom_group")
_OFFSETS = ("full_bloom", "bloom_days_from_reference")


class BloomFigures(msgspec.Struct, frozen=True):
    """What is expected of bloom and of its lists before any is read; days unless named otherwise."""

    standard_lists: str
    warm_chill: float
    usual_latitude: float
    slope_deviation: float
    least_spread: float
    heritability: float
    telling_share: float
    collection_deviation: float
    reference_share: float
    spread: float
    residual_dates: float
    residual_unplaced: float
    residual_offset: float
    residual_class: float
    residual_warm: float
    shift_dates: float
    shift_unplaced: float
    shift_offset: float
    shift_class: float
    shift_warm: float
    usual_bloom_day: float
    beyond_expected: float
    residual_count: float


class LengthFigures(msgspec.Struct, frozen=True):
    """What is expected of the length of bloom before any list is read, days."""

    least_spread: float
    slope_deviation: float
    collection_deviation: float
    spread: float
    residual: float
    shift: float
    length: float
    length_deviation: float


FIGURES = figures("adoption", "bloom_positions", BloomFigures)
LENGTH = figures("adoption", "bloom_lengths", LengthFigures)


def _expected() -> Expectations:
    """Expectations of position; coefficient of the shift: days beyond what the climate of the place tells."""
    return Expectations(
        spread=FIGURES.spread,
        residual={
            "dates": FIGURES.residual_dates,
            "unplaced": FIGURES.residual_unplaced,
            "offset": FIGURES.residual_offset,
            "class": FIGURES.residual_class,
            "warm": FIGURES.residual_warm,
        },
        shift_sd={
            "dates": FIGURES.shift_dates,
            "unplaced": FIGURES.shift_unplaced,
            "offset": FIGURES.shift_offset,
            "class": FIGURES.shift_class,
            "warm": FIGURES.shift_warm,
        },
        coefficient_mean=(0.0,),
        coefficient_sd=(FIGURES.beyond_expected,),
        residual_count=FIGURES.residual_count,
    )


def _expected_length() -> Expectations:
    return Expectations(
        spread=LENGTH.spread,
        residual={"length": LENGTH.residual},
        shift_sd={"length": LENGTH.shift},
        coefficient_mean=(LENGTH.length,),
        coefficient_sd=(LENGTH.length_deviation,),
        shift_learnt=frozenset({"length"}),
    )


def adopt(
    observations: Sequence[Observation], parents: Mapping[str, tuple[str, ...]] | None = None
) -> dict[tuple[str, str], Estimate]:
    """Adopted bloom_offset_days and bloom_length_days of every cultivar that the observations speak of.

    observations: of the topic bloom (others are passed over). parents: cultivar id to the ids of its two parents (or of
    the cultivar it is a sport of, alone): their mean is the prior, and a cultivar of which nothing is read but whose
    parents both bloom in some list gets it as an imputed value.
    """
    found = positions(observations, parents)
    return estimates_of(found, TRAIT, FIGURES.least_spread) | _lengths(observations)


def positions(
    observations: Sequence[Observation],
    parents: Mapping[str, tuple[str, ...]] | None = None,
    iterations: int = ITERATIONS,
) -> Positions:
    """Positions of full bloom on the reference population's scale, 0 = Golden Delicious."""
    entries, series = readings_of(observations)
    read = {entry.cultivar_id for entry in entries}
    children = sorted(child for child, pair in (parents or {}).items() if len(pair) == 2 and read.issuperset(pair))
    assembled = assemble(entries, series, FIGURES.collection_deviation, also=children)
    return Positions(assembled, _standard(assembled, _fit(assembled, parents or {}, iterations)))


def readings_of(observations: Sequence[Observation]) -> tuple[list[Reading], dict[str, Series]]:
    """The readings of position in bloom observations, and the lists they stand in."""
    lists: defaultdict[tuple[str, str], list[Observation]] = defaultdict(list)
    placed = {(o.cultivar_id, o.source_id, o.trait, o.published) for o in observations if o.latitude is not None}
    for o in observations:
        if o.trait not in _DATES + _CLASSES + _OFFSETS:
            continue
        if o.latitude is None and (o.cultivar_id, o.source_id, o.trait, o.published) in placed:
            continue  # the document gives the same value with its place
        lists[o.list_id or o.source_id, o.unit if o.unit.startswith("days after") else o.trait].append(o)
    entries: list[Reading] = []
    series: dict[str, Series] = {}
    for (list_id, trait), listed in sorted(lists.items()):
        first = listed[0]
        name = f"{list_id}/{trait}"
        documents = {o.source_id for o in listed}
        group = documents.pop() if len(documents) == 1 else list_id
        place = place_covariates(first, FIGURES.usual_latitude)
        season = season_of(first)
        warm = season is not None and season.chill_portions < FIGURES.warm_chill
        expected = season.bloom_day if season else FIGURES.usual_bloom_day
        offset = first.unit.startswith("days after")
        levels = scheme_levels(listed) if trait in _CLASSES else ()
        if trait in _CLASSES and len(levels) < 2:
            continue
        kind = "warm" if warm else "offset" if offset else "class" if levels else "dates" if season else "unplaced"
        series[name] = Series(
            name=name,
            kind=kind,
            group=f"{group}/{first.place}",
            covariates=(0.0 if offset or levels else 1.0,),
            slope_covariates=(0.0, 0.0) if levels else (place[0] / 10.0, place[1]),
            slope_sd=FIGURES.slope_deviation,
            levels=len(levels),
        )
        for o in listed:
            value: float | None
            extra = 0.0
            if levels:
                value = level(o.published, levels)
            elif offset and o.low is not None and o.high is not None:
                value, extra = 0.5 * (o.low + o.high), (o.high - o.low) ** 2 / 12.0
            else:
                dated = day(o) if o.unit == "day_of_year" else None
                value, extra = (dated[0] - expected, dated[1]) if dated else (None, 0.0)
            if value is not None and not middle_of_few(listed, levels, value):
                entries.append(Reading(o.cultivar_id, name, value, extra, o.source_id, o.place or list_id))
        if offset and " at " not in first.unit:
            reference = first.unit.removeprefix("days after ")
            entries.append(
                Reading(
                    reference, name, 0.0, 0.0, first.source_id, "reference", share=FIGURES.reference_share, implied=True
                )
            )
    return entries, series


def _fit(assembled: Assembled, parents: Mapping[str, tuple[str, ...]], iterations: int) -> Fit:
    """Fit, then fit once more with the mean of the parents' positions as prior where parents are known."""
    arguments = (assembled.readings, assembled.series, _expected(), len(assembled.cultivars))
    first = fit(*arguments, iterations=iterations)
    if not parents:
        return first
    mean, share = relatives_prior(assembled.cultivars, first, parents, FIGURES.heritability)
    return fit(*arguments, prior_mean=mean, prior_variance_share=share, start=first, iterations=iterations // 2)


def _standard(assembled: Assembled, fitted: Fit) -> Fit:
    """The fit on the scale of the reference population, 0 at Golden Delicious."""
    slopes = [
        float(slope)
        for series, slope in zip(assembled.series, fitted.slope, strict=True)
        if series.name.startswith(FIGURES.standard_lists) and not series.levels
    ]
    zero = REFERENCE.cultivar
    origin = fitted.position[assembled.cultivars.index(zero)] if zero in assembled.cultivars else 0.0
    return rescaled(fitted, float(np.mean(slopes)) if slopes else 1.0, float(origin))


def estimates_of(found: Positions, trait: str, least: float) -> dict[tuple[str, str], Estimate]:
    """Positions as estimates of a trait, with no spread below `least`."""
    sources, counts = sources_of(found.assembled), counts_of(found.assembled)
    estimates: dict[tuple[str, str], Estimate] = {}
    for k, cultivar in enumerate(found.assembled.cultivars):
        spread = float(np.sqrt(found.fit.variance[k]))
        if not counts[cultivar] and spread > FIGURES.telling_share * found.fit.spread:
            continue
        estimates[cultivar, trait] = Estimate(
            value=round(float(found.fit.position[k]), 2),
            deviation=round(max(spread, least), 2),
            unit="d",
            basis="published" if counts[cultivar] else "imputed",
            observations=counts[cultivar],
            sources=sources.get(cultivar, ()),
        )
    return estimates


def _lengths(observations: Sequence[Observation]) -> dict[tuple[str, str], Estimate]:
    """Length of bloom: petal fall minus first bloom of one list, and durations as printed, shrunk to the mean."""
    dates: defaultdict[tuple[str, str, str, str], dict[str, Observation]] = defaultdict(dict)
    entries: list[Reading] = []
    series: dict[str, Series] = {}

    def enter(o: Observation, name: str, value: float, extra: float) -> None:
        series[name] = Series(name, "length", o.source_id, (1.0,), slope_sd=LENGTH.slope_deviation)
        entries.append(Reading(o.cultivar_id, name, value, extra, o.source_id, o.place))

    for o in observations:
        if o.trait == "bloom_duration_days" and o.low is not None and o.high is not None:
            enter(o, f"{o.source_id}/{o.list_id}/duration", 0.5 * (o.low + o.high), (o.high - o.low) ** 2 / 12.0)
        elif o.trait in ("first_bloom", "petal_fall") and o.unit == "day_of_year" and o.low is not None:
            dates[o.source_id, o.place, o.years, o.cultivar_id][o.trait] = o
    printed = {(entry.source_id, entry.cultivar_id) for entry in entries}
    for (source_id, place, _, cultivar_id), pair in sorted(dates.items()):
        if len(pair) == 2 and (source_id, cultivar_id) not in printed:
            first, last = pair["first_bloom"], pair["petal_fall"]
            enter(last, f"{source_id}/{place}/dates", float(last.low or 0.0) - float(first.low or 0.0), 0.0)
    if not entries:
        return {}
    assembled = assemble(entries, series, LENGTH.collection_deviation)
    fitted = fit(assembled.readings, assembled.series, _expected_length(), len(assembled.cultivars))
    origin = -float(fitted.coefficients[0])
    return estimates_of(Positions(assembled, rescaled(fitted, 1.0, origin)), "bloom_length_days", LENGTH.least_spread)
