"""By how much what is told of a tree, and what its site and cultivar make likely, moves the odds of a cause.

A fact that is not told leaves the odds as they are.
"""

from collections.abc import Callable
from functools import cache, partial

from domain.fruit.complaints import Complaint
from domain.fruit.signs import PARTS_OF
from domain.hazards.spot import FIGURES as SPOT
from domain.reviews.cause_facts import FIGURES, TreeFacts
from domain.suitability.fruit_factors import FIGURES as FRUIT

OF_BLOOM: frozenset[Complaint] = frozenset({"no_bloom", "bloom_but_no_fruit", "crops_every_other_year"})
"""Complaints of a tree whose bloom was cut off: on shoot tips, or by the cuts that keep a form."""
OF_LEAVES: frozenset[Complaint] = frozenset({"leaves_drop", "ailing_leaves"})
"""Complaints of leaves that a disease of leaves makes."""
OF_PITTED_FRUIT: frozenset[Complaint] = frozenset({"spotted", "fruit_rots"})
"""Complaints that bitter pit makes: spots, and after weeks in store what passes for a rot."""


@cache
def weigher(cause: str, complaint: Complaint) -> Callable[[TreeFacts], float]:
    """What tells by how much the facts of a tree move the odds of a cause of a complaint."""
    kind, _, what = cause.partition(":")
    if kind == "disease":
        return partial(_scab, complaint) if what == "scab" else partial(_disease, what)
    if kind == "insect":
        return partial(_insect, what)
    if kind in _LOSSES:
        return partial(_loss, kind, _LOSSES[kind])
    if kind in _BY_COMPLAINT:
        return partial(_BY_COMPLAINT[kind], complaint)
    return _TOLD.get(kind, _nothing)


def _nothing(_: TreeFacts) -> float:
    """Of a cause that no fact speaks of."""
    return 1.0


def _disease(what: str, facts: TreeFacts) -> float:
    return _of_site(facts.diseases.get(what, 0.0))


def _scab(complaint: Complaint, facts: TreeFacts) -> float:
    """Of leaves of crab apples it is what services name before all else."""
    odds = _disease("scab", facts) * _from_fallen_leaves(complaint, facts)
    return odds * FIGURES.more if facts.crab and complaint in OF_LEAVES else odds


def _from_fallen_leaves(complaint: Complaint, facts: TreeFacts) -> float:
    """Fungi that live from one spring to the next in leaves on the ground find few beneath a newly planted tree."""
    return FIGURES.less if complaint in OF_LEAVES and _newly_planted(facts) else 1.0


def _newly_planted(facts: TreeFacts) -> bool:
    return facts.age is not None and facts.age < FIGURES.settled_years


def _insect(what: str, facts: TreeFacts) -> float:
    return _of_site(facts.insects[what]) if what in facts.insects else 0.0


def _loss(kind: str, factor: str, facts: TreeFacts) -> float:
    lost = facts.lost.get(factor, 0.0)
    return _floor(kind, lost) + _of_crop(lost)


_LOSSES = {
    "frost_took_the_bloom": "frost_at_bloom",
    "too_little_chill": "winter_chill",
    "bees_weather": "pollination",
    "winter_injury": "winter_cold",
    "too_late_for_the_season": "ripening_heat",
}
"""Causes that a factor of suitability speaks of."""


def _of_site(share: float) -> float:
    """Odds of what takes a share of the crops or of the fruit here: little where it takes little."""
    return FIGURES.site_floor + FIGURES.site_slope * share


_LEAST = {"frost_took_the_bloom": FIGURES.least_frost, "winter_injury": FIGURES.least_winter_loss}
"""Share of the crops from which the weather behind a cause counts as what happens there."""


def _floor(kind: str, share: float) -> float:
    """Odds of a cause where its factor takes next to no crop: a spring's weather does harm wherever it can happen."""
    if kind == "bees_weather":
        return FIGURES.weather_floor
    if kind not in _LEAST:
        return FIGURES.site_floor
    happens = min(share / _LEAST[kind], 1.0)
    return FIGURES.site_floor + (FIGURES.weather_floor - FIGURES.site_floor) * happens


def _of_crop(share: float) -> float:
    """What a share of the crops that a factor takes here adds: it rises with the odds that it takes one."""
    taken = min(share, FIGURES.most_lost)
    return FIGURES.loss_slope * taken / (1.0 - taken)


