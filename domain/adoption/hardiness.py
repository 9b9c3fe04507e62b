"""Winter hardiness of every cultivar, C: the mean yearly minimum of the coldest country where the tree stands well.

A tree of a zone outlives that zone's ordinary winters, whose single coldest nights go several degrees under the mean
minimum; injury begins below the figure, not at it. Zones are read as the lower limit of the zone (USDA: zone n begins
at (10 n - 70) F, a half zone 5 F above it; United States Department of Agriculture plant hardiness zone map, as in the
method notes on zones); Canadian zones weigh summers and snow too and read about one zone lower in the prairies, so
their n stands at the limit of USDA zone n + 1 (common practice, no source). Words are read scheme by scheme
(``fruits/apple/reading/hardiness_*.csv``): "hardy" in England of 1851 is said of wind and canker as much as of frost.
A word of a country with mild winters (Britain, Germany, France, Switzerland, Austria, the Low Countries, Denmark) says
that the tree stands those, or that it does not: weak evidence, and none of more cold than such winters bring. A weak
voice (`voices`) has a wide error. Lists of who died in one winter are set by that winter. Who is picked at a cold place
stands its winters: a limit at the mean yearly minimum of that place (``fruits/apple/reading/hardiness_places.csv``),
once for each place. The prior is that of the adaptation group; alone it is `imputed`.
"""

import re
from collections.abc import Iterable, Mapping

import msgspec
import numpy as np

from domain.adoption.adaptation import GROUPS
from domain.adoption.reading import (
    Row,
    Scheme,
    hardiness_schemes,
    lowered,
    marked,
    scheme_of,
    shared_errors,
    table,
)
from domain.adoption.voices import weak_voices
from domain.adoption.weighing import Bound, Reading, basis_of, by_cultivar, estimate, settle
from domain.tables.cultivars import Estimate
from domain.tables.observations import Observation
from domain.tables.parameters import figures

TRAIT = "hardiness_c"
GRID = np.arange(-50.0, -5.0, 0.25)
TRAITS = frozenset({"hardiness", "hardiness_zone"})
PICKED = frozenset({"harvest_start", "harvest_mid", "harvest_window"})
"""Traits that say, with a place, that a tree stands and bears there."""


class HardinessFigures(msgspec.Struct, frozen=True):
    """Zones and frosts as mean yearly minima, C, and their errors."""

    zone_spread_c: float
    canadian_zone_spread_c: float
    canadian_zones_below_usda: float
    unhurt_to_mean_minimum_c: float
    frost_spread_c: float
    stands_spread_c: float
    hardier_kin_c: float


FIGURES = figures("adoption", "hardiness", HardinessFigures)

CANADIAN_ZONE_WORDS = re.compile(r"hardy to Canadian zone (?P<zone>\d)(?P<half>[ab]?)")
"""A Canadian zone printed in words; "if protected" is not said of it often enough to count apart."""


def usda_zone_c(zone: float) -> float:
    """Lower limit of a USDA zone (4.5 is 4b) in C: (10 zone - 70) F."""
    return (10.0 * zone - 70.0 - 32.0) / 1.8


def canadian_zone_c(zone: float) -> float:
    """Mean yearly minimum where a Canadian zone begins, C: that of a USDA zone of a higher number."""
    return usda_zone_c(zone + FIGURES.canadian_zones_below_usda)


MILD = "words of mild winters"


def scheme(observation: Observation) -> Scheme:
    """The scale of an observation's words: that of mild winters for texts of such countries, else by its scheme."""
    schemes = hardiness_schemes()
    text = observation.scheme
    told_by_place = scheme_of(text, schemes)
    if told_by_place.kind in ("words", "mild words") and marked(observation, "mild_winters"):
        return next(one for _, one in schemes if one.name == MILD)
    return told_by_place


