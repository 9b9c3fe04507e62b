"""Observations of bloom and ripening as readings of lists: what the mixed model is given.

Rules that both adoptions share: windows count by their middle, with their width as error; southern dates are moved half
a year; the classes of a scheme are ordered by the scheme's own words; values that one document gives several times of
one cultivar at one place repeat each other in part; a pile of values at the first or last day of a long list means
that the season was cut off there.
"""

import functools
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import msgspec
import numpy as np

from domain.adoption.mixed_model import Fit, Readings, Series
from domain.adoption.ordered_classes import Floats
from domain.adoption.reading import Row, table
from domain.tables.observations import Observation
from domain.tables.parameters import figures

HALF_YEAR_DAYS = 183.0
MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip


class ListFigures(msgspec.Struct, frozen=True):
    """How values of a document repeat each other, when a season counts as cut off, and the box of maritime Europe."""

    repeat_correlation: float
    sport_correlation: float
    long_list: int
    pile_share: float
    pile_days: float
    fewest_names: int
    europe_south: float
    europe_west: float
    europe_east: float


FIGURES = figures("adoption", "timing_lists", ListFigures)


class SeasonWord(Row, frozen=True, kw_only=True):
    """A word of season and its place in the order; silent without one."""

    published: str
    position: int | None = None


@functools.cache
def season_words() -> tuple[str, ...]:
    """Season words from first to last, for schemes that do not print their own order."""
    placed = [one for one in table("season_words", SeasonWord, ("published",)) if one.position is not None]
    return tuple(one.published for one in sorted(placed, key=lambda one: one.position or 0))


@dataclass(frozen=True)
class Reading:
    """One value of one cultivar in one list, before names become indices; fields as in `Readings`."""

    cultivar_id: str
    series: str
    value: float
    extra_variance: float
    source_id: str
    repeat_key: str
    share: float = 1.0
    censored: int = 0
    implied: bool = False


@dataclass(frozen=True)
class Assembled:
    """Readings with their index of cultivars and series."""

    cultivars: tuple[str, ...]
    series: tuple[Series, ...]
    entries: tuple[Reading, ...]
    readings: Readings


def assemble(
    entries: Sequence[Reading], series: dict[str, Series], collection_sd: float, also: Iterable[str] = ()
) -> Assembled:
    """Number the cultivars and series (in sorted order), share repeats, mark the ends of cut seasons.

    collection_sd: error added to each value of a long list, which is a collection of single trees: some stand under a
    wrong name, and the collections share accessions, so that their agreement with each other says less than it seems.
    also: cultivars to be given a position although nothing is read of them.
    """
    entries = [entry for entry in entries if entry.series in series]
    cultivars = tuple(sorted({entry.cultivar_id for entry in entries} | set(also)))
    names = tuple(sorted(series))
    cultivar_index = {name: k for k, name in enumerate(cultivars)}
    series_index = {name: k for k, name in enumerate(names)}
    repeats = Counter((entry.cultivar_id, entry.source_id, entry.repeat_key) for entry in entries)
    shares = [
        entry.share
        / (1.0 + FIGURES.repeat_correlation * (repeats[entry.cultivar_id, entry.source_id, entry.repeat_key] - 1))
        for entry in entries
    ]
    ends = _cut_ends(entries, series)
    length = Counter(entry.series for entry in entries)
    collection = [collection_sd**2 if length[entry.series] >= FIGURES.long_list else 0.0 for entry in entries]
    readings = Readings(
        cultivar=np.array([cultivar_index[entry.cultivar_id] for entry in entries], dtype=np.int64),
        series=np.array([series_index[entry.series] for entry in entries], dtype=np.int64),
        value=np.array([entry.value for entry in entries]),
        extra_variance=np.array([entry.extra_variance for entry in entries]) + np.array(collection),
        share=np.array(shares),
        censored=np.array([entry.censored or _side(entry.value, ends.get(entry.series)) for entry in entries]),
    )
    return Assembled(cultivars, tuple(series[name] for name in names), tuple(entries), readings)


