"""The adopted traits of many cultivars as arrays, made once from the tables, with stand-ins for what is absent."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from domain.tables.cultivars import DISEASES, Cultivar
from domain.traits.fixed_parts import FixedParts, fixed_parts
from domain.tree_year.curves import Floats

STAND_INS = {
    # trait: (value, spread) used where no value was adopted; every use is marked imputed
    "chill_portions": (45.0, 12.0),
    "bloom_offset_days": (0.0, 5.0),
    "bloom_length_days": (13.0, 3.0),
    "hardiness_c": (-29.0, 4.0),
    "heat_tolerance": (0.5, 0.25),
    "sunburn": (0.4, 0.25),
    "bitter_pit": (0.3, 0.25),
    "biennial": (0.35, 0.2),
}
ORIGIN_CLIMATES = {
    # group: (mean yearly minimum, mean of the three warmest months), C, of the places its cultivars were kept in
    "cold_continental": (-35.0, 19.5),
    "siberian_crab": (-38.0, 19.0),
    "crab": (-28.0, 20.0),
    "cold_temperate": (-27.0, 18.5),
    "american": (-22.0, 22.0),
    "temperate": (-16.0, 19.5),
    "warm_temperate": (-13.0, 24.5),
    "maritime": (-9.0, 16.5),
    "mediterranean": (-6.0, 22.0),
    "mild_oceanic": (-4.0, 18.0),
    "mild_southern": (-3.0, 21.0),
    "subtropical": (0.0, 23.5),
}
"""Typical winters and summers of the adaptation groups, rounded, from memory."""

HEAT_TOLERANCE_BY_ADAPTATION = {
    "subtropical": 0.8,
    "mild_southern": 0.7,
    "warm_temperate": 0.7,
    "mediterranean": 0.65,
    "mild_oceanic": 0.6,
    "american": 0.55,
    "temperate": 0.5,
    "maritime": 0.35,
    "cold_temperate": 0.3,
    "cold_continental": 0.25,
}
"""Stand-in for heat tolerance by the group a cultivar was bred or kept in; common practice, no source: cultivars are
selected where their fruit is good."""

HEAT_NEED_BY_ADAPTATION_DD10 = {
    "maritime": -200.0,
    "cold_temperate": -120.0,
    "cold_continental": -120.0,
    "mild_southern": 80.0,
    "mild_oceanic": 40.0,
    "subtropical": 80.0,
    "warm_temperate": 60.0,
}
"""What a cultivar's origin adds to the heat its fruit needs (degree days above 10 C); common practice, no source."""

COOKING_ONLY_DD10 = -150.0
"""A fruit that is only cooked need not sweeten: common practice, no source (it is picked firm and sharp)."""

UNKNOWN_SUSCEPTIBILITY = 0.55
"""A cultivar nobody rated is more often susceptible than not: breeders and services name the resistant ones first."""


@dataclass(frozen=True, eq=False)
class TraitTable:
    """Arrays over cultivars (n,). Values and spreads by trait; NaN where a trait is absent and has no stand-in.

    susceptibility: (n, diseases), NaN where unknown. known: trait -> (n,) whether adopted rather than stood in for.
    fixed: what an answer says of each cultivar wherever it stands.
    """

    cultivars: tuple[Cultivar, ...]
    value: dict[str, Floats]
    spread: dict[str, Floats]
    known: dict[str, npt.NDArray[np.bool_]]
    susceptibility: Floats
    fixed: tuple[FixedParts, ...]

    def take(self, rows: npt.NDArray[np.intp]) -> "TraitTable":
        """The table of some of its cultivars."""
        return TraitTable(
            cultivars=tuple(self.cultivars[row] for row in rows),
            value={trait: array[rows] for trait, array in self.value.items()},
            spread={trait: array[rows] for trait, array in self.spread.items()},
            known={trait: array[rows] for trait, array in self.known.items()},
            susceptibility=self.susceptibility[rows],
            fixed=tuple(self.fixed[row] for row in rows),
        )


NUMBERS = (*STAND_INS, "ripening_offset_days", "storage_weeks_low", "storage_weeks_high", "vigour", "precocity_years")


def trait_table(cultivars: Sequence[Cultivar]) -> TraitTable:
    """Gather the numbers of these cultivars."""
    value, spread, known = {}, {}, {}
    for trait in NUMBERS:
        stand_in, stand_in_spread = STAND_INS.get(trait, (np.nan, np.nan))
        found = [cultivar.numbers.get(trait) for cultivar in cultivars]
        value[trait] = np.array([stand_in if e is None else e.value for e in found], dtype=np.float32)
        spread[trait] = np.array([stand_in_spread if e is None else e.spread for e in found], dtype=np.float32)
        known[trait] = np.array([e is not None and e.basis != "imputed" for e in found])
    groups = [_adaptation(cultivar) for cultivar in cultivars]
    standing_in = [HEAT_TOLERANCE_BY_ADAPTATION.get(group, 0.5) for group in groups]
    value["heat_tolerance"] = np.where(
        known["heat_tolerance"], value["heat_tolerance"], np.array(standing_in, dtype=np.float32)
    )
    origin = np.array([HEAT_NEED_BY_ADAPTATION_DD10.get(group, 0.0) for group in groups], dtype=np.float32)
    origin += np.array([COOKING_ONLY_DD10 * _cooking_only(cultivar) for cultivar in cultivars], dtype=np.float32)
    value["origin_heat_dd10"] = origin
    climates = np.array([ORIGIN_CLIMATES.get(group, (np.nan, np.nan)) for group in groups], dtype=np.float32)
    value["origin_winter_c"], value["origin_summer_c"] = climates.reshape(-1, 2).T
    susceptibility = np.full((len(cultivars), len(DISEASES)), np.nan, dtype=np.float32)
    for row, cultivar in enumerate(cultivars):
        for column, disease in enumerate(DISEASES):
            estimate = cultivar.numbers.get(f"susceptibility_{disease}")
            if estimate is not None:
                susceptibility[row, column] = estimate.value
    return TraitTable(
        cultivars=tuple(cultivars),
        value=value,
        spread=spread,
        known=known,
        susceptibility=susceptibility,
        fixed=tuple(fixed_parts(cultivar) for cultivar in cultivars),
    )


def _adaptation(cultivar: Cultivar) -> str:
    finding = cultivar.findings.get("adaptation")
    return "unknown" if finding is None else finding.value


def _cooking_only(cultivar: Cultivar) -> bool:
    uses = cultivar.findings.get("uses")
    return uses is not None and "cooking" in uses.value.split() and "dessert" not in uses.value.split()
