"""The adopted traits of many cultivars as arrays, made once from the tables, with stand-ins for what is absent."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import msgspec
import numpy as np
import numpy.typing as npt

from domain.common.arrays import Floats
from domain.common.kept import Kept
from domain.fruit.adaptation import ADAPTATION_GROUPS, AdaptationGroup
from domain.fruit.diseases import DISEASE_BY_ID, DISEASES
from domain.fruit.traits import GATHERED, TRAITS
from domain.tables.cultivars import Cultivar, Estimate, Finding
from domain.tables.parameters import figures
from domain.traits.fixed_parts import FixedParts, fixed_parts
from domain.traits.witnesses import Witnesses, gathered


class TraitFigures(msgspec.Struct, frozen=True):
    """What stands in for a susceptibility nobody rated, and what cooking fruit adds to the heat it needs (C days)."""

    cooking_only_dd10: float
    unknown_susceptibility: float


FIGURES = figures("traits", "trait_table", TraitFigures)

TRAIT_BASES = ("published", "computed", "imputed", "from-memory", "absent")
"""What a trait of a cultivar rests on; arrays of bases hold the place in this tuple. absent: a stand-in, or NaN."""

Bases = npt.NDArray[np.int8]
ABSENT, COMPUTED = TRAIT_BASES.index("absent"), TRAIT_BASES.index("computed")


@dataclass(frozen=True, eq=False)
class TraitTable:
    """Arrays over cultivars (n,). Values and spreads by trait; NaN where a trait is absent and has no stand-in.

    known: trait -> (n,) whether adopted rather than stood in for or imputed. basis: trait -> (n,) place in TRAIT_BASES.
    susceptibility, susceptibility_spread: (n, diseases), NaN where unknown; susceptibility_basis: (n, diseases).
    published_range: trait -> least and greatest value of any cultivar of the catalogue that a source gives.
    fixed: what an answer says of each cultivar wherever it stands. witnesses: of all cultivars, and witnessed: (n,)
    which of its cultivars these are. kept: what was computed of its cultivars wherever they stand.
    """

    cultivars: tuple[Cultivar, ...]
    value: dict[str, Floats]
    spread: dict[str, Floats]
    known: dict[str, npt.NDArray[np.bool_]]
    basis: dict[str, Bases]
    susceptibility: Floats
    susceptibility_spread: Floats
    susceptibility_basis: Bases
    published_range: dict[str, tuple[float, float]]
    fixed: tuple[FixedParts, ...]
    witnesses: Witnesses
    witnessed: npt.NDArray[np.intp]
    kept: Kept = field(default_factory=Kept, init=False, repr=False)

    def take(self, rows: npt.NDArray[np.intp]) -> "TraitTable":
        """The table of some of its cultivars."""
        return TraitTable(
            cultivars=tuple(self.cultivars[row] for row in rows),
            value={trait: array[rows] for trait, array in self.value.items()},
            spread={trait: array[rows] for trait, array in self.spread.items()},
            known={trait: array[rows] for trait, array in self.known.items()},
            basis={trait: array[rows] for trait, array in self.basis.items()},
            susceptibility=self.susceptibility[rows],
            susceptibility_spread=self.susceptibility_spread[rows],
            susceptibility_basis=self.susceptibility_basis[rows],
            published_range=self.published_range,
            fixed=tuple(self.fixed[row] for row in rows),
            witnesses=self.witnesses,
            witnessed=self.witnessed[rows],
        )


def trait_table(cultivars: Sequence[Cultivar], witnesses: Witnesses | None = None) -> TraitTable:
    """Gather the numbers of these cultivars: those that the register of traits names, and what origin stands in for.

    witnesses: of a catalogue that holds them; none speak if left out.
    """
    value, spread, known, basis = {}, {}, {}, {}
    for trait in GATHERED:
        found = [cultivar.numbers.get(trait) for cultivar in cultivars]
        value[trait] = _array([_or_nan(TRAITS[trait].stand_in) if e is None else e.value for e in found])
        spread[trait] = _array([_or_nan(TRAITS[trait].spread) if e is None else e.deviation for e in found])
        known[trait] = np.array([e is not None and e.basis != "imputed" for e in found])
        basis[trait] = _bases(found)
    groups = [_adaptation(cultivar) for cultivar in cultivars]
    usual = _or_nan(TRAITS["heat_tolerance"].stand_in)
    standing_in = _array([usual if g is None or g.heat_tolerance is None else g.heat_tolerance for g in groups])
    value["heat_tolerance"] = np.where(known["heat_tolerance"], value["heat_tolerance"], standing_in)
    value["cooking_heat_dd10"] = _array([FIGURES.cooking_only_dd10 * _cooking_only(cultivar) for cultivar in cultivars])
    basis["cooking_heat_dd10"] = _bases([cultivar.findings.get("uses") for cultivar in cultivars])
    known_of = gathered((), (), cultivars) if witnesses is None else witnesses
    rated = [cultivar.numbers.get(disease.trait) for cultivar in cultivars for disease in DISEASE_BY_ID.values()]
    by_disease = (len(cultivars), len(DISEASES))
    return TraitTable(
        cultivars=tuple(cultivars),
        value=value,
        spread=spread,
        known=known,
        basis=basis,
        susceptibility=_array([np.nan if e is None else e.value for e in rated]).reshape(by_disease),
        susceptibility_spread=_array([np.nan if e is None else e.deviation for e in rated]).reshape(by_disease),
        susceptibility_basis=_bases(rated).reshape(by_disease),
        published_range={trait: _range(value[trait][basis[trait] <= COMPUTED]) for trait in value},
        fixed=tuple(fixed_parts(cultivar) for cultivar in cultivars),
        witnesses=known_of,
        witnessed=known_of.rows(cultivars),
    )


def _range(values: Floats) -> tuple[float, float]:
    """Least and greatest of some values; NaN where there is none."""
    known = values[~np.isnan(values)]
    return (float(known.min()), float(known.max())) if known.size else (np.nan, np.nan)


def _array(values: list[float]) -> Floats:
    return np.array(values, dtype=np.float32)


def _or_nan(value: float | None) -> float:
    return np.nan if value is None else value


def _bases(found: Sequence[Estimate | Finding | None]) -> Bases:
    return np.array([ABSENT if e is None else TRAIT_BASES.index(e.basis) for e in found], dtype=np.int8)


def _adaptation(cultivar: Cultivar) -> AdaptationGroup | None:
    finding = cultivar.findings.get("adaptation")
    return None if finding is None else ADAPTATION_GROUPS.get(finding.value)


def _cooking_only(cultivar: Cultivar) -> bool:
    uses = cultivar.findings.get("uses")
    return uses is not None and "cooking" in uses.value.split() and "dessert" not in uses.value.split()
