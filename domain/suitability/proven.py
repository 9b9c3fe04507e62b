"""What is proven where climates are alike: how much more often, or less, a cultivar is met there than elsewhere.

No list of traits holds all that decides whether a cultivar does well: fruit drop in heat, restless buds in a mild
winter, leaf diseases nobody rated. That it is grown, recommended or has failed in a climate like this one tells of all
of them. The kernel of a witness is its likeness of climate times its nearness. Twice the votes observed, O, are set
against those expected, E: first in like climates wherever they lie, then near by, where the former ratio stands in
for what is not known:

    ratio = (O + a x prior) / (E + a),    deviation of its logarithm 1 / sqrt(O + a)

Its doubt goes by its own votes alone, and so does who is named. That chill suffices is told by places in like
climates wherever they lie, since it is a matter of climate alone. Without a witness it is 1 and wide. Statements that a
cultivar failed, or is advised against, have a ratio of their own, which only lowers. Of the votes of a cultivar's
sports, and of what it is a sport of, a share counts as its own; what failed of them counts with it where that is the
worse.
"""

import math
from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import Floats
from domain.common.distributions import PERCENTILE_80
from domain.orchard_site.conditions import SiteConditions
from domain.site_climate.climate_figures import FIGURES as CLIMATE
from domain.site_climate.climate_figures import as_array, climate_figures
from domain.site_climate.site_years import brings_no_rest
from domain.suitability import sentences
from domain.suitability.factors import FACTOR_BASES, Factor, Input
from domain.tables.parameters import figures
from domain.tables.words import Sentence
from domain.traits.told_near_by import passed_over
from domain.traits.trait_table import TraitTable
from domain.traits.witnesses import Votes, Witnesses

EARTH_RADIUS_KM = 6371.0

Reals = NDArray[np.float64]

CHILL, YEARLY_MINIMUM = CLIMATE.index("chill_portions"), CLIMATE.index("yearly_minimum_c")
WARMEST, COLDEST = CLIMATE.index("warmest_month_c"), CLIMATE.index("coldest_month_c")


class ProvenFigures(msgspec.Struct, frozen=True):
    """See parameters/suitability.csv, subject proven."""

    warmest_month_scale_c: float
    coldest_month_scale_c: float
    yearly_minimum_scale_c: float
    heat_scale_log: float
    frost_free_scale_days: float
    rain_scale_days: float
    chill_scale_portions: float
    alike_width: float
    alike_votes: float
    alike_trust: float
    near_width: float
    near_km: float
    near_warming_c: float
    near_votes: float
    sports_trust: float
    failure_trust: float
    named_votes: float
    known_from: float
    known_unless_passed_over: float
    chill_votes: float
    no_more_chill: float


FIGURES = figures("suitability", "proven", ProvenFigures)


@dataclass(frozen=True)
class Here:
    """What the witnesses say of every cultivar (c,) at a site.

    log_ratio: logarithm of the ratio, failures counted; deviation: its own. observed, expected, failed: votes near by.
    place: of the votes that it does well the place that counts most, -1 where there is none; failing_place likewise.
    km: (p,) how far the places lie, NaN where nobody told where the site is. with_little_chill: documents in like
    climates, however far, of places that have no more chill, each by the likeness alone.
    """

    log_ratio: Reals
    deviation: Reals
    observed: Reals
    expected: Reals
    failed: Reals
    place: NDArray[np.intp]
    failing_place: NDArray[np.intp]
    km: Reals
    with_little_chill: Reals