def _cut_ends(entries: Sequence[Reading], series: dict[str, Series]) -> dict[str, tuple[float, float]]:
    values: defaultdict[str, list[float]] = defaultdict(list)
    for entry in entries:
        if not series[entry.series].levels:
            values[entry.series].append(entry.value)
    ends: dict[str, tuple[float, float]] = {}
    for name, listed in values.items():
        if len(listed) >= FIGURES.long_list:
            array = np.array(listed)
            first, last = array.min() + FIGURES.pile_days, array.max() - FIGURES.pile_days
            ends[name] = (
                float(first) if np.mean(array <= first) >= FIGURES.pile_share else -np.inf,
                float(last) if np.mean(array >= last) >= FIGURES.pile_share else np.inf,
            )
    return ends


def _side(value: float, ends: tuple[float, float] | None) -> int:
    if ends is None:
        return 0
    return 1 if value >= ends[1] else -1 if value <= ends[0] else 0


def place_covariates(observation: Observation, unknown_latitude: float) -> tuple[float, float]:
    """(latitude - 45, 1 in Europe west of 30 E where the sea tempers the year) of the place of a list."""
    latitude, longitude = observation.latitude, observation.longitude
    europe = (
        latitude is not None
        and longitude is not None
        and latitude > FIGURES.europe_south
        and FIGURES.europe_west < longitude < FIGURES.europe_east
    )
    return (abs(latitude) if latitude is not None else unknown_latitude) - 45.0, float(europe)


def day(observation: Observation) -> tuple[float, float] | None:
    """(day of year, variance of it) of a date or window; southern dates moved by half a year; None without a date."""
    low, high = observation.low, observation.high
    if low is None or high is None:
        return None
    return middle_of(low, high, observation.latitude)


def middle_of(low: float, high: float, latitude: float | None) -> tuple[float, float]:
    """(day of year, variance of it) of a window of days; moved by half a year where the place lies in the south."""
    middle = 0.5 * (low + high)
    if latitude is not None and latitude < 0:
        middle = middle - HALF_YEAR_DAYS if middle > HALF_YEAR_DAYS else middle + 365.0 - HALF_YEAR_DAYS
    return middle, (high - low) ** 2 / 12.0


def scheme_levels(observations: Sequence[Observation]) -> tuple[str, ...]:
    """Classes of one scheme, first to last: as the scheme prints them (`a < b`, `a | b`), else by their words."""
    printed = {part for o in observations for part in printed_range(o.published)}
    scheme = observations[0].scheme.lower()
    if all(part.isdigit() for part in printed):
        numbered = re.match(r"(\d+) \(?earliest\)? to (\d+)", scheme)
        top = int(numbered[2]) if numbered else max(int(part) for part in printed)
        return tuple(str(number) for number in range(1, top + 1))
    for separator in ("<", "|"):
        if separator in scheme:
            words = [re.sub(r"\(.*|,.*| season.*", "", part).strip() for part in scheme.split(separator)]
            if printed <= set(words):
                return tuple(words)
    return tuple(word for word in season_words() if word in printed)


def middle_of_few(listed: Sequence[Observation], levels: Sequence[str], value: float) -> bool:
    """Whether a class says nothing: a middle one of a list of too few names to place its scheme among the others."""
    few = bool(levels) and len({o.cultivar_id for o in listed}) < FIGURES.fewest_names
    return few and 0.0 < value < len(levels) - 1.0


def level(published: str, levels: tuple[str, ...]) -> float | None:
    """Index of a class, the middle one of a range of classes; None if the scheme does not hold it."""
    indices = [levels.index(part) for part in printed_range(published) if part in levels]
    return float(round(float(np.mean(indices)))) if indices else None


def printed_range(published: str) -> list[str]:
    """Both ends of a printed range of classes (`early..mid`), one class alone where it is none."""
    return [part.strip().lower() for part in published.split("..")]