def _partner(facts: TreeFacts) -> float:
    if facts.pollinated >= FIGURES.well_served:
        return FIGURES.much_less
    odds = (1.0 - facts.pollinated) / (1.0 - FIGURES.usual_chance)
    return odds * FIGURES.less if _cropped_lately(facts) else odds  # somebody served it then


def _young(facts: TreeFacts) -> float:
    if facts.cropped_years_ago is not None:
        return FIGURES.much_less
    if facts.age is None:
        return 1.0
    if facts.age < facts.bears_from:
        return FIGURES.much_more
    if facts.age <= facts.bears_by:
        return FIGURES.more
    return 1.0 if facts.age <= facts.bears_late else FIGURES.much_less


def _old(facts: TreeFacts) -> float:
    if facts.age is None:
        return 1.0
    return FIGURES.more if facts.age >= FIGURES.old_years else FIGURES.much_less


def _vigorous(facts: TreeFacts) -> float:
    """That a strong cultivar grows wood for years is its youth, until trees of its stock should bear."""
    odds = {"hard": FIGURES.more, "none": FIGURES.less}.get(facts.pruning or "", 1.0)
    odds *= {"much": FIGURES.more, "none": FIGURES.less}.get(facts.feeding or "", 1.0)
    young = facts.age is not None and facts.age <= facts.bears_by
    if facts.vigour is not None and facts.vigour >= FIGURES.strong_vigour and not young:
        odds *= FIGURES.more
    if facts.outgrown:
        odds *= FIGURES.more
    if facts.outgrown is False and facts.pruning != "hard":
        odds *= FIGURES.less  # its crown is what its roots make
    return odds


def _pruning(complaint: Complaint, facts: TreeFacts) -> float:
    """Cuts that take the bloom leave a tree without it; they make neither a crown too wide nor fruit small."""
    unfit = facts.form_unfit and complaint in OF_BLOOM
    return _how_pruned(complaint, facts) * (FIGURES.much_more if unfit else 1.0)


def _how_pruned(complaint: Complaint, facts: TreeFacts) -> float:
    if tips_may_be_cut(complaint, facts):
        return FIGURES.much_more if facts.pruning == "hard" else FIGURES.more
    if facts.pruning == "hard":
        return FIGURES.more
    if facts.pruning == "none":
        young = facts.age is not None and facts.age <= facts.bears_from
        return 1.0 if young else FIGURES.more
    return 1.0 if facts.pruning is None else FIGURES.less


def tips_may_be_cut(complaint: Complaint, facts: TreeFacts) -> bool:
    """Whether a tree that bears on its tips is pruned, and lacks the bloom that shortened shoots would take."""
    return complaint in OF_BLOOM and facts.on_tips and facts.pruning in ("moderate", "hard")


def _shade(facts: TreeFacts) -> float:
    if facts.sun_hours is None:
        return 1.0
    if facts.sun_hours < FIGURES.deep_shade_h:
        return FIGURES.much_more * FIGURES.more
    if facts.sun_hours < FIGURES.least_sun_h:
        return FIGURES.much_more
    return 1.0 if facts.sun_hours < FIGURES.full_sun_h else FIGURES.much_less


def _biennial(facts: TreeFacts) -> float:
    if facts.age is not None and facts.age < facts.bears_from:
        return FIGURES.much_less
    if facts.cropped_years_ago is not None and facts.cropped_years_ago >= FIGURES.cropped_long_ago_years:
        return FIGURES.much_less  # it would have cropped in between
    return _habit(facts) * (FIGURES.more if _cropped_lately(facts) else 1.0)


def _cropped_lately(facts: TreeFacts) -> bool:
    return facts.cropped_years_ago is not None and facts.cropped_years_ago <= FIGURES.cropped_lately_years


def _habit(facts: TreeFacts) -> float:
    """Odds by how far the cultivar is known to crop every other year."""
    if facts.biennial is None:
        return 1.0
    return FIGURES.less + (FIGURES.more - FIGURES.less) * min(facts.biennial / (2 * FIGURES.biennial_middle), 1.0)


def _wet(facts: TreeFacts) -> float:
    if facts.drainage is None and facts.texture is not None:  # clay often holds water, sand never does
        return {"clayey": FIGURES.more, "sandy": FIGURES.less}.get(facts.texture, 1.0)
    by_drainage = {"poor": FIGURES.much_more**2, "good": FIGURES.much_less}
    return by_drainage.get(facts.drainage or "", 1.0)


