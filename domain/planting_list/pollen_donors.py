"""What is planted for its pollen alone: it need not ripen fruit, but must live, and bloom when others do."""

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np

from domain.fruit.kinds import planted_for_fruit, pollen_donor
from domain.pollination.compatibility import pollen_of
from domain.suitability.factors import FactorCode, Verdict
from domain.suitability.ranking import hopeful
from domain.suitability.site_fit import SiteFit
from domain.suitability.verdicts import FIGURES as VERDICTS
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say


class DonorFigures(msgspec.Struct, frozen=True):
    """What a tree is worth that bears no fruit of use."""

    donor_share: float


FIGURES = figures("planting_list", "pollen_donors", DonorFigures)


@dataclass(frozen=True)
class DonorJudged:
    """A pollen donor at a site."""

    row: int
    verdict: Verdict
    limiting: FactorCode
    said: Sentence
    rank_value: float


def for_pollen_alone(cultivar: Cultivar) -> bool:
    """Whether it is planted for its pollen and for nothing else."""
    return pollen_donor(cultivar) and not planted_for_fruit(cultivar)


def donors_judged(fit: SiteFit, bloom_known: Sequence[bool]) -> tuple[DonorJudged, ...]:
    """Every donor among the cultivars of a site, judged by winter, life and pollen. bloom_known: (n,)."""
    survival = fit.outcomes["tree_survival"]
    hopes, winter = hopeful(survival), fit.factor("winter_cold")
    found = []
    for row, cultivar in enumerate(fit.cultivars):
        if not for_pollen_alone(cultivar):
            continue
        lives = float(survival.likely[row])
        dies = float(hopes[row]) < VERDICTS.try_survival
        weak = bool(np.asarray(winter.weak)[row])
        verdict: Verdict
        if pollen_of(cultivar) == "poor":
            verdict, said = "not_here", say("donor_without_pollen", cultivar=cultivar.name)
        elif not bloom_known[row] or (dies and weak):
            verdict, said = "not_known", say("donor_not_known", cultivar=cultivar.name)
        elif dies:
            verdict, said = "not_here", say("donor_dies", cultivar=cultivar.name)
        elif lives >= VERDICTS.plant_survival and not weak:
            verdict, said = "plant", say("donor_lives", cultivar=cultivar.name)
        else:
            verdict, said = "worth_trying", say("donor_may_live", cultivar=cultivar.name)
        limiting: FactorCode = "winter_cold"
        found.append(DonorJudged(row, verdict, limiting, said, FIGURES.donor_share * lives))
    return tuple(found)
