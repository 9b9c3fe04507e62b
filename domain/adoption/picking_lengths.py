"""Adopted length of picking: days from the first picking of a cultivar to its last.

Read from published windows, and from first and last days of one list. What a window means differs from document to
document (a year's picking, or the years' span; thirds of a month), so each has a shift of its own about the usual
length, and what is told of a cultivar is how far it lies from the others of its documents. Windows longer than
`longest` days tell of storage, sale or several regions, and are left out.
"""

from collections import defaultdict
from collections.abc import Sequence

import msgspec

from domain.adoption.bloom_positions import estimates_of
from domain.adoption.mixed_model import Expectations, Series, rescaled
from domain.adoption.mixed_model_fit import fit
from domain.adoption.timing_lists import Positions, Reading, assemble
from domain.tables.cultivars import Estimate
from domain.tables.observations import Observation
from domain.tables.parameters import figures

TRAIT = "picking_days"
_WINDOWS = ("harvest_window", "maturity_window")
_ENDS = ("harvest_start", "harvest_end")


class PickingFigures(msgspec.Struct, frozen=True):
    """What is expected of picking before any list is read, days."""

    length: float
    length_deviation: float
    spread: float
    least_spread: float
    residual: float
    shift: float
    slope_deviation: float
    collection_deviation: float
    longest: float
    fewest_windows: int


FIGURES = figures("adoption", "picking_lengths", PickingFigures)


def adopt(observations: Sequence[Observation]) -> dict[tuple[str, str], Estimate]:
    """Adopted picking_days of the cultivars of which enough windows are published; of the topic ripening."""
    entries, series = _readings(observations)
    if not entries:
        return {}
    assembled = assemble(entries, series, FIGURES.collection_deviation)
    expected = Expectations(
        spread=FIGURES.spread,
        residual={"window": FIGURES.residual},
        shift_sd={"window": FIGURES.shift},
        coefficient_mean=(FIGURES.length,),
        coefficient_sd=(FIGURES.length_deviation,),
        shift_learnt=frozenset({"window"}),
    )
    fitted = fit(assembled.readings, assembled.series, expected, len(assembled.cultivars))
    placed = Positions(assembled, rescaled(fitted, 1.0, -FIGURES.length))
    found = estimates_of(placed, TRAIT, FIGURES.least_spread)
    return {key: one for key, one in found.items() if one.observations >= FIGURES.fewest_windows}


def _readings(observations: Sequence[Observation]) -> tuple[list[Reading], dict[str, Series]]:
    entries: list[Reading] = []
    series: dict[str, Series] = {}
    ends: defaultdict[tuple[str, str, str, str], dict[str, Observation]] = defaultdict(dict)

    def enter(o: Observation, days: float) -> None:
        if 0.0 < days <= FIGURES.longest:
            name = o.source_id
            series[name] = Series(name, "window", name, (1.0,), slope_sd=FIGURES.slope_deviation)
            entries.append(Reading(o.cultivar_id, name, days, 0.0, o.source_id, o.place))

    for o in observations:
        if o.unit != "day_of_year" or o.low is None or o.high is None:
            continue
        if o.trait in _WINDOWS:
            enter(o, o.high - o.low)
        elif o.trait in _ENDS:
            ends[o.source_id, o.list_id, o.years, o.cultivar_id][o.trait] = o
    for pair in ends.values():
        if len(pair) == len(_ENDS):
            first, last = (pair[trait] for trait in _ENDS)
            enter(last, float(last.low or 0.0) - float(first.low or 0.0))
    return entries, series