def _dry(facts: TreeFacts) -> float:
    """Watered trees want no water; of others what rain and soil leave them short of speaks, told or not, and that roots
    of a newly planted tree do not reach where the soil is moist.
    """
    if facts.irrigated:
        return FIGURES.much_less
    newly = FIGURES.more if _newly_planted(facts) else 1.0
    if facts.water is None:
        return newly
    odds = _of_crop(1.0 - facts.water)
    return newly * (odds if facts.irrigated is False else min(max(odds, FIGURES.less), FIGURES.more))


def _feeding(complaint: Complaint, facts: TreeFacts) -> float:
    """Of fruit, bitter pit: by what the cultivar is known for."""
    odds = FIGURES.more if facts.feeding == "much" else 1.0
    if facts.pits and complaint in OF_PITTED_FRUIT:
        odds *= FIGURES.more
    locked_up = facts.ph is not None and not SPOT.sour_ph <= facts.ph < SPOT.limy_ph
    return odds * FIGURES.more if locked_up else odds


def _salt(facts: TreeFacts) -> float:
    """No cause but where it is told."""
    return FIGURES.much_more if facts.salt_spray else 0.0


def _moved(facts: TreeFacts) -> float:
    if facts.age is None:
        return FIGURES.less
    return FIGURES.much_more if facts.age < FIGURES.settled_years else FIGURES.much_less


def _bearing(facts: TreeFacts) -> float:
    """Thinning and the natural drop are of trees that bear."""
    return FIGURES.less if facts.age is not None and facts.age < facts.bears_from else 1.0


def _close(facts: TreeFacts) -> float:
    return {True: FIGURES.much_more, False: FIGURES.much_less, None: 1.0}[facts.crowded]


def _strong_stock(facts: TreeFacts) -> float:
    odds = 1.0 if facts.outgrown is None else FIGURES.less if facts.outgrown else 1.0
    if facts.stock_percent is None:
        return odds
    if facts.stock_percent >= FIGURES.strong_stock_percent:
        return odds * FIGURES.more
    return odds * (FIGURES.much_less if facts.stock_percent <= FIGURES.weak_stock_percent else 1.0)


def _label(facts: TreeFacts) -> float:
    return FIGURES.much_more if facts.label_doubted else 1.0


def _moved_deep(facts: TreeFacts) -> float:
    """A tree that is set too deep fails in its first years."""
    if facts.age is None:
        return 1.0
    return FIGURES.more if facts.age < facts.bears_by else FIGURES.less


def _autumn(facts: TreeFacts) -> float:
    """Leaves colour and fall in the weeks around the day on which they are down; in spring and summer they do not."""
    if facts.after_leaf_fall is None:
        return FIGURES.less
    in_autumn = -FIGURES.colours_before_days <= facts.after_leaf_fall <= FIGURES.colours_after_days
    return FIGURES.much_more if in_autumn else 0.0


def _mottled(facts: TreeFacts) -> float:
    """No cause but of the few cultivars whose leaves do so."""
    return FIGURES.more if facts.mottles else 0.0


def _sunburnt(complaint: Complaint, facts: TreeFacts) -> float:
    """Hot days burn fruit and bark; bark is scalded in bright cold winters too, where few of them speak against it."""
    odds = _of_site(min(facts.very_hot_days / FRUIT.sunburn_days_for_all, 1.0))
    return odds if "fruit" in PARTS_OF[complaint] else max(odds, 1.0)


def _seedling(facts: TreeFacts) -> float:
    """A tree of a named stock was grafted."""
    return 1.0 if facts.stock_percent is None else FIGURES.much_less


_TOLD: dict[str, Callable[[TreeFacts], float]] = {
    "no_partner": _partner,
    "too_young": _young,
    "old_age": _old,
    "too_vigorous": _vigorous,
    "too_shaded": _shade,
    "biennial": _biennial,
    "drought": _dry,
    "wet_soil": _wet,
    "salt_spray": _salt,
    "transplant_shock": _moved,
    "needs_thinning": _bearing,
    "natural_drop": _bearing,
    "planted_too_close": _close,
    "stock_too_strong": _strong_stock,
    "mislabelled": _label,
    "autumn": _autumn,
    "seedling": _seedling,
    "leaf_mottle": _mottled,
    "crown_rot": _wet,
    "planted_too_deep": _moved_deep,
}
"""Causes that what is told of a tree speaks of."""
_BY_COMPLAINT: dict[str, Callable[[Complaint, TreeFacts], float]] = {
    "pruned_wrongly": _pruning,
    "sunburn": _sunburnt,
    "nutrition": _feeding,
    "leaf_blotch": _from_fallen_leaves,
}
"""Those of which it speaks in some complaints alone."""