def heard(
    witnesses: Witnesses, climate: Reals, latitude: float, longitude: float | None, warming_c: float = 0.0
) -> Here:
    """Hear the witnesses at a site of this climate (7,), as `as_array` gives it.

    warming_c: how much warmer that is than what is there: what grows near by tells little of a climate to come.
    """
    apart = (((witnesses.climates - climate) / _scales()) ** 2).sum(axis=1)
    alike = np.exp(-0.5 * apart / FIGURES.alike_width**2)
    km = distances_km(witnesses.on_earth, latitude, longitude)
    like = np.exp(-0.5 * apart / FIGURES.near_width**2)
    near = like * np.nan_to_num(np.exp(-km / FIGURES.near_km)) * math.exp(-((warming_c / FIGURES.near_warming_c) ** 2))
    prior, _, _ = _ratio(witnesses, witnesses.does_well, alike, 1.0, FIGURES.alike_votes)
    ratio, observed, expected = _ratio(
        witnesses, witnesses.does_well, near, prior**FIGURES.alike_trust, FIGURES.near_votes
    )
    failed, usual = witnesses.fails.near(near)
    worse = _worse(failed, usual)
    worse = np.maximum(worse, _worse(failed + _of_kin(witnesses, failed), usual + _of_kin(witnesses, usual)))
    return Here(
        log_ratio=np.log(ratio) - FIGURES.failure_trust * worse,
        deviation=1.0 / np.sqrt(observed + FIGURES.near_votes),
        observed=observed,
        expected=expected,
        failed=failed,
        place=witnesses.does_well.nearest(near),
        failing_place=witnesses.fails.nearest(near),
        km=km,
        with_little_chill=witnesses.does_well.plainly(like * _tell_of_chill(witnesses.climates, climate)),
    )


def _tell_of_chill(climates: Reals, climate: Reals) -> NDArray[np.bool_]:
    """Which places (p,) tell that the chill of this climate suffices: they have no more, as well as both are known.

    Not those without a winter, where leaves are stripped in its place.
    """
    no_more = climates[:, CHILL] <= FIGURES.no_more_chill * climate[CHILL]
    range_c = climates[:, WARMEST] - climates[:, COLDEST]
    tell: NDArray[np.bool_] = no_more & ~brings_no_rest(range_c, climates[:, YEARLY_MINIMUM])
    return tell


def _ratio(
    witnesses: Witnesses, votes: Votes, kernel: Reals, prior: Reals | float, a: float
) -> tuple[Reals, Reals, Reals]:
    """The shrunk ratio (c,), and the votes observed and expected; of sports and their original a share counts in it.

    Their tree is one tree in all but the skin and the day of its fruit: what it bears and stands is told of both.
    """
    observed, expected = votes.near(kernel)
    ratio: Reals = (observed + _of_kin(witnesses, observed) + a * prior) / (expected + _of_kin(witnesses, expected) + a)
    return ratio, observed, expected


def _of_kin(witnesses: Witnesses, votes: Reals) -> Reals:
    """What the votes (c,) for its sports and its original count for each (c,)."""
    of_all = np.bincount(witnesses.family, votes)[witnesses.family]
    counted: Reals = FIGURES.sports_trust * (of_all - votes)
    return counted


def _worse(failed: Reals, usual: Reals) -> Reals:
    """Logarithm (c,) of how much more often it failed than is usual; 0 where it did not."""
    worse: Reals = np.maximum(np.log((failed + FIGURES.near_votes) / (usual + FIGURES.near_votes)), 0.0)
    return worse


def _scales() -> Reals:
    """The differences (7,) that count as one, in the order of `climate_figures.FIGURES`."""
    return np.array(
        [
            FIGURES.warmest_month_scale_c,
            FIGURES.coldest_month_scale_c,
            FIGURES.yearly_minimum_scale_c,
            FIGURES.heat_scale_log,
            FIGURES.frost_free_scale_days,
            FIGURES.rain_scale_days,
            FIGURES.chill_scale_portions,
        ]
    )


def distances_km(on_earth: Reals, latitude: float, longitude: float | None) -> Reals:
    """Great-circle distances (p,) of places, in radians (p, 2), from a place in degrees; NaN without a longitude."""
    if longitude is None:
        return np.full(len(on_earth), np.nan)
    here = np.radians([latitude, longitude])
    half = np.sin((on_earth - here) / 2.0) ** 2
    chord = half[:, 0] + np.cos(here[0]) * np.cos(on_earth[:, 0]) * half[:, 1]
    km: Reals = 2.0 * EARTH_RADIUS_KM * np.arcsin(np.sqrt(np.clip(chord, 0.0, 1.0)))
    return km


