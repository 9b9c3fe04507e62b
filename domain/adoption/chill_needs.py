"""Chill requirement of every cultivar, in portions of the whole dormant season, from unlike kinds of evidence.

The adopted value is the chill of a season in which a tree bears half of its normal crop; more is better up to about a
third more. Each kind of evidence is an observation of it with its own error:

- *forcing* and *fit*: requirements measured on cut shoots or fitted to bloom dates. They mean full satisfaction, which
  is more than half a crop takes (factor `of_full_need`); fits of bloom dates trade chill for heat, so their error is
  the widest;
- *figure of a place*: hours or units that an extension service or a breeder gives for its own region, converted by the
  regime of that region. What a service tells growers to have is full satisfaction too (`of_full_need`);
- *list*: the same from lists of plants for a county that do not say what they counted;
- *figure of no place*: "hours needed" as handed on without place or method. Mild coasts crop cultivars "needing 800"
  on half of that, so they count for `of_trade_hours` of their hours, with a wide error (common practice, no source);
- *class*: low, medium, high;
- known to crop at a place: its chill is an upper limit; known to fail for want of chill: a lower one. Both are soft;
- the prior of the adaptation group (`adaptation`). Where nothing else is known it is the value, `imputed`.

A sport takes the value of its parent later; lists of recommended cultivars are never used here.
"""

from collections.abc import Iterable, Mapping, Sequence

import msgspec
import numpy as np

from domain.adoption.adaptation import GROUPS
from domain.adoption.chill_regimes import UNSTATED, regime_name, regimes
from domain.adoption.reading import Row, Spread, lowered, marked, shared_errors, table, whole_text
from domain.adoption.voices import FIGURES as VOICES
from domain.adoption.voices import weak_voices
from domain.adoption.weighing import Bound, Reading, basis_of, by_cultivar, estimate, settle
from domain.tables.cultivars import Basis, Estimate
from domain.tables.observations import Observation
from domain.tables.parameters import figures

TRAIT = "chill_portions"
UNIT = "CP"
TRAITS = frozenset({"chill_requirement", "chill_class", "low_chill_adapted", "failed_for_chill", "adapted_at_chill"})
GRID = np.arange(0.0, 121.0, 0.5)


class ChillFigures(msgspec.Struct, frozen=True):
    """How published requirements become portions, and their errors (portions, or shares of the figure)."""

    of_full_need: float
    of_trade_hours: float
    fit_spread: float
    forcing_spread: float
    table_spread: float
    constant_cold_c: tuple[float, ...]
    hours_per_portion_at_constant_cold: tuple[float, ...]
    constant_cold_spread: float
    constant_cold_relative_spread: float
    forcing_relative_spread: float
    no_place_relative_spread: float
    hours_relative_spread: float
    units_relative_spread: float
    least_spread: float
    low_chill_portions: float
    low_chill_spread: float
    doubtful_crop_factor: float
    county_list_factor: float
    told_something: float
    moved: float


FIGURES = figures("adoption", "chill_needs", ChillFigures)


class ChillClass(Row, frozen=True, kw_only=True):
    """A word of chill requirement as portions; silent without them."""

    published: str
    portions: float | None = None
    spread: Spread | None = None


FLORIDA_FAILURE = "unsuitable"


def _middle(observation: Observation) -> float | None:
    ends = [end for end in (observation.low, observation.high) if end is not None]
    return sum(ends) / len(ends) if ends else None


def _one_sided(observation: Observation) -> bool:
    return (observation.low is None) != (observation.high is None)


def _portions(observation: Observation, amount: float) -> tuple[float, float, str]:
    """An amount of chill as (portions, error, kind of evidence)."""
    scheme, regime = observation.scheme.lower(), regime_name(whole_text(observation))
    if observation.unit == "CP":
        if marked(observation, "fitted_to_bloom"):
            return amount * FIGURES.of_full_need, FIGURES.fit_spread, "fit"
        if marked(observation, "forced"):
            return amount * FIGURES.of_full_need, FIGURES.forcing_spread, "forcing"
        return amount, FIGURES.table_spread, "table"
    cold = zip(FIGURES.constant_cold_c, FIGURES.hours_per_portion_at_constant_cold, strict=True)
    constant = [hours for celsius, hours in cold if f"constant {celsius:g} c" in scheme]
    if constant:
        portions = amount / constant[0]
        error = max(FIGURES.constant_cold_spread, FIGURES.constant_cold_relative_spread * portions)
        return portions, error, "forcing"
    unstated = regimes()[UNSTATED]
    climate = regimes()[regime] if regime else unstated
    hours = observation.unit.startswith("h")
    portions = amount / (climate.hours_per_portion if hours else climate.units_per_portion)
    if marked(observation, "measured"):
        error = max(FIGURES.least_spread, FIGURES.forcing_relative_spread * portions)
        return portions * FIGURES.of_full_need, error, "forcing"
    if regime is None or marked(observation, "handed_on"):
        portions = (
            amount / (unstated.hours_per_portion if hours else unstated.units_per_portion) * FIGURES.of_trade_hours
        )
        return portions, max(FIGURES.least_spread, FIGURES.no_place_relative_spread * portions), "no place"
    kind = "list" if marked(observation, "band_not_stated") else "place"
    relative = FIGURES.hours_relative_spread if hours else FIGURES.units_relative_spread
    satisfied = FIGURES.of_full_need if kind == "place" else 1.0
    return portions * satisfied, max(FIGURES.least_spread, relative * portions), kind