def signs(observation: Observation) -> Reading | Bound | None:
    """What one observation says of hardiness in C, None for words that no scheme has."""
    words = scheme(observation)
    if observation.trait == "hardiness_zone" and words.kind != "zone":
        if observation.low is None:
            return None
        canadian = marked(observation, "canadian_zone")
        error = FIGURES.canadian_zone_spread_c if canadian else FIGURES.zone_spread_c
        value = canadian_zone_c(observation.low) if canadian else usda_zone_c(observation.low)
        return Reading(value, error, _voiced("zone", observation), observation.source_id)
    if observation.unit == "C" and observation.low is not None and observation.high is not None:
        middle = (observation.low + observation.high) / 2.0
        value = middle + FIGURES.unhurt_to_mean_minimum_c
        return Reading(value, FIGURES.frost_spread_c, "frost", observation.source_id)
    told = CANADIAN_ZONE_WORDS.search(observation.published)
    if told:
        zone = float(told["zone"]) + (0.5 if told["half"] == "b" else 0.0)
        kind = _voiced("zone", observation)
        return Reading(canadian_zone_c(zone), FIGURES.canadian_zone_spread_c, kind, observation.source_id)
    number = words.number(observation.published)
    if number is None:
        return None
    if lowered(observation.published) in words.limits:
        return Bound(*number, upper=True, region=words.name, source_id=observation.source_id)
    return Reading(*number, _voiced(words.kind, observation), observation.source_id)


class HardinessPlace(Row, frozen=True, kw_only=True):
    """Words of a cold place and its mean yearly minimum, C."""

    place: str
    mean_annual_minimum_c: float


def stands_at(observation: Observation) -> Bound | None:
    """What picking at a cold place says: as hardy as its mean yearly minimum or hardier; None of a milder place."""
    place = observation.place.lower()
    for one in table("hardiness_places", HardinessPlace, ("place",)):
        if one.place in place:
            at = one.mean_annual_minimum_c
            return Bound(at, FIGURES.stands_spread_c, upper=True, region=one.place, source_id=observation.source_id)
    return None


def _voiced(kind: str, observation: Observation) -> str:
    """The kind of a reading, that of a weak voice apart: such readings share a wider error."""
    weak = observation.source_id in weak_voices() and kind in ("zone", "words", "mild words")
    return f"weak {kind}" if weak else kind


def _of_mild_winters(sign: Reading | Bound, usual_c: float) -> Reading | Bound:
    """A word of a mild country as a weak value of its own: without the group's hardier winters none has shown more."""
    if isinstance(sign, Reading) or sign.region != MILD or usual_c < sign.at - FIGURES.hardier_kin_c:
        return sign
    return Reading(sign.at, sign.error, "mild words", sign.source_id)


def adopt(observations: Iterable[Observation], groups: Mapping[str, str]) -> dict[tuple[str, str], Estimate]:
    """(cultivar, ``hardiness_c``) for every cultivar of `groups` (cultivar -> adaptation group)."""
    found = by_cultivar(observations, TRAITS | PICKED)
    errors = shared_errors(TRAIT)
    adopted: dict[tuple[str, str], Estimate] = {}
    for cultivar_id, group in groups.items():
        told = [
            (one, sign)
            for one in found.get(cultivar_id, ())
            if (sign := stands_at(one) if one.trait in PICKED else signs(one)) is not None
        ]
        prior = GROUPS[group].hardiness_c
        if told:
            weighed = [_of_mild_winters(sign, prior[0]) for _, sign in told]
            readings = [sign for sign in weighed if isinstance(sign, Reading)]
            bounds = [sign for sign in weighed if isinstance(sign, Bound)]
            value, spread = settle(prior, readings, bounds, errors, GRID)
            used = [one for one, _ in told]
            adopted[cultivar_id, TRAIT] = estimate(value, spread, "C", used, basis_of(o.source_id for o in used))
        else:
            adopted[cultivar_id, TRAIT] = estimate(*prior, "C", (), "imputed")
    return adopted
