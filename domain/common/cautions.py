"""What an answer must say for safety. Each caution and its rule: domain/tables/cautions.py."""

from typing import Literal

import msgspec

from domain.common.sentences import Value

CautionCode = Literal[
    "resistant_not_immune",
    "poor_pollen",
    "plant_health",
    "ladders",
    "digging",
    "windfalls",
    "old_orchard_ground",
    "frost_nights",
    "allergy",
    "sprays",
    "rest_breaking",
    "grafting_knives",
    "heavy_pots",
    "wires",
    "ask_locally",
    "boundary",
    "power_line",
    "septic_field",
    "shrinkable_clay",
]


class Caution(msgspec.Struct, frozen=True, kw_only=True):
    """A warning with a stable code."""

    code: CautionCode
    values: dict[str, Value]
    words: str
