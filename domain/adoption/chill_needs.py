"""Chill requirement of every cultivar, in portions of the whole dormant season, from unlike kinds of evidence.

The adopted value is the chill of a season in which a tree bears half of its normal crop; more is better up to about a
third more. Each kind of evidence is an observation of it with its own error:

- *forcing* and *fit*: requirements measured on cut shoots or fitted to bloom dates. They mean full satisfaction, which
  is more than half a crop takes (factor `OF_FULL_NEED`); fits of bloom dates trade chill for heat, so their error is
  the widest;
- *figure of a place*: hours or units that an extension service or a breeder gives for its own region, converted by the
  regime of that region;
- *list*: the same from lists of plants for a county that do not say what they counted;
- *figure of no place*: "hours needed" as handed on without place or method. Mild coasts crop cultivars "needing 800"
  on half of that, so they count for `OF_TRADE_HOURS` of their hours, with a wide error (common practice, no source);
- *class*: low, medium, high;
- known to crop at a place: its chill is an upper limit; known to fail for want of chill: a lower one. Both are soft;
- the prior of the adaptation group (`adaptation`). Where nothing else is known it is the value, `imputed`.

A sport takes the value of its parent later; lists of recommended cultivars are never used here.
"""

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from domain.adoption.adaptation import GROUPS
from domain.adoption.chill_regimes import (
    HOURS_ERROR,
    HOURS_OF_CONSTANT_COLD,
    REGIMES,
    UNITS_ERROR,
    UNSTATED,
    regime_name,
)
from domain.adoption.weighing import Bound, Reading, basis_of, by_cultivar, estimate, settle
from domain.tables.cultivars import Basis, Estimate
from domain.tables.observations import Observation

TRAIT = "chill_portions"
UNIT = "CP"
TRAITS = frozenset({"chill_requirement", "chill_class", "low_chill_adapted", "failed_for_chill", "adapted_at_chill"})
GRID = np.arange(0.0, 121.0, 0.5)

OF_FULL_NEED = 0.75
OF_TRADE_HOURS = 0.65

KIND_ERROR = {"forcing": 6.0, "fit": 12.0, "table": 4.0, "place": 6.0, "list": 11.0, "no place": 8.0, "class": 5.0}
"""Error that readings of one kind share, portions: a trade quotes one figure, a method has one bias."""

CLASSES = {
    "low": (16.0, 7.0),
    "low, similar to anna": (17.0, 7.0),
    "medium": (38.0, 9.0),
    "high": (58.0, 8.0),
    "long": (58.0, 10.0),
    "transmits low need": (33.0, 13.0),
    "lower than gala": (38.0, 10.0),
    "lower than golden delicious": (40.0, 10.0),
    "lower than local asturian cultivars": (45.0, 12.0),
}
"""Class words as printed -> portions and their error. Anna and Dorsett Golden are what "low" is said of."""

HANDED_ON = ("comparison", "not how measured", "how measured not said")
"""Words by which the evidence tells a figure that was not found at the place of the text."""

LOW_CHILL_WORD = (28.0, 13.0)
"""Called adapted to little chill, without a place."""

FLORIDA_FAILURE = "unsuitable"
BAND_NOT_STATED = "band not stated"
EVERGREEN = ("tropical, defoliated", "tropical highland")
"""Where a tree need not fall dormant at all: cropping there says nothing of chill."""
LEAST_ERROR = 3.0
TOLD_SOMETHING = 0.97
MOVED = 0.15
"""Evidence that neither narrows the prior's spread to this share nor moves its mean by this part of it told nothing."""


def _middle(observation: Observation) -> float | None:
    ends = [end for end in (observation.low, observation.high) if end is not None]
    return sum(ends) / len(ends) if ends else None


def _text(observation: Observation) -> str:
    return " ".join((observation.place, observation.scheme, observation.note, observation.source_id))


def _one_sided(observation: Observation) -> bool:
    return (observation.low is None) != (observation.high is None)


def _portions(observation: Observation, amount: float) -> tuple[float, float, str]:
    """An amount of chill as (portions, error, kind of evidence)."""
    scheme, regime = observation.scheme.lower(), regime_name(_text(observation))
    if observation.unit == "CP":
        if "sequential" in scheme:
            return amount * OF_FULL_NEED, 9.0, "fit"
        return (amount, 6.0, "table") if "forcing" not in observation.note else (amount * OF_FULL_NEED, 7.0, "forcing")
    constant = [hours for celsius, hours in HOURS_OF_CONSTANT_COLD.items() if f"constant {celsius:g} c" in scheme]
    if constant:
        portions = amount / constant[0]
        return portions, max(8.0, 0.3 * portions), "forcing"
    climate = REGIMES[regime] if regime else UNSTATED
    hours = observation.unit.startswith("h")
    portions = amount / (climate.hours_per_portion if hours else climate.units_per_portion)
    measured = "dormancy overcome" in observation.note or "forcing" in observation.note
    if measured:
        return portions * OF_FULL_NEED, max(LEAST_ERROR, 0.25 * portions), "forcing"
    handed_on = regime is None or any(words in _text(observation) for words in HANDED_ON)
    if handed_on:
        portions = amount / (UNSTATED.hours_per_portion if hours else UNSTATED.units_per_portion) * OF_TRADE_HOURS
        return portions, max(LEAST_ERROR, 0.35 * portions), "no place"
    kind = "list" if BAND_NOT_STATED in scheme else "place"
    return portions, max(LEAST_ERROR, (HOURS_ERROR if hours else UNITS_ERROR) * portions), kind


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
    return Reading(portions, error, kind, observation.source_id)


def _class(observation: Observation) -> Reading | Bound | None:
    word = observation.published.lower()
    if word == FLORIDA_FAILURE:
        return _limit(observation, upper=False)
    if word not in CLASSES:
        return None
    portions, error = CLASSES[word]
    return Reading(portions, error, "class", observation.source_id)


def _limit(observation: Observation, upper: bool) -> Reading | Bound | None:
    """What cropping or failing at a place says of the requirement."""
    name = regime_name(_text(observation))
    if name in EVERGREEN and upper:
        return None
    if name is None:
        told_low = observation.trait == "low_chill_adapted"
        return Reading(*LOW_CHILL_WORD, "class", observation.source_id) if told_low else None
    climate, error = REGIMES[name], REGIMES[name].error
    if observation.published not in ("yes", "") and observation.low is None:
        error *= 1.5  # under trial, promising, cropping with poorer fruit
    if upper and "chill figure" in observation.note:
        error *= 1.3  # a list for a county or region, no site and no crop told
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
    found = by_cultivar(observations, TRAITS)
    adopted: dict[tuple[str, str], Estimate] = {}
    for cultivar_id, group in groups.items():
        prior = GROUPS[group].chill_portions
        told = [(observation, signs(observation)) for observation in _once(found.get(cultivar_id, ()))]
        used = [observation for observation, sign in told if sign is not None]
        readings = [sign for _, sign in told if isinstance(sign, Reading)]
        bounds = [sign for _, sign in told if isinstance(sign, Bound)]
        value, spread = settle(prior, readings, bounds, KIND_ERROR, GRID) if used else prior
        if spread < TOLD_SOMETHING * prior[1] or abs(value - prior[0]) > MOVED * prior[1]:
            adopted[cultivar_id, TRAIT] = estimate(value, spread, UNIT, used, _basis(used))
        else:
            adopted[cultivar_id, TRAIT] = estimate(*prior, UNIT, (), "imputed")
    return adopted
