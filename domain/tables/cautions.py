"""The cautions, with their words. Every answer quotes those that apply; where each does is said where it is quoted."""

from typing import get_args

from domain.common.cautions import Caution, CautionCode
from domain.tables.words import say


def _caution(code: CautionCode) -> Caution:
    return Caution(code=code, values={}, words=say(f"caution.{code}").words)


RESISTANT_NOT_IMMUNE = _caution("resistant_not_immune")
TRIPLOID = _caution("poor_pollen")
PLANT_HEALTH = _caution("plant_health")
LADDERS = _caution("ladders")
DIGGING = _caution("digging")
WINDFALLS = _caution("windfalls")
OLD_ORCHARD = _caution("old_orchard_ground")
FROST_NIGHTS = _caution("frost_nights")
ALLERGY = _caution("allergy")
SPRAYS = _caution("sprays")
NO_REST_BREAKING = _caution("rest_breaking")
GRAFTING_KNIVES = _caution("grafting_knives")
HEAVY_POTS = _caution("heavy_pots")
WIRES = _caution("wires")
ASK_LOCALLY = _caution("ask_locally")
BOUNDARY = _caution("boundary")
POWER_LINE = _caution("power_line")
SEPTIC_FIELD = _caution("septic_field")
SHRINKABLE_CLAY = _caution("shrinkable_clay")

BY_CODE: dict[CautionCode, Caution] = {code: _caution(code) for code in get_args(CautionCode)}
"""Every caution, for tables that name them."""
