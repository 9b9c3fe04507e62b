"""One value to rank by, and a verdict in a word, from the outcomes of a cultivar at a site."""

import numpy as np
import numpy.typing as npt

from domain.suitability.site_fit import SiteFit
from domain.suitability.suitability_answer import Verdict
from domain.suitability.suitability_request import Weights
from domain.tree_year.curves import Floats

CAUTION_SHARE = 0.75
"""How far from the likely crop toward the low one ranking stands: about the 25th percentile of what we know, so that
the least-known name does not win by its spread."""

PLANT_YEARS, PLANT_SURVIVAL, PLANT_QUALITY = 7.0, 0.8, 0.5
TRY_YEARS, TRY_SURVIVAL, TRY_QUALITY = 3.0, 0.5, 0.35
"""What a verdict asks of crop, survival and eating quality. Years lost to bearing every other year are left out here:
thinning wins them back, and the words of the answer say so."""

STANDS_HEAT = 0.6
"""Heat tolerance (0 to 1) from which a cultivar is not turned away for what heat does to its fruit."""

FAR_LIKENESS = 0.03
"""Likeness to the climate of origin below which nobody can promise anything: at best worth trying."""

UNDECIDED_YEARS = 6.5
"""A range of cropping years this wide, from what is not known of the cultivar alone, says nothing useful: `not_known`.
Where the site is what is not known, the range stands and the answer asks for its figures."""

FLOOR = 0.02
LEAST_CROP = 1e-4
"""No outcome counts for less than the floor; crop goes lower, so that where nothing crops the nearest to it leads."""


def cautious_years(fit: SiteFit) -> Floats:
    """Cropping years in ten (n,) at the cautious quantile."""
    return (fit.likely - CAUTION_SHARE * (fit.likely - fit.low)).astype(np.float32)


def rank_values(fit: SiteFit, weights: Weights) -> Floats:
    """Weighted geometric mean (n,) of crop, sound fruit, quality, survival and likeness to the origin, 0 to 1.

    A geometric mean, since no quality makes up for a tree that does not crop.
    """
    outcomes = (
        (weights.crop, cautious_years(fit) / 10.0, LEAST_CROP),
        (weights.sound_fruit, fit.sound - 0.5 * fit.sound_spread, FLOOR),
        (weights.quality, fit.quality, FLOOR),
        (weights.tree_survival, fit.survives_ten_years, FLOOR),
        (weights.origin_climate, fit.likeness, FLOOR),
    )
    total = sum(weight for weight, _, _ in outcomes)
    if total <= 0.0:
        return np.zeros_like(fit.likely)
    logs = sum(weight * np.log(np.clip(outcome, least, 1.0)) for weight, outcome, least in outcomes)
    value: Floats = np.exp(np.asarray(logs, dtype=np.float32) / np.float32(total))
    return value


def _spoilt_by_heat(fit: SiteFit) -> npt.NDArray[np.bool_]:
    """Whose fruit is too poor to try (n,); a cultivar that stands heat is the best that a hot place can have."""
    return np.asarray((fit.quality < TRY_QUALITY) & (fit.heat_tolerance < STANDS_HEAT))


def verdicts(fit: SiteFit, ripening_known: npt.NDArray[np.bool_]) -> list[Verdict]:
    """A verdict for each cultivar."""
    cautious = cautious_years(fit) / np.maximum(fit.factor_years["alternate_bearing"] / 10.0, 0.1)
    undecided = (fit.own_range > UNDECIDED_YEARS) & (fit.likely < PLANT_YEARS) & (fit.high > TRY_YEARS)
    plant = (cautious >= PLANT_YEARS) & (fit.survives_ten_years >= PLANT_SURVIVAL) & (fit.quality >= PLANT_QUALITY)
    plant &= fit.likeness >= FAR_LIKENESS
    trying = (fit.likely >= TRY_YEARS) & (fit.survives_ten_years >= TRY_SURVIVAL) & ~_spoilt_by_heat(fit)
    words: list[Verdict] = []
    for row in range(len(fit.cultivars)):
        if not ripening_known[row] or fit.cultivars[row].shelf != "advised" or undecided[row]:
            words.append("not_known")
        elif plant[row]:
            words.append("plant")
        else:
            words.append("worth_trying" if trying[row] else "not_here")
    return words


def limiting_factors(fit: SiteFit) -> list[str]:
    """The factor that costs each cultivar most: a crop factor below 9 years, else survival, quality or sound fruit."""
    names = list(fit.factor_years)
    years = np.stack([fit.factor_years[name] for name in names])
    lowest, spoilt = years.argmin(axis=0), _spoilt_by_heat(fit)
    out = []
    for row, index in enumerate(lowest):
        if spoilt[row] and fit.likely[row] >= TRY_YEARS:
            out.append("fruit_quality")
        elif years[index, row] < 9.0:
            out.append(names[index])
        elif fit.survives_ten_years[row] < PLANT_SURVIVAL:
            out.append("tree_disease")
        elif fit.likeness[row] < FAR_LIKENESS:
            out.append("origin_climate")
        elif fit.quality[row] < PLANT_QUALITY:
            out.append("fruit_quality")
        else:
            out.append("sound_fruit" if fit.sound[row] <= fit.quality[row] else "fruit_quality")
    return out
