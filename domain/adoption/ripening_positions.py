"""Adopted ripening: position of picking among cultivars.

Scale of `ripening_offset_days`: days after Golden Delicious on the average dated list of a temperate place (about 35 to
50 degrees of latitude, a season long enough for the latest). Lists of cool places with a short season pack ripening
closer; each list has a slope of its own. Days from bloom, offsets from a reference cultivar and season classes are read
on the same axis, each with the error that its agreement with the dates shows.
"""

from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from domain.adoption.bloom_positions import REFERENCE, estimates_of
from domain.adoption.mixed_model import ITERATIONS, Expectations, Fit, Series, fit, rescaled
from domain.adoption.timing_lists import (
    Assembled,
    Positions,
    Reading,
    assemble,
    day,
    level,
    place_covariates,
    scheme_levels,
)
from domain.tables.cultivars import Estimate
from domain.tables.observations import Observation

_DATE_SHIFT = {
    "harvest_start": 5.0,
    "harvest_mid": 0.0,
    "harvest_window": 0.0,
    "maturity_window": 0.0,
    "harvest_end": -5.0,
}
"""Days from the printed event to mid-picking (common practice, no source: a cultivar is picked over about ten days)."""

_SUPERSEDED = {"ca-ns-kentville-2016": "ca-ns-kentville-2017"}
"""A list that weighs little where the other has the cultivar: the same trees, in a year cut off too early."""

_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
_SUPERSEDED_SHARE = 0.3
_LEAST_SPREAD_DAYS = 3.0
_COLLECTION_SD = 9.0
_SLOPE_SD = 0.12
_USUAL_LATITUDE = 42.0
# Coefficients of the shift: the date at 45 degrees, days a degree further from the equator, Europe, days from bloom.
_EXPECTED = Expectations(
    spread=22.0,
    residual={"dates": 6.0, "days": 7.0, "offset": 7.0, "class": 12.0},
    shift_sd={"dates": 10.0, "days": 12.0, "offset": 80.0, "class": 1.0},
    coefficient_mean=(258.0, 2.0, 0.0, 140.0),
    coefficient_sd=(10.0, 1.0, 8.0, 12.0),
    shift_learnt=frozenset({"dates", "days"}),
)


def adopt(observations: Sequence[Observation]) -> dict[tuple[str, str], Estimate]:
    """Adopted ripening_offset_days of every cultivar that the observations speak of.

    observations: of the topic ripening (others are passed over). Months in use are passed over too (a fruit in use from
    December was picked in October), and so are parents: neither lowers the error of documents left out.
    """
    return estimates_of(positions(observations), "ripening_offset_days", _LEAST_SPREAD_DAYS)


def positions(observations: Sequence[Observation], iterations: int = ITERATIONS) -> Positions:
    """Positions of picking on the temperate dated scale, 0 = Golden Delicious."""
    entries, series = readings_of(observations)
    assembled = assemble(entries, series, _COLLECTION_SD)
    count = len(assembled.cultivars)
    fitted = fit(assembled.readings, assembled.series, _EXPECTED, count, iterations=iterations)
    return Positions(assembled, _standard(assembled, fitted))


def readings_of(observations: Sequence[Observation]) -> tuple[list[Reading], dict[str, Series]]:
    """The readings of position in ripening observations, and the lists they stand in."""
    lists: defaultdict[tuple[str, str], list[Observation]] = defaultdict(list)
    present = {(o.cultivar_id, o.list_id) for o in observations}
    for o in observations:
        kind = _kind(o)
        if kind:
            list_id = o.list_id or f"{o.source_id}:{o.note}"
            lists[list_id, o.unit if kind == "offset" else kind].append(o)
    entries: list[Reading] = []
    series: dict[str, Series] = {}
    for (list_id, what), listed in sorted(lists.items()):
        first, kind = listed[0], _kind(listed[0])
        name = f"{list_id}/{what}"
        levels = scheme_levels(listed) if kind == "class" else ()
        if kind == "class" and len(levels) < 2:
            continue
        place = place_covariates(first, _USUAL_LATITUDE)
        series[name] = Series(
            name=name,
            kind=kind,
            group=name,
            covariates=(1.0, *place, 0.0) if kind == "dates" else (0.0, 0.0, 0.0, float(kind == "days")),
            slope_covariates=(place[0] / 10.0, place[1]) if kind in ("dates", "days") else (0.0, 0.0),
            slope=0.8 if kind == "days" else 1.0,
            slope_sd=_SLOPE_SD,
            levels=len(levels),
        )
        for o in listed:
            read = _value(o, kind, levels)
            if read:
                repeated = list_id in _SUPERSEDED and (o.cultivar_id, _SUPERSEDED[list_id]) in present
                share = _SUPERSEDED_SHARE if repeated else 1.0
                entries.append(Reading(o.cultivar_id, name, read[0], read[1], o.source_id, o.place or list_id, share))
        if kind == "offset":
            reference = first.unit.removeprefix("days after ")
            entries.append(Reading(reference, name, 0.0, 0.0, first.source_id, "reference", share=4.0, implied=True))
    return entries, series


def _kind(o: Observation) -> str:
    """Kind of list that an observation belongs to, blank for what says nothing of picking."""
    if o.trait in _DATE_SHIFT and o.low is not None:
        return "dates"
    if o.trait == "ripening_class":
        return "dates" if _month_window(o.published) else "class"
    if o.trait == "days_from_full_bloom" and o.low is not None:
        return "days"
    if o.trait == "days_from_reference" and o.unit.startswith("days after ") and " at " not in o.unit:
        return "offset"
    return ""


def _value(o: Observation, kind: str, levels: tuple[str, ...]) -> tuple[float, float] | None:
    if kind == "class":
        index = level(o.published, levels)
        return None if index is None else (index, 0.0)
    if kind == "dates":
        months = _month_window(o.published) if o.trait == "ripening_class" else None
        if months:
            return 0.5 * (months[0] + months[1]), (months[1] - months[0]) ** 2 / 12.0
        dated = day(o)
        return dated and (dated[0] + _DATE_SHIFT[o.trait], dated[1])
    if o.low is None or o.high is None:
        return None
    return 0.5 * (o.low + o.high), (o.high - o.low) ** 2 / 12.0


def _month_window(published: str) -> tuple[float, float] | None:
    """First and last day of year of months printed as words or numbers (`August`, `07..08`), else None."""
    parts = [part.strip().lower() for part in published.split("..")]
    numbers = [_MONTHS.index(p) + 1 if p in _MONTHS else int(p) if len(p) == 2 and p.isdigit() else 0 for p in parts]
    if not all(1 <= number <= 12 for number in numbers):
        return None
    return (numbers[0] - 1) * 30.4 + 1.0, numbers[-1] * 30.4


def _standard(assembled: Assembled, fitted: Fit) -> Fit:
    """The fit at slope 1 of the dated lists (each weighed by its values, at most ten), 0 at Golden Delicious."""
    n = np.bincount(assembled.readings.series, minlength=len(assembled.series))
    rows = [k for k, s in enumerate(assembled.series) if s.kind == "dates" and 1 < n[k] < 50]
    factor = float(np.average(fitted.slope[rows], weights=np.minimum(n[rows], 10))) if rows else 1.0
    origin = fitted.position[assembled.cultivars.index(REFERENCE)] if REFERENCE in assembled.cultivars else 0.0
    return rescaled(fitted, factor, float(origin))