def _requirement(observation: Observation) -> Reading | Bound | None:
    if observation.unit == "class":
        return _class(observation)
    amount = _middle(observation)
    if amount is None:
        return None
    portions, error, kind = _portions(observation, amount)
    if _one_sided(observation):
        upper = observation.low is None
        return Bound(portions, error, upper, f"{kind} {observation.source_id}", observation.source_id)
    factor = VOICES.alone_spread_factor if observation.source_id in weak_voices() else 1.0
    return Reading(portions, error * factor, kind, observation.source_id)


def _class(observation: Observation) -> Reading | Bound | None:
    word = lowered(observation.published)
    if word == FLORIDA_FAILURE:
        return _limit(observation, upper=False)
    named = next((one for one in table("chill_classes", ChillClass, ("published",)) if one.published == word), None)
    if named is None or named.portions is None or named.spread is None:
        return None
    return Reading(named.portions, named.spread, "class", observation.source_id)


def _limit(observation: Observation, upper: bool) -> Reading | Bound | None:
    """What cropping or failing at a place says of the requirement."""
    name = regime_name(whole_text(observation))
    if name is None:
        if observation.trait != "low_chill_adapted":
            return None
        return Reading(FIGURES.low_chill_portions, FIGURES.low_chill_spread, "class", observation.source_id)
    climate = regimes()[name]
    if climate.evergreen == "yes" and upper:
        return None
    error = climate.deviation
    if observation.published not in ("yes", "") and observation.low is None:
        error *= FIGURES.doubtful_crop_factor  # under trial, promising, cropping with poorer fruit
    if upper and marked(observation, "county_list"):
        error *= FIGURES.county_list_factor  # a list for a county or region, no site and no crop told
    return Bound(climate.portions, error, upper, name, observation.source_id)


def signs(observation: Observation) -> Reading | Bound | None:
    """What one observation says of the requirement, None for what says nothing."""
    match observation.trait:
        case "chill_requirement":
            return _requirement(observation)
        case "chill_class":
            return _class(observation)
        case "failed_for_chill":
            return _limit(observation, upper=False)
        case _:
            return _limit(observation, upper=True)


def _once(told: Sequence[Observation]) -> list[Observation]:
    """Without the word "adapted here" of a source that also gives a figure or a class: it is one statement."""
    given = {one.source_id for one in told if one.trait in ("chill_requirement", "chill_class")}
    return [one for one in told if one.trait != "low_chill_adapted" or one.source_id not in given]


def _basis(used: Sequence[Observation]) -> Basis:
    """Published if a text gives the requirement in portions, computed if it had to be converted or bounded."""
    in_portions = any(o.trait == "chill_requirement" and o.unit == "CP" for o in used)
    return basis_of((o.source_id for o in used), "published" if in_portions else "computed")


def adopt(observations: Iterable[Observation], groups: Mapping[str, str]) -> dict[tuple[str, str], Estimate]:
    """(cultivar, ``chill_portions``) -> requirement, for every cultivar of `groups` (cultivar -> adaptation group)."""
    found, errors = by_cultivar(observations, TRAITS), shared_errors(TRAIT)
    adopted: dict[tuple[str, str], Estimate] = {}
    for cultivar_id, group in groups.items():
        prior = GROUPS[group].chill_portions
        told = [(observation, signs(observation)) for observation in _once(found.get(cultivar_id, ()))]
        used = [observation for observation, sign in told if sign is not None]
        readings = [sign for _, sign in told if isinstance(sign, Reading)]
        bounds = [sign for _, sign in told if isinstance(sign, Bound)]
        value, spread = settle(prior, readings, bounds, errors, GRID) if used else prior
        told_something = spread < FIGURES.told_something * prior[1]
        if told_something or abs(value - prior[0]) > FIGURES.moved * prior[1]:
            adopted[cultivar_id, TRAIT] = estimate(value, spread, UNIT, used, _basis(used))
        else:
            adopted[cultivar_id, TRAIT] = estimate(*prior, UNIT, (), "imputed")
    return adopted
