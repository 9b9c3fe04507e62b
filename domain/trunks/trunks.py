"""Several cultivars on one trunk that live together, and the scion by which a lone tree sets fruit.

A set is worth its cultivars, each with a pollen source on the trunk, ripening at different times; it loses where vigour
differs (the strong crowd the weak: W. Upham, Multiple Grafts on Apple Trees, Kansas State University) and where one
that carries fire blight or canker stands among others. Chosen by adding the best one at a time and then exchanging
single cultivars until no exchange helps: a good set, without proof that it is the best.

Extension services disagree whether such trees last: some graft them as a matter of course, others see parts lost to
the stronger ones within years. The answer says so, and what keeps the balance.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.asked_names import resolve_each
from domain.common.cautions import Caution
from domain.common.faults import ContentFault, ContentFaults, collecting, pointer
from domain.fruit.diseases import DISEASE_BY_ID
from domain.fruit.kinds import planted_for_fruit
from domain.orchard_site.conditions import SiteConditions
from domain.pollination.bloom_overlap import BloomWindows, reference_windows
from domain.pollination.pairs import FIGURES as PAIRS
from domain.pollination.pairs import PairTable, explain, pair_table
from domain.pollination.pairs_answer import Catalogue
from domain.suitability.ranking import rank_values
from domain.suitability.site_fit import site_fit
from domain.suitability.suitability_request import Weights
from domain.tables.cautions import GRAFTING_KNIVES, LADDERS, PLANT_HEALTH
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.rootstocks import rootstock_names
from domain.tables.words import Sentence, say
from domain.traits.catalogue import Catalogue as SitedCatalogue
from domain.trunks.trunk_answer import (
    Limb,
    LimbSource,
    MultiCultivarTree,
    MultiCultivarTreeRequest,
    PollenScion,
)
from domain.trunks.trunk_work import JobsOf, when, work_steps


class TrunkFigures(msgspec.Struct, frozen=True):
    """What makes cultivars live together on one trunk."""

    unknown_vigour: float
    vigour_cost: float
    vigour_borne: float
    pollen_worth: float
    season_worth: float
    carrier_cost: float
    slot_days: int
    very_susceptible: float
    unknown_susceptibility: float
    grafts_a_year: int
    virus_sensitive: tuple[str, ...]
    pollen_scions: int
    least_pollen_chance: float
    most_unnamed: int
    far_in_vigour: float
    told_in_vigour: float


FIGURES = figures("trunks", "trunks", TrunkFigures)

CARRIED = tuple(name for name, disease in DISEASE_BY_ID.items() if disease.runs_in_wood)
"""Diseases that run from one limb into the whole tree."""


@dataclass(frozen=True)
class TrunkSet:
    """Arrays over the candidates: worth, vigour, day of ripening (NaN unknown), carriers, pollination chances."""

    worth: NDArray[np.float64]
    vigour: NDArray[np.float64]
    ripens: NDArray[np.float64]
    carries: NDArray[np.bool_]
    chance: NDArray[np.float64]

    def value(self, chosen: Sequence[int]) -> float:
        """What a set of candidates is worth on one trunk."""
        rows = np.array(chosen)
        far = np.abs(self.vigour[rows] - self.vigour[rows].mean())
        crowded = float(np.maximum(far - FIGURES.vigour_borne, 0.0).sum())
        total = float(self.worth[rows].sum()) - FIGURES.vigour_cost * crowded
        if len(rows) > 1:
            served = self.chance[np.ix_(rows, rows)].copy()
            np.fill_diagonal(served, 0.0)
            total += FIGURES.pollen_worth * float(np.minimum(served.max(axis=1) / PAIRS.effective_chance, 1.0).sum())
        slots = np.unique(np.floor(self.ripens[rows][np.isfinite(self.ripens[rows])] / FIGURES.slot_days))
        carriers = int(self.carries[rows].any(axis=1).sum())
        return total + FIGURES.season_worth * len(slots) - FIGURES.carrier_cost * (carriers if len(rows) > 1 else 0)


def candidates(
    request: MultiCultivarTreeRequest, tables: Catalogue, worth: Mapping[str, float] | None = None
) -> tuple[Cultivar, ...]:
    """The cultivars among which the choice is made, the trunk's own first, then those to include.

    worth: by cultivar id; where nothing is said of what can be had, the most worthy ones are the candidates.
    Raises ContentFaults for unknown names, an unknown rootstock, or an aim that lacks the trunk's cultivar.
    """
    faults: list[ContentFault] = []
    trunk = request.trunk
    own = trunk.cultivar if trunk is not None else None
    if request.aim == "pollen_for_the_trunk" and own is None:
        faults.append(ContentFault(pointer("trunk", "cultivar"), "Expected the cultivar that needs pollen."))
    if trunk is not None and trunk.rootstock is not None:
        with collecting(faults):
            resolve_each(rootstock_names(), [(pointer("trunk", "rootstock"), trunk.rootstock)], what="rootstock")
    asked = [] if own is None else [(pointer("trunk", "cultivar"), own)]
    asked += [(pointer("must_include", n), name) for n, name in enumerate(request.must_include)]
    available = request.available or ()
    try:
        first = resolve_each(tables.names, asked)
        others = resolve_each(tables.names, [(pointer("available", n), name) for n, name in enumerate(available)])
    except ContentFaults as unknown:
        raise ContentFaults([*faults, *unknown.faults]) from unknown
    if request.available is None and worth is None:
        detail = "Expected the scions that can be had, or a site, which tells what is worth growing there."
        faults.append(ContentFault(pointer("available"), detail))
    if len(first) > request.cultivars:
        detail = f"{len(first)} cultivars are on the tree or to be included; raise cultivars or leave some out."
        faults.append(ContentFault(pointer("cultivars"), detail))
    if faults:
        raise ContentFaults(faults)
    if worth is not None and request.available is None:
        known = [c for c in worth if "bloom_offset_days" in tables.by_id[c].numbers]
        others = tuple(sorted(known, key=lambda c: (-worth[c], c))[: FIGURES.most_unnamed])
    ids = dict.fromkeys([*first, *others])
    found = [tables.by_id[cultivar_id] for cultivar_id in ids]
    columnar = {cultivar.id for cultivar in found if _is(cultivar, "growth_form", "columnar")}
    kept = tuple(c for c in found if c.id in first or c.id not in columnar)
    if request.available is not None and not kept:
        detail = "Columnar cultivars make no limbs on another tree; expected others too."
        raise ContentFaults([ContentFault(pointer("available"), detail)])
    return kept


def worth_at_site(
    request: MultiCultivarTreeRequest, catalogue: SitedCatalogue, conditions: SiteConditions
) -> dict[str, float]:
    """What the advised apples, and whatever the request names, are worth at a site: rank values by id.

    Call `candidates` first: names that are not known are left out.
    """
    tables = catalogue.tables
    trunk = request.trunk.cultivar if request.trunk is not None else None
    named = [name for name in (trunk, *request.must_include, *(request.available or ())) if name is not None]
    ids = {tables.names.resolve(name) for name in named}
    chosen = [c for c in tables.cultivars if c.id in ids or (c.status == "advised" and planted_for_fruit(c))]
    fit = site_fit(conditions, catalogue.choose(chosen))
    return dict(zip((c.id for c in fit.cultivars), rank_values(fit, Weights()).tolist(), strict=True))


def multi_cultivar_tree(
    request: MultiCultivarTreeRequest,
    tables: Catalogue,
    windows: BloomWindows | None = None,
    worth: Mapping[str, float] | None = None,
    jobs: JobsOf | None = None,
) -> MultiCultivarTree:
    """Choose the cultivars of one trunk, or the scion that serves a lone tree.

    windows: bloom at the site, in the order of `candidates` for the same request and worth; at the reference places if
    None. worth: what each cultivar is worth at the site by id (0 to 1, as `rank_value`); all alike if None. jobs: those
    that some cultivars bring at the site. Raises ContentFaults.
    """
    found = candidates(request, tables, worth)
    table = pair_table(found, tables.by_id, reference_windows(found) if windows is None else windows)
    own = 1 if request.trunk is not None and request.trunk.cultivar is not None else 0
    fixed = own + len(request.must_include)
    if request.aim == "pollen_for_the_trunk":
        scions = _pollen_scions(table)
        why = [say("trunk_one_limb_serves" if scions else "trunk_no_scion_serves")]
        if not table.windows.known[0]:
            why = [say("trunk_bloom_unknown", cultivar=found[0].name, id=found[0].id)]
        elif scions and scions[0].probability < PAIRS.effective_chance:
            why.append(say("trunk_no_scion_serves_surely"))
        on_tree = [found[0], *(tables.by_id[scion.id] for scion in scions)]
        steps = work_steps(None if jobs is None else jobs(on_tree))
        return MultiCultivarTree(
            limbs=(), pollen_scions=scions, work=steps, why=(*why, *when(jobs)), cautions=_cautions()
        )
    choice = TrunkSet(
        worth=np.array([1.0 if worth is None else worth.get(c.id, 0.0) for c in found]),
        vigour=np.array([_number(c, "vigour", FIGURES.unknown_vigour) for c in found]),
        ripens=np.array([_number(c, "ripening_offset_days", np.nan) for c in found]),
        carries=np.array([[_susceptibility(c, d) >= FIGURES.very_susceptible for d in CARRIED] for c in found]).reshape(
            len(found), len(CARRIED)
        ),
        chance=table.chance.astype(np.float64),
    )
    chosen = choose(choice, fixed, min(request.cultivars, len(found)))
    limbs = _limbs(request, table, choice, chosen, own)
    why = [say("trunk_balance"), say("trunk_may_not_last")]
    stock = request.trunk.rootstock if request.trunk is not None else None
    if stock is not None and rootstock_names().resolve(stock) in FIGURES.virus_sensitive:
        why.append(say("trunk_virus_tested_scions"))
    steps = work_steps(None if jobs is None else jobs([found[row] for row in chosen]))
    return MultiCultivarTree(limbs=limbs, pollen_scions=(), work=steps, why=(*why, *when(jobs)), cautions=_cautions())


def choose(choice: TrunkSet, fixed: int, most: int) -> list[int]:
    """At most so many candidates (rows), the first `fixed` among them, that together are worth most."""
    chosen = list(range(fixed))
    while len(chosen) < most:
        rest = [row for row in range(len(choice.worth)) if row not in chosen]
        best = max(rest, key=lambda row: (choice.value([*chosen, row]), -row))
        if chosen and choice.value([*chosen, best]) <= choice.value(chosen):
            break
        chosen.append(best)
    for _ in range(20):
        now = choice.value(chosen)
        swaps = [
            [*chosen[:place], row, *chosen[place + 1 :]]
            for place in range(fixed, len(chosen))
            for row in range(fixed, len(choice.worth))
            if row not in chosen
        ]
        best_swap = max(swaps, key=choice.value, default=chosen)
        if choice.value(best_swap) <= now + 1e-9:
            break
        chosen = best_swap
    return chosen


def _limbs(
    request: MultiCultivarTreeRequest, table: PairTable, choice: TrunkSet, chosen: Sequence[int], own: int
) -> tuple[Limb, ...]:
    mean = float(choice.vigour[list(chosen)].mean())
    earliest = np.nanmin(choice.ripens[list(chosen)]) if np.isfinite(choice.ripens[list(chosen)]).any() else np.nan
    limbs = []
    grafted = 0
    far = FIGURES.far_in_vigour
    for row in chosen:
        cultivar = table.cultivars[row]
        on_tree = row < own
        grafted += not on_tree
        beyond = float(choice.vigour[row]) - mean
        sources = tuple(
            LimbSource(cultivar=table.cultivars[other].name, id=table.cultivars[other].id)
            for other in chosen
            if other != row and choice.chance[row, other] >= PAIRS.effective_chance
        )
        words = _limb_words(cultivar, choice, row, chosen)
        if not sources and len(chosen) > 1:
            words.append(say("limb_needs_a_tree_nearby"))
        limbs.append(
            Limb(
                cultivar=cultivar.name,
                id=cultivar.id,
                on_the_tree=on_tree,
                place="low" if beyond > far else "high_sunny" if beyond < -far else "anywhere",
                graft_in_year=None if on_tree else (grafted - 1) // FIGURES.grafts_a_year + 1,
                vigour=cultivar.numbers["vigour"].value if "vigour" in cultivar.numbers else None,
                pollen_from=sources,
                ripens_after_first_days=(
                    int(choice.ripens[row] - earliest) if np.isfinite(choice.ripens[row]) else None
                ),
                words=tuple(words),
            )
        )
    return tuple(limbs)


def _limb_words(cultivar: Cultivar, choice: TrunkSet, row: int, chosen: Sequence[int]) -> list[Sentence]:
    words = []
    mean = float(choice.vigour[list(chosen)].mean())
    if "vigour" not in cultivar.numbers:
        words.append(say("limb_vigour_unknown"))
    elif choice.vigour[row] > mean + FIGURES.told_in_vigour:
        words.append(say("limb_strong"))
    elif choice.vigour[row] < mean - FIGURES.told_in_vigour:
        words.append(say("limb_weak"))
    for disease, carried in zip(CARRIED, choice.carries[row], strict=True):
        if carried:
            words.append(say("limb_carries_disease", disease=disease))
    if _is(cultivar, "ploidy", "3"):
        words.append(say("limb_triploid"))
    return words


def _pollen_scions(table: PairTable) -> tuple[PollenScion, ...]:
    """The scions that serve the first cultivar of the table best; like vigour decides between equal ones."""
    vigour = [_number(cultivar, "vigour", FIGURES.unknown_vigour) for cultivar in table.cultivars]
    rows = [row for row in range(1, len(table.cultivars)) if table.chance[0, row] >= FIGURES.least_pollen_chance]
    rows.sort(key=lambda row: (-round(float(table.chance[0, row]), 2), abs(vigour[row] - vigour[0]), row))
    best = rows[: FIGURES.pollen_scions]
    return tuple(
        PollenScion(
            cultivar=table.cultivars[row].name,
            id=table.cultivars[row].id,
            probability=round(float(table.chance[0, row]), 2),
            reasons=pair.reasons,
        )
        for row, pair in zip(best, explain(table, [(0, row) for row in best]), strict=True)
    )


def _cautions() -> tuple[Caution, ...]:
    return (PLANT_HEALTH, GRAFTING_KNIVES, LADDERS)


def _number(cultivar: Cultivar, trait: str, missing: float) -> float:
    return cultivar.numbers[trait].value if trait in cultivar.numbers else missing


def _susceptibility(cultivar: Cultivar, disease: str) -> float:
    return _number(cultivar, f"susceptibility_{disease}", FIGURES.unknown_susceptibility)


def _is(cultivar: Cultivar, trait: str, value: str) -> bool:
    return trait in cultivar.findings and cultivar.findings[trait].value == value