@dataclass(frozen=True, eq=False)
class Proven:
    """What the witnesses say of n cultivars at a site.

    factor: half where one is met as often as expected, more where more often. chill_suffices: (n,) whether it is grown
    in a like climate, wherever it is, with no more chill. passed_over: (n,) how far those who speak of this part of the
    world do not know it, 0 to 1 (`told_near_by.passed_over`). known_here: (n,) whether they know it and it is met there
    clearly more often than elsewhere; nobody is where it is not known how far they are.
    """

    factor: Factor
    chill_suffices: NDArray[np.bool_]
    passed_over: Floats
    known_here: NDArray[np.bool_]


def proven_here(conditions: SiteConditions, traits: TraitTable) -> Proven:
    """What the witnesses say of every cultivar of a table; kept with the years of the site."""
    return conditions.kept_alike.get("proven", traits, lambda: _proven(conditions, traits))


def _heard_here(conditions: SiteConditions, witnesses: Witnesses) -> Here:
    years = conditions.years
    climate = as_array(climate_figures(years, conditions.clock))
    return heard(witnesses, climate, years.latitude, years.longitude, years.warming_c)


def _proven(conditions: SiteConditions, traits: TraitTable) -> Proven:
    here = conditions.kept_alike.get("heard", traits.witnesses, lambda: _heard_here(conditions, traits.witnesses))
    rows = traits.witnessed
    middle, off = here.log_ratio[rows], PERCENTILE_80 * here.deviation[rows]
    silent = (here.place[rows] < 0) & (here.failing_place[rows] < 0)
    basis = np.where(silent, FACTOR_BASES.index("assumed"), FACTOR_BASES.index("computed")).astype(np.int8)

    def counted(name: str, votes: Reals, basis: NDArray[np.int8] = basis) -> Input:
        value = votes[rows].astype(np.float32)
        return Input(name=name, value=value, deviation=np.full_like(value, np.nan), basis=basis)

    # Of the rank alone; told here, since whoever asks why of two equals one stands first looks at what is proven.
    over = counted(
        "passed_over_here",
        passed_over(traits.witnesses, here.km),
        np.full_like(basis, FACTOR_BASES.index("computed")),
    )
    fails = (here.failed[rows] >= FIGURES.named_votes) & (here.log_ratio[rows] < 0.0)
    place = np.where(fails, here.failing_place[rows], here.place[rows])
    place = np.where(fails | (here.observed[rows] >= FIGURES.named_votes), place, -1)
    km = here.km[place] if here.km.size else np.full(place.shape, np.nan)
    told = list(zip(fails.tolist(), place.tolist(), km.tolist(), strict=True))

    def sentence(one: Factor, row: int) -> Sentence:
        failed_there, found, km = told[row]
        named = traits.witnesses.places[found].place if found >= 0 else None
        return sentences.proven(one, row, failed_there, named, km)

    factor: Factor = Factor(
        code="proven_in_like_climates",
        outcome="proven_in_like_climates",
        likely=_share(middle),
        low=_share(middle - off),
        high=_share(middle + off),
        basis=basis,
        inputs=(
            counted("witnesses_here", here.observed),
            counted("witnesses_expected", here.expected),
            counted("failures_here", here.failed),
            over,
        ),
        sentence=sentence,
        alike=lambda one: sentences.by_share(
            one, (sentences.FIGURES.met_often, sentences.FIGURES.met_seldom), (one.high < 0.5).tolist(), told
        ),
        at_best=lambda some: np.ones(some.size, dtype=np.float32),
    )
    known = (factor.likely >= FIGURES.known_from) & (over.value < FIGURES.known_unless_passed_over)
    return Proven(
        factor=factor,
        chill_suffices=np.asarray(here.with_little_chill[rows] >= FIGURES.chill_votes),
        passed_over=over.value,
        known_here=np.asarray(known & (conditions.years.longitude is not None)),
    )


def _share(log_ratio: Reals) -> Floats:
    share: Floats = (1.0 / (1.0 + np.exp(-log_ratio))).astype(np.float32)
    return share
