"""Winter hardiness of every cultivar, C: the mean yearly minimum of the coldest country where the tree stands well.

A tree of a zone outlives that zone's ordinary winters, whose single coldest nights go several degrees under the mean
minimum; injury begins below the figure, not at it. Zones are read as the lower limit of the zone (USDA: zone n begins
at (10 n - 70) F, a half zone 5 F above it; United States Department of Agriculture plant hardiness zone map, as in the
method notes on zones); Canadian zones weigh summers and snow too and read about one zone lower in the prairies, so
their n stands at the limit of USDA zone n + 1 (common practice, no source). Words are read scheme by scheme: "hardy"
in England of 1851 is said of wind and canker as much as of frost. Lists of who died in one winter are set by that
winter. The prior is that of the adaptation group; alone it is `imputed`.
"""

import re
from collections.abc import Iterable, Mapping

import numpy as np

from domain.adoption.adaptation import GROUPS
from domain.adoption.weighing import Reading, basis_of, by_cultivar, class_number, estimate, settle
from domain.tables.cultivars import Estimate
from domain.tables.observations import Observation

TRAIT = "hardiness_c"
GRID = np.arange(-50.0, -5.0, 0.25)
TRAITS = frozenset({"hardiness", "hardiness_zone"})

KIND_ERROR = {"zone": 1.5, "winter": 2.0, "frost": 2.0, "words": 2.0}
ZONE_ERROR, CANADIAN_ERROR, MEMORY_ERROR = 2.5, 3.5, 2.5

UNHURT_TO_MEAN_C = -8.0
"""From a frost that a cultivar bears in any condition, unhurt, to the mean yearly minimum of where it is grown: set by
the names of both kinds (Antonovka, Jonathan, McIntosh). Common practice, no source."""

WORDS: Mapping[str, float] = {
    "very hardy": -38.0,
    "high": -36.0,
    "suited to cold climates": -36.0,
    "less hardy than some": -35.0,
    "very good": -35.0,
    "hardy": -34.0,
    "good": -33.0,
    "up to high raw sites": -32.0,
    "hardy in canadian zone 4": -34.0,
    "satisfactory": -31.0,
    "moderate": -30.0,
    "up to higher elevations": -31.0,
    "low demands on climate": -31.0,
    "up to middle elevations, sheltered": -28.5,
    "not for high sites": -27.5,
    "avoid frost sites": -27.5,
    "sheltered sites": -27.0,
    "wood not quite frost-hardy": -27.5,
    "warm sheltered sites, no late frost": -26.0,
    "low frost hardiness": -26.0,
    "wood sensitive to frost": -26.0,
    "wood and blossom sensitive to frost": -26.0,
    "blossom and wood sensitive to frost": -26.0,
    "sensitive to cold": -26.0,
    "insufficient": -27.0,
    "low": -27.5,
    "wood very sensitive to frost": -24.5,
    "wood very sensitive to winter frost": -24.5,
    "tender": -26.0,
}
WORD_ERROR = 3.5

SCHEMES: tuple[tuple[str, str, float, Mapping[str, float]], ...] = (
    # opening of the scheme, kind, error, classes
    ("artificial freezing, damage not over 2.0", "frost", 2.5, {"high": -37.5}),
    ("artificial freezing", "frost", 3.5, {"high": -36.0, "highest of the columnar group": -36.0}),
    # central Poland, winter of 1986-87, down to about -30 C
    (
        "killed / strong damage",
        "winter",
        3.0,
        {"low": -26.5, "moderate": -29.0, "good": -31.0, "high": -33.0},
    ),
    # northern Illinois, winter of 1855-56, about -33 C
    (
        "winter of 1855-56",
        "winter",
        3.5,
        {"entirely destroyed": -26.5, "partially injured": -29.5, "hardy or slightly injured": -33.0},
    ),
    ("two lists, tender / hardy", "winter", 4.0, {"tender": -27.5, "hardy": -32.0}),
    ("list of tender", "winter", 4.5, {"tender": -27.5}),
    ("list of hardy and valuable", "winter", 4.5, {"hardy": -31.5}),
    ("list of cultivars hardy when top-grafted", "winter", 4.5, {"hardy if top-grafted": -29.5}),
    ("list of apples for the coldest gardens of Alaska", "winter", 3.5, {"hardy": -37.5, "very hardy": -41.0}),
    ("classes derived", "words", 5.5, {"high": -30.5, "hardy": -30.0, "tender": -26.5, "low": -27.0}),
    (
        "Swedish cultivation zones",
        "zone",
        4.0,
        {"to swedish zone 2": -28.0, "to swedish zone 3": -30.0, "to swedish zone 4": -32.5},
    ),
    ("list of old cultivars for the northeast", "words", 4.0, {"suited to cold climates": -34.5}),
    # said in a mild country of wind, canker and wet as much as of frost
    ("British words", "words", WORD_ERROR, {}),
    ("", "words", WORD_ERROR, WORDS),
)


CANADIAN_ZONE_WORDS = re.compile(r"hardy to Canadian zone (?P<zone>\d)(?P<half>[ab]?)")
"""A Canadian zone printed in words; "if protected" is not said of it often enough to count apart."""


def usda_zone_c(zone: float) -> float:
    """Lower limit of a USDA zone (4.5 is 4b) in C."""
    return (10.0 * zone - 70.0 - 32.0) / 1.8


def _canadian(observation: Observation) -> bool:
    return "canadian" in f"{observation.scheme} {observation.note}".lower()


def signs(observation: Observation) -> Reading | None:
    """What one observation says of hardiness in C, None for words that no scheme has."""
    if observation.trait == "hardiness_zone":
        if observation.low is None:
            return None
        canadian = _canadian(observation)
        value = usda_zone_c(observation.low + 1.0 if canadian else observation.low)
        return Reading(value, CANADIAN_ERROR if canadian else ZONE_ERROR, "zone", observation.source_id)
    if observation.unit == "C" and observation.low is not None and observation.high is not None:
        middle = (observation.low + observation.high) / 2.0
        return Reading(middle + UNHURT_TO_MEAN_C, 4.0, "frost", observation.source_id)
    told = CANADIAN_ZONE_WORDS.search(observation.published)
    if told:
        zone = float(told["zone"]) + (0.5 if told["half"] == "b" else 0.0)
        return Reading(usda_zone_c(zone + 1.0), CANADIAN_ERROR, "zone", observation.source_id)
    for opening, kind, error, classes in SCHEMES:
        if observation.scheme.startswith(opening):
            number = class_number(observation, classes)
            return None if number is None else Reading(number, error, kind, observation.source_id)
    return None


def adopt(observations: Iterable[Observation], groups: Mapping[str, str]) -> dict[tuple[str, str], Estimate]:
    """(cultivar, ``hardiness_c``) for every cultivar of `groups` (cultivar -> adaptation group)."""
    found = by_cultivar(observations, TRAITS)
    adopted: dict[tuple[str, str], Estimate] = {}
    for cultivar_id, group in groups.items():
        told = [(one, sign) for one in found.get(cultivar_id, ()) if (sign := signs(one)) is not None]
        prior = GROUPS[group].hardiness_c
        if told:
            value, spread = settle(prior, [sign for _, sign in told], (), KIND_ERROR, GRID)
            used = [one for one, _ in told]
            adopted[cultivar_id, TRAIT] = estimate(value, spread, "C", used, basis_of(o.source_id for o in used))
        else:
            adopted[cultivar_id, TRAIT] = estimate(*prior, "C", (), "imputed")
    return adopted
