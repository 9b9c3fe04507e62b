"""How long the fruit keeps, in weeks of ordinary cold store (about 0 to 2 C, moist).

Days are taken as printed; "until March" counts from the first of October, when late apples go into store, of an earlier
one from when it is picked; a cellar keeps about four fifths as long as a cold store and a fruit room of the nineteenth
century two thirds (common practice, no source). A catalogue of that time that prints one month of late autumn or winter
gives the month in which use begins, not its end; where it has a cultivar twice, the later month is its end. No apple
keeps longer than `storage_weeks_most` in ordinary cold store.
"""

import functools
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

import msgspec

from domain.adoption.reading import READING, Row, marked, table
from domain.adoption.timing_lists import MONTHS
from domain.adoption.voices import FIGURES as VOICES
from domain.adoption.voices import alone, spread_factor
from domain.adoption.weighing import Read, basis_of, by_cultivar, by_document, estimate, middle, pooled
from domain.tables.cultivars import Estimate
from domain.tables.observations import Observation
from domain.tables.parameters import figures

DAYS_A_MONTH = 365.25 / 12.0
WEEKS_A_MONTH = DAYS_A_MONTH / 7.0
_IN_A_WEEK = {"days": 7.0, "weeks": 1.0, "months": 1.0 / WEEKS_A_MONTH}
"""Unit of a printed length of keeping -> how many of it are a week."""


class StorageFigures(msgspec.Struct, frozen=True):
    """How storage as published becomes weeks in a cold store, and its errors."""

    store_from_month: float
    cellar_factor: float
    fruit_room_factor: float
    months_in_store_most: float
    months_in_store_least: float
    fruit_room_weeks_most: float
    summer_apple_weeks: float
    low_share_of_last_month: float
    high_of_open_range: float
    low_of_single_figure: float
    storage_least_spread_weeks: float
    storage_relative_spread: float
    months_in_use_factor: float
    storage_floor_weeks: float
    storage_weeks_most: float


FIGURES = figures("adoption", "storage_life", StorageFigures)


class StorageWord(Row, frozen=True, kw_only=True):
    """A word of keeping as weeks in a cold store; silent without them."""

    published: str
    low_weeks: float | None = None
    high_weeks: float | None = None


@functools.cache
def _storage_words(directory: Path = READING) -> dict[str, tuple[float, float] | None]:
    """(low, high) weeks of every word, None for the silent ones."""
    return {
        one.published: None if one.low_weeks is None or one.high_weeks is None else (one.low_weeks, one.high_weeks)
        for one in table("storage_words", StorageWord, ("published",), directory)
    }


def store_month(ripening_offset: float | None) -> float:
    """The month (10.0 the first of October) in which a fruit goes into store: October, or when it is picked before.

    The reference cultivar is picked at the beginning of October where the texts that print months come from.
    """
    if ripening_offset is None:
        return FIGURES.store_from_month
    return FIGURES.store_from_month + min(0.0, ripening_offset / DAYS_A_MONTH)


def _months_after_store(month: float, start: float) -> float:
    """Months from the day of storing to the middle of a month; one that ends before that day is of the next year."""
    ends = (month + 1.0 - start) % 12.0 or 12.0
    return max(ends - 0.5, FIGURES.months_in_store_least)


def keeping_weeks(observation: Observation, start: float | None = None) -> tuple[float, float] | None:
    """(low, high) weeks in a cold store that an observation of storage life means, None for words without length.

    start: the month in which the fruit goes into store, as `store_month` gives it; October if left out.
    """
    start = FIGURES.store_from_month if start is None else start
    text = observation.published.lower()
    if marked(observation, "controlled_atmosphere"):
        return None
    if observation.unit in _IN_A_WEEK and (observation.low is not None or observation.high is not None):
        units = _IN_A_WEEK[observation.unit]
        low = observation.low if observation.low else observation.high or 0.0
        high = observation.high if observation.high is not None else low * FIGURES.high_of_open_range
        return low / units * (FIGURES.low_of_single_figure if low == high else 1.0), high / units
    if observation.unit == "month" and observation.high is not None:
        return _fruit_room(observation.high, start)
    words = _storage_words()
    if text in words:
        return words[text]
    named = [float(index + 1) for index, month in enumerate(MONTHS) if month in text.replace("christmas", "december")]
    if not named or text.startswith("similar"):
        return None
    months = max(_months_after_store(month, start) for month in named)
    if months > FIGURES.months_in_store_most:
        return None
    cold = marked(observation, "cold_store") or " c" in text[-5:]
    store = 1.0 if cold else FIGURES.cellar_factor
    weeks = months * WEEKS_A_MONTH * store
    return FIGURES.low_share_of_last_month * weeks, weeks