def sources_of(assembled: Assembled) -> dict[str, tuple[str, ...]]:
    """Documents behind each cultivar's position, those with most values first, at most 12."""
    by_cultivar: defaultdict[str, Counter[str]] = defaultdict(Counter)
    for entry in assembled.entries:
        if not entry.implied:
            by_cultivar[entry.cultivar_id][entry.source_id] += 1
    return {
        cultivar: tuple(name for name, _ in sorted(count.items(), key=lambda item: (-item[1], item[0]))[:12])
        for cultivar, count in by_cultivar.items()
    }


def counts_of(assembled: Assembled) -> Counter[str]:
    """Number of values read of each cultivar."""
    return Counter(entry.cultivar_id for entry in assembled.entries if not entry.implied)


@dataclass(frozen=True)
class Positions:
    """Fitted positions by cultivar id, 0 at the reference cultivar, with the lists they came from."""

    assembled: Assembled
    fit: Fit

    def of(self, cultivar_id: str) -> tuple[float, float] | None:
        """(position, standard deviation), None if nothing was read of the cultivar."""
        index = np.searchsorted(self.assembled.cultivars, cultivar_id)
        if index == len(self.assembled.cultivars) or self.assembled.cultivars[index] != cultivar_id:
            return None
        return float(self.fit.position[index]), float(np.sqrt(self.fit.variance[index]))


def relatives_prior(
    cultivars: tuple[str, ...], first: Fit, parents: Mapping[str, tuple[str, ...]], heritability: float
) -> tuple[Floats, Floats]:
    """(prior mean, share of the population's variance left) of each cultivar, from the positions of its parents.

    Each of two parents tells half the heritability of its own deviation; a cultivar with one parent is its sport and
    keeps `sport_correlation` of it. A parent's fitted value is shrunk already: its certainty is
    1 - variance / spread^2. Parents of blank or unread names tell nothing.
    """
    index = {name: k for k, name in enumerate(cultivars)}
    certainty = np.clip(1.0 - first.variance / first.spread**2, 0.0, 1.0)
    mean, share = np.zeros(len(cultivars)), np.ones(len(cultivars))
    for k, name in enumerate(cultivars):
        named = parents.get(name, ())
        known = [index[parent] for parent in named if parent in index]
        if known:
            told = FIGURES.sport_correlation if len(named) == 1 else heritability / len(named)
            mean[k] = told * first.position[known].sum()
            share[k] = 1.0 - told**2 * float(certainty[known].sum())
    return mean, share


def sports_prior(
    cultivars: tuple[str, ...], first: Fit, sport_of: Mapping[str, str], deviation: float, share: float
) -> tuple[Floats, Floats]:
    """(prior mean, share of the population's variance) of each cultivar, of a sport by the tree that it came from.

    A sport of colour or growth keeps the days of its tree, an early one does not. Of the two that is taken which the
    first fit makes likelier: `share` of the sports lie `deviation` (days) about their tree, the others anywhere.
    """
    index = {name: k for k, name in enumerate(cultivars)}
    mean, kept = np.zeros(len(cultivars)), np.ones(len(cultivars))
    anywhere = first.spread**2
    for k, name in enumerate(cultivars):
        parent = index.get(sport_of.get(name, ""))
        told = 1.0 / first.variance[k] - 1.0 / anywhere  # what is read of it alone, without the population's prior
        if parent is None or told <= 0.0:
            continue
        apart = first.position[k] / (first.variance[k] * told) - first.position[parent]
        near = deviation**2 + first.variance[parent]
        of_tree, of_its_own = near + 1.0 / told, anywhere + first.variance[parent] + 1.0 / told
        odds = share / (1.0 - share) * np.sqrt(of_its_own / of_tree)
        if odds * np.exp(0.5 * apart**2 * (1.0 / of_its_own - 1.0 / of_tree)) > 1.0:
            mean[k], kept[k] = first.position[parent], near / anywhere
    return mean, kept
