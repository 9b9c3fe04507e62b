"""A verdict in a word for each cultivar, and the factor that holds it back most, from the list of its factors."""

import msgspec
import numpy as np
import numpy.typing as npt

from domain.common.arrays import Floats
from domain.suitability.factors import FactorCode, Outcome, Verdict
from domain.suitability.ranking import cautious, hopeful, merit, merit_shares, weights_by_outcome
from domain.suitability.site_fit import SiteFit
from domain.suitability.suitability_request import Weights
from domain.tables.parameters import figures

BEST_FIRST: tuple[Verdict, ...] = ("plant", "worth_trying", "not_here", "not_known")
"""The order of an answer: what too little is known of has no number to stand by, and comes last."""

Flags = npt.NDArray[np.bool_]


class VerdictFigures(msgspec.Struct, frozen=True):
    """See parameters/suitability.csv, subject verdicts."""

    plant_years: float
    plant_years_where_the_site_takes_more: float
    plant_survival: float
    plant_unspoilt_of_resistant: float
    plant_quality: float
    plant_merit: float
    try_years: float
    try_survival: float
    try_quality: float
    stands_heat: float
    lifts_from: float
    lowers_below: float
    undecided_years: float
    hardly_limits: float


FIGURES = figures("suitability", "verdicts", VerdictFigures)


def verdicts(fit: SiteFit, *, no_spray: bool = False) -> list[Verdict]:
    """A verdict for each cultivar.

    A cultivar is advised by the cautious end of what is known and refused by the hopeful one, so that no verdict turns
    on a small difference inside its own doubt; what bearing every other year takes is no ground for either, since
    thinning wins it back. What frost or want of chill takes from every cultivar alike is the site's: there the
    years asked of one to plant, or to try, are fewer, down to a floor. Nor does what heat takes from all fruit of a
    day count against what is known to stand it.
    One is not advised that falls far short of what suits the site, though it crops (`_falls_short`). no_spray: whether
    disease of unsprayed fruit counts. `not_here` never rests on imputed or remembered figures alone: what they alone
    would refuse is `not_known`. Nor does it rest on what judgement alone takes for salt or lime, which lowers to
    `worth_trying` and no further. What is proven in like climates moves a verdict by one class at most (`_heard`).
    """
    crop = fit.thinned_crop
    survival, quality = fit.outcomes["tree_survival"], fit.outcomes["quality"]
    plant = _crops_enough(fit)
    plant &= survival.likely >= FIGURES.plant_survival
    plant &= ~_spoilt_by_disease(fit, no_spray)
    plant &= ~_poor_fruit(fit)
    plant &= ~_falls_short(fit)
    refused = (10.0 * hopeful(crop) < _years_to_try(fit)) | (hopeful(survival) < FIGURES.try_survival)
    refused |= _spoilt_by_heat(fit, hopeful(quality))
    sure = np.zeros_like(refused)
    rows = np.nonzero(refused)[0]
    sure[rows] = _refused_by_sources(fit, rows)
    undecided = (fit.own_range > FIGURES.undecided_years) & ~sure
    undecided &= (10.0 * crop.likely < FIGURES.plant_years) & (10.0 * crop.high > FIGURES.try_years)
    undecided |= np.isnan(fit.factor("ripening_heat").inputs[0].value)
    undecided |= np.array([cultivar.status != "advised" for cultivar in fit.cultivars])
    undecided |= refused & ~sure
    words: list[Verdict] = []
    for unknown, fails, best in zip(undecided.tolist(), refused.tolist(), plant.tolist(), strict=True):
        if unknown:
            words.append("not_known")
        elif fails:
            words.append("not_here")
        else:
            words.append("plant" if best else "worth_trying")
    return _heard(fit, words, no_spray)


def _heard(fit: SiteFit, words: list[Verdict], no_spray: bool) -> list[Verdict]:
    """The verdicts as the witnesses move them, where they are sure beyond their own error.

    They make `plant` of what is worth trying where its likely figures would do and only their doubt stands against it,
    chill at the high end of what is known (`_crop_if_chill_suffices`), and never alone; nor of what disease spoils
    where nobody sprays, since most of them do, nor of what heat makes poor, since theirs may stand higher. They lift a
    refusal that rests on frost, warmth to ripen or eating quality, not one for cold, chill or disease that kills. They
    lower `plant` to `worth_trying`; nothing becomes `not_here` by them.
    """
    proven = fit.factor("proven_in_like_climates")
    good, bad = (proven.low > FIGURES.lifts_from).tolist(), (proven.high < FIGURES.lowers_below).tolist()
    survival = fit.outcomes["tree_survival"].likely
    likely = 10.0 * _crop_if_chill_suffices(fit) >= years_asked(fit)
    likely &= (survival >= FIGURES.plant_survival) & ~_poor_fruit(fit)
    likely &= ~_spoilt_by_disease(fit, no_spray)
    enough = likely.tolist()
    told = [row for row, word in enumerate(words) if good[row] and word in {"not_here", "not_known"}]
    liftable = _refused_by_what_witnesses_know(fit, np.array(told, dtype=np.intp))
    heard: list[Verdict] = []
    for row, word in enumerate(words):
        if word == "plant" and bad[row]:
            heard.append("worth_trying")
        elif word == "worth_trying" and good[row] and enough[row]:
            heard.append("plant")
        elif row in liftable:
            heard.append("worth_trying")
        else:
            heard.append(word)
    return heard