def _fruit_room(month: float, start: float) -> tuple[float, float]:
    """Weeks from the last month in which a catalogue of 1851 has the fruit in use: summer apples keep a few weeks."""
    in_year = (month - 1.0) % 12.0 + 1.0
    if in_year in (8.0, 9.0):
        return 0.5 * FIGURES.summer_apple_weeks, FIGURES.summer_apple_weeks * (1.0 + (in_year - 8.0))
    weeks = _months_after_store(in_year, start) * WEEKS_A_MONTH * FIGURES.fruit_room_factor
    weeks = min(weeks, FIGURES.fruit_room_weeks_most)
    return FIGURES.low_share_of_last_month * weeks, weeks


def _ends_of_use(told: Sequence[Observation]) -> list[Observation]:
    """The observations of storage life, of each old catalogue the last month alone, and none that begins the use."""
    months = [one for one in told if one.trait == "months_in_use" and one.low is not None and one.high is not None]
    begun = {(one.source_id, (one.low - 1.0) % 12.0) for one in months if one.low == one.high and one.low is not None}
    ended = {(one.source_id, (one.high - 1.0) % 12.0) for one in months if one.low != one.high and one.high is not None}
    kept: dict[str, Observation] = {}
    for one in told:
        if one.trait != "storage_life" or one.unit != "month" or one.high is None:
            continue
        key = (one.source_id, (one.high - 1.0) % 12.0)
        if key in begun - ended and key[1] not in _SUMMER:
            continue
        other = kept.get(one.source_id)
        if other is None or _after_summer(one.high) > _after_summer(other.high or 0.0):
            kept[one.source_id] = one
    return [one for one in told if one.trait == "storage_life" and (one.unit != "month" or one in kept.values())]


_SUMMER = (6.0, 7.0, 8.0)
"""July, August and September, counted from January as 0: a summer apple is picked and eaten in one month."""


def _after_summer(month: float) -> float:
    """Months from July to a month."""
    return (month - 7.0) % 12.0


def _at_most(weeks: tuple[float, float]) -> tuple[float, float]:
    most = FIGURES.storage_weeks_most
    return min(weeks[0], FIGURES.low_of_single_figure * most), min(weeks[1], most)


def _weeks_error(weeks: float, observation: Observation) -> float:
    """Error of a text; by its own figure, not by the mean `weeks` of all texts, the shortest keeping would rule."""
    factor = FIGURES.months_in_use_factor if observation.unit == "month" else 1.0
    return max(FIGURES.storage_least_spread_weeks, FIGURES.storage_relative_spread * weeks) * factor


def storage_readings(
    observations: Iterable[Observation], ripening: Mapping[str, float] | None = None
) -> dict[tuple[str, str], list[Read]]:
    """(cultivar, ``storage_weeks_low`` or ``..._high``) -> what each document says, weeks in cold store.

    ripening: cultivar -> adopted days of picking after the reference cultivar; who is not in it is stored in October.
    """
    found: dict[tuple[str, str], list[Read]] = {}
    for cultivar_id, every in by_cultivar(observations, frozenset({"storage_life", "months_in_use"})).items():
        told = _ends_of_use(every)
        start = store_month((ripening or {}).get(cultivar_id))
        ranges = [(_at_most(weeks), one) for one in told if (weeks := keeping_weeks(one, start)) is not None]
        for name, end in (("storage_weeks_low", 0), ("storage_weeks_high", 1)):
            if ranges:
                usual = sum(weeks[end] for weeks, _ in ranges) / len(ranges)
                found[cultivar_id, name] = by_document(
                    [
                        (weeks[end], _weeks_error(usual, one) * spread_factor(name, one.source_id), one)
                        for weeks, one in ranges
                    ]
                )
    return found


def keeping(read: Sequence[Read]) -> Estimate:
    """The weeks in the middle of what documents give, weighed; wide where weak voices alone do.

    Of three texts and more one at times means another store, or the keeping of another apple: a mean follows it.
    """
    values, errors = [v for v, _, _ in read], [e for _, e, _ in read]
    value, (_, spread) = middle(values, errors), pooled(values, errors, FIGURES.storage_floor_weeks)
    used = [one for _, _, one in read]
    spread *= VOICES.alone_spread_factor if alone(one.source_id for one in used) else 1.0
    return estimate(value, spread, "weeks", used, basis_of(o.source_id for o in used))


def storage(
    observations: Iterable[Observation], ripening: Mapping[str, float] | None = None
) -> dict[tuple[str, str], Estimate]:
    """(cultivar, ``storage_weeks_low`` and ``..._high``) -> weeks in cold store."""
    return {key: keeping(read) for key, read in storage_readings(observations, ripening).items()}