def _crop_if_chill_suffices(fit: SiteFit) -> Floats:
    """The thinned crop (n,), all likely but the chill of what is grown with no more of it: that is at its high end.

    Needs are known to six or ten portions and a mild winter to as many: whoever grows it there knows better than both.
    """
    chill = fit.factor("winter_chill")
    known_there = np.where(fit.chill_suffices, chill.high / np.maximum(chill.likely, np.float32(1e-4)), np.float32(1.0))
    crop: Floats = np.minimum(fit.thinned_crop.likely * known_there, np.float32(1.0))
    return crop


_WITNESSES_KNOW: tuple[FactorCode, ...] = ("frost_at_bloom", "ripening_heat")
"""Factors of the crop whose refusal a witness may lift: who grows it there sees that it flowers and ripens."""


def _refused_by_what_witnesses_know(fit: SiteFit, rows: npt.NDArray[np.intp]) -> set[int]:
    """Which of some rows, of known ripening, would be worth trying were it not for frost, warmth and quality."""
    chance = np.ones((rows.size, fit.crop_chance.shape[1]), dtype=fit.crop_chance.dtype)
    for factor in fit.factors:
        if factor.by_season is not None and factor.code not in _WITNESSES_KNOW:
            chance = chance * factor.by_season[rows]
    crop = chance.mean(axis=1) * fit.alive[rows]
    enough = (10.0 * crop >= _years_to_try(fit)[rows]) & (
        fit.outcomes["tree_survival"].likely[rows] >= FIGURES.try_survival
    )
    known = ~np.isnan(fit.factor("ripening_heat").inputs[0].value[rows])
    return {row for row in rows[enough & known].tolist() if fit.cultivars[row].status == "advised"}


def _crops_enough(fit: SiteFit) -> Flags:
    """Which bear years enough to be advised (n,), thinned, of those that the site leaves to any."""
    return np.asarray(10.0 * cautious(fit.thinned_crop) >= years_asked(fit))


def bears_as_grown_alike(fit: SiteFit) -> Flags:
    """Which bear years enough by the word of those who grow them in a like climate (n,), not by their need alone."""
    return np.asarray(10.0 * fit.thinned_crop.likely < years_asked(fit)) & fit.chill_suffices


def years_asked(fit: SiteFit) -> float:
    """Years of ten asked of a cultivar to plant, of those that frost and chill leave to what suits it; with a floor."""
    return max(FIGURES.plant_years * fit.site_leaves, FIGURES.plant_years_where_the_site_takes_more)


def _years_to_try(fit: SiteFit) -> Floats:
    """Years of ten (n,) under which a cultivar is refused, of those that figures without a source would leave it.

    Fewer, as of one to plant, of a cultivar that lacks frost-free springs or chill most, which the site takes from all.
    """
    usual = FIGURES.try_years * fit.judged_share
    by_site = np.minimum(fit.factor("frost_at_bloom").likely, fit.factor("winter_chill").likely)
    least = np.min([factor.likely for factor in fit.factors if factor.outcome == "crop"], axis=0)
    return np.where(by_site <= least, usual * years_asked(fit) / FIGURES.plant_years, usual)


def _poor_fruit(fit: SiteFit) -> Flags:
    """Whose fruit is too poor to advise it (n,).

    Where a source says how it stands heat, beside what heat leaves that day to the one that stands it best; else by
    itself, since what is only supposed to stand heat would be advised for being picked in the hottest weeks.
    """
    beside = np.where(fit.factor("fruit_quality").weak, np.float32(1.0), fit.heat_leaves)
    return np.asarray(fit.outcomes["quality"].likely < FIGURES.plant_quality * beside)


def _spoilt_by_disease(fit: SiteFit, no_spray: bool) -> Flags:
    """Whose fruit disease would spoil unsprayed, far beyond that of a resistant cultivar (n,); nobody's if sprayed."""
    least = FIGURES.plant_unspoilt_of_resistant * fit.unspoilt_resistant if no_spray else 0.0
    return np.asarray(fit.unspoilt < least)


USUAL = Weights()
"""A verdict is the same whatever a caller ranks by."""


def _falls_short(fit: SiteFit) -> Flags:
    """Which are worth far less here than one that suits the site (n,): others should come first."""
    return np.asarray(merit(fit, USUAL) < FIGURES.plant_merit)


_SHARES: tuple[Outcome, ...] = ("crop", "tree_survival", "quality", "sound_fruit")


def _shortest(fit: SiteFit) -> npt.NDArray[np.intp]:
    """What takes most of the worth of each cultivar beside one that suits the site (n,).

    Place in `_SHARES`; past its end it is what is proven.
    """
    weighed, shares = weights_by_outcome(USUAL), merit_shares(fit)
    proven = np.clip(2.0 * fit.outcomes["proven_in_like_climates"].likely, 1e-6, 1.0)
    lost = [weighed[outcome] * np.log(shares[outcome]) for outcome in _SHARES]
    return np.asarray(np.stack([*lost, USUAL.proven_in_like_climates * np.log(proven)]).argmin(axis=0))


def _spoilt_by_heat(fit: SiteFit, quality: Floats) -> Flags:
    """Whose fruit heat makes too poor to try (n,); one that stands heat is the best that a hot place can have.

    Too little warmth makes fruit sharp, which lowers a cultivar and refuses none: it can still be cooked.
    """
    heat_tolerance = fit.factor("fruit_quality").inputs[0].value
    return np.asarray((quality < FIGURES.try_quality * fit.sharp) & (heat_tolerance < FIGURES.stands_heat))


def _refused_by_sources(fit: SiteFit, rows: npt.NDArray[np.intp]) -> Flags:
    """Which of these rows are refused even if all that no source gives were as favourable as it is anywhere."""
    disease, quality, survives = fit.factor("tree_disease"), fit.factor("fruit_quality"), fit.outcomes["tree_survival"]
    unsure = disease.weak[rows] | fit.factor("winter_cold").weak[rows]
    crop = fit.crop_at_best(rows) * np.where(unsure, 1.0, fit.alive[rows])
    survival = np.where(unsure, 1.0, hopeful(survives)[rows])
    spoilt = _spoilt_by_heat(fit, hopeful(fit.outcomes["quality"]))[rows]
    spoilt &= np.where(quality.weak[rows], quality.at_best(rows), quality.likely[rows]) < (
        FIGURES.try_quality * fit.sharp[rows]
    )
    refused: Flags = (10.0 * crop < _years_to_try(fit)[rows]) | (survival < FIGURES.try_survival) | spoilt
    return refused


def limiting_factors(fit: SiteFit, *, no_spray: bool = False) -> list[FactorCode]:
    """The factor that costs each cultivar most.

    What would refuse it stands first: the least factor of the crop, then the tree's life, then the fruit; then what
    keeps it from being advised, in the same order, and what takes most of its worth beside one that suits the site;
    else the least factor of the crop that leaves less than nine years of ten, else the lesser of sound fruit and
    quality.
    """
    crop = [factor for factor in fit.factors if factor.outcome == "crop"]
    shares = np.stack([factor.likely for factor in crop])
    lowest = shares.argmin(axis=0)
    survival, quality = fit.outcomes["tree_survival"], fit.outcomes["quality"]
    spoilt = _spoilt_by_heat(fit, hopeful(quality)).tolist()
    sound_least = (cautious(fit.outcomes["sound_fruit"]) <= quality.likely).tolist()
    unproven = fit.factor("proven_in_like_climates").high < FIGURES.lowers_below
    fails = (10.0 * hopeful(fit.thinned_crop) < _years_to_try(fit)).tolist()
    dies = (hopeful(survival) < FIGURES.try_survival).tolist()
    frail = (survival.likely < FIGURES.plant_survival).tolist()
    kept_from: tuple[tuple[FactorCode, Flags], ...] = (
        ("fruit_quality", _poor_fruit(fit)),
        ("sound_fruit", _spoilt_by_disease(fit, no_spray)),
        ("proven_in_like_climates", unproven),
    )
    kept = [(code, flags.tolist()) for code, flags in kept_from]
    short, shortest, of_tree = _falls_short(fit).tolist(), _shortest(fit).tolist(), _of_tree(fit)
    enough, hinders = _crops_enough(fit).tolist(), (shares.min(axis=0) < FIGURES.hardly_limits).tolist()
    found: list[FactorCode] = []
    for row, index in enumerate(lowest.tolist()):
        if not fails[row] and dies[row]:
            found.append(of_tree[row])
        elif not fails[row] and spoilt[row]:
            found.append("fruit_quality")
        elif fails[row] or (hinders[row] and not enough[row]):
            found.append(crop[index].code)
        elif frail[row]:
            found.append(of_tree[row])
        elif (code := next((code for code, flags in kept if flags[row]), None)) is not None:
            found.append(code)
        elif short[row]:
            by_outcome: tuple[FactorCode, ...] = (
                crop[index].code,
                of_tree[row],
                "fruit_quality",
                "sound_fruit",
                "proven_in_like_climates",
            )
            found.append(by_outcome[shortest[row]])
        elif hinders[row]:
            found.append(crop[index].code)
        else:
            found.append("sound_fruit" if sound_least[row] else "fruit_quality")
    return found


def _of_tree(fit: SiteFit) -> list[FactorCode]:
    """What chiefly takes each tree: winter cold or disease."""
    disease = fit.factor("tree_disease").likely
    cold = fit.outcomes["tree_survival"].likely / np.maximum(disease, np.float32(1e-9))
    return ["tree_disease" if by_disease else "winter_cold" for by_disease in (disease <= cold).tolist()]
