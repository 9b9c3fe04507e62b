"""Several cultivars on one trunk that live together, and the scion by which a lone tree sets fruit.

Extension services disagree whether such trees last: some graft them as a matter of course, others see parts lost to
the stronger ones within years. The answer says so, and what keeps the balance.
"""

from collections.abc import Sequence

import msgspec
import numpy as np

from domain.common.cautions import Caution
from domain.common.season_days import month_day
from domain.fruit.bearing import is_columnar
from domain.fruit.diseases import DISEASE_BY_ID
from domain.orchard_site.conditions import SiteConditions
from domain.pollination.pairs import FIGURES as PAIRS
from domain.pollination.pairs_in_words import explain
from domain.tables.cautions import GRAFTING_KNIVES, LADDERS, PLANT_HEALTH
from domain.tables.cultivars import Cultivar
from domain.tables.loading import Tables
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say
from domain.traits.catalogue import Catalogue
from domain.traits.fruit_like import fruit_like, said
from domain.traits.fruit_wishes import WishMet
from domain.trunks.trunk_answer import (
    Limb,
    LimbPicked,
    LimbPlace,
    LimbSource,
    MultiCultivarTree,
    MultiCultivarTreeRequest,
    PollenScion,
    Trunk,
)
from domain.trunks.trunk_candidates import TrunkPool, names_asked, pool_at_site, pool_without_site, with_age
from domain.trunks.trunk_choice import TrunkSet, choose
from domain.trunks.trunk_work import JobsOf, methods, when, work_steps
from domain.trunks.what_it_carries import carries, grafts_a_year, to_mind


class LimbFigures(msgspec.Struct, frozen=True):
    """What is taken of a limb of which it is unknown, and from when it is said of one."""

    unknown_vigour: float
    very_susceptible: float
    unknown_susceptibility: float
    pollen_scions: int
    least_pollen_chance: float
    far_in_vigour: float
    told_in_vigour: float


FIGURES = figures("trunks", "trunks", LimbFigures)

CARRIED = tuple(name for name, disease in DISEASE_BY_ID.items() if disease.runs_in_wood)
"""Diseases that run from one limb into the whole tree."""


def multi_cultivar_tree(
    request: MultiCultivarTreeRequest,
    tables: Tables,
    at: tuple[Catalogue, SiteConditions] | None = None,
    jobs: JobsOf | None = None,
) -> MultiCultivarTree:
    """Choose the cultivars of one trunk, or the scion that serves a lone tree.

    at: the catalogue and the conditions of the request's site; bloom as at the reference places if None. jobs: those
    that some cultivars bring there. Raises ContentFaults.
    """
    names = names_asked(request, tables)
    request = with_age(request, tables)
    own = None if request.trunk is None or request.trunk.cultivar is None else tables.by_id[names.first[0]]
    if own is not None and is_columnar(own):
        return _no_trunk_for_limbs(own)
    pool = pool_without_site(request, tables, names) if at is None else pool_at_site(request, *at, names)
    if request.aim == "pollen_for_the_trunk":
        return _for_pollen(request, pool, jobs)
    fixed, most = len(names.first), min(request.cultivars, max(carries(request.trunk), len(names.first)))
    choice = _as_set(pool, own is not None)
    chosen = choose(choice, fixed, min(most, len(pool.cultivars)))
    limbs = _limbs(request.trunk, pool, choice, chosen, own)
    why = to_mind(request.trunk, own, request.cultivars, fixed)
    if len(chosen) < most:
        why = (say("trunk_too_few_candidates", cultivars=len(chosen), asked=most), *why)
    if len(chosen) > 1:
        why = (*why, say("trunk_balance"), say("trunk_may_not_last"))
    on_tree = [pool.cultivars[row] for row in chosen]
    answer = MultiCultivarTree(
        limbs=limbs,
        carries_at_most=carries(request.trunk),
        pollen_scions=(),
        work=(),
        methods=(),
        why=tuple(why),
        cautions=_cautions(),
    )
    return _with_work(answer, on_tree, jobs) if any(one is not own for one in on_tree) else answer


def _with_work(answer: MultiCultivarTree, on_tree: Sequence[Cultivar], jobs: JobsOf | None) -> MultiCultivarTree:
    """The answer with how and when to graft. on_tree: the trunk's own cultivar and those that are grafted."""
    return msgspec.structs.replace(
        answer,
        work=work_steps(None if jobs is None else jobs(on_tree)),
        methods=methods(),
        why=(*answer.why, *when(jobs)),
    )


def _no_trunk_for_limbs(own: Cultivar) -> MultiCultivarTree:
    """A columnar trunk bears no limbs of others: nothing is grafted on it, and why."""
    why = (say("trunk_is_columnar", cultivar=own.name, id=own.id),)
    return MultiCultivarTree(
        limbs=(), carries_at_most=None, pollen_scions=(), work=(), methods=(), why=why, cautions=_cautions()
    )


def _for_pollen(request: MultiCultivarTreeRequest, pool: TrunkPool, jobs: JobsOf | None) -> MultiCultivarTree:
    scions = _pollen_scions(pool)
    own = pool.cultivars[0]
    why = [say("trunk_one_limb_serves" if scions else "trunk_no_scion_serves")]
    if not pool.table.windows.known[0]:
        why = [say("trunk_bloom_unknown", cultivar=own.name, id=own.id)]
    elif scions and scions[0].probability < PAIRS.effective_chance:
        why.append(say("trunk_no_scion_serves_surely"))
    by_id = {cultivar.id: cultivar for cultivar in pool.cultivars}
    on_tree = [own, *(by_id[scion.id] for scion in scions)]
    answer = MultiCultivarTree(
        limbs=(),
        carries_at_most=carries(request.trunk),
        pollen_scions=scions,
        work=(),
        methods=(),
        why=(*why, *to_mind(request.trunk, own, 2, 1)),
        cautions=_cautions(),
    )
    return _with_work(answer, on_tree, jobs) if scions else answer


def _as_set(pool: TrunkPool, own: bool) -> TrunkSet:
    cultivars = pool.cultivars
    ripens = np.array([_number(c, "ripening_offset_days", np.nan) for c in cultivars])
    if pool.sited is not None and pool.rows is not None:
        ripens = pool.sited.harvest_first[pool.rows].astype(np.float64)
    carried = [[_susceptibility(c, d) >= FIGURES.very_susceptible for d in CARRIED] for c in cultivars]
    return TrunkSet(
        worth=pool.worth,
        vigour=np.array([_number(c, "vigour", FIGURES.unknown_vigour) for c in cultivars]),
        ripens=ripens,
        carries=np.array(carried).reshape(len(cultivars), len(CARRIED)),
        chance=pool.table.chance.astype(np.float64),
        own=own,
    )


def _limbs(
    trunk: Trunk | None, pool: TrunkPool, choice: TrunkSet, chosen: Sequence[int], own: Cultivar | None
) -> tuple[Limb, ...]:
    mean = float(choice.vigour[list(chosen)].mean()) if chosen else 0.0
    known = [row for row in chosen if np.isfinite(choice.ripens[row])]
    earliest = min((float(choice.ripens[row]) for row in known), default=np.nan)
    year = _graft_years(trunk, pool, choice, chosen, own)
    limbs = []
    for row in chosen:
        cultivar = pool.cultivars[row]
        beyond = float(choice.vigour[row]) - mean
        sources = tuple(
            LimbSource(cultivar=pool.cultivars[other].name, id=pool.cultivars[other].id)
            for other in chosen
            if other != row and choice.chance[row, other] >= PAIRS.effective_chance
        )
        words = _limb_words(cultivar, choice, row, mean)
        if not sources and len(chosen) > 1:
            words.append(say("limb_needs_a_tree_nearby"))
        unknown = [wish for wish, has in pool.met[row].items() if has == "not_known"]
        words += [say("limb_wish_not_known", wishes=tuple(unknown))] if unknown else []
        at = None if pool.rows is None else int(pool.rows[row])
        limbs.append(
            Limb(
                cultivar=cultivar.name,
                id=cultivar.id,
                uses=said(cultivar, "uses") or None,
                fruit=fruit_like(cultivar),
                wishes=tuple(WishMet(wish=wish, met=has) for wish, has in pool.met[row].items()),
                on_the_tree=cultivar is own,
                verdict=None if pool.sited is None or at is None else pool.sited.verdict[at],
                picked=_picked(pool, at),
                place=None if "vigour" not in cultivar.numbers else _place(beyond),
                graft_in_year=year.get(row),
                vigour=cultivar.numbers["vigour"].value if "vigour" in cultivar.numbers else None,
                pollen_from=sources,
                ripens_after_first_days=int(choice.ripens[row] - earliest) if row in known else None,
                words=tuple(words),
            )
        )
    return tuple(limbs)


def _place(beyond: float) -> LimbPlace:
    far = FIGURES.far_in_vigour
    return "low" if beyond > far else "high_sunny" if beyond < -far else "anywhere"


def _picked(pool: TrunkPool, at: int | None) -> LimbPicked | None:
    if pool.sited is None or at is None or not np.isfinite(pool.sited.harvest_first[at]):
        return None
    first, last = float(pool.sited.harvest_first[at]), float(pool.sited.harvest_last[at])
    return LimbPicked(from_day=month_day(first, pool.sited.south), to_day=month_day(last, pool.sited.south))


def _graft_years(
    trunk: Trunk | None, pool: TrunkPool, choice: TrunkSet, chosen: Sequence[int], own: Cultivar | None
) -> dict[int, int]:
    """Row -> the year of its graft: the trunk's pollen first, then the weak before the strong, so many a year."""
    grafted = [row for row in chosen if pool.cultivars[row] is not own]
    serves = {row: own is not None and choice.chance[0, row] >= PAIRS.effective_chance for row in grafted}
    best = max((row for row in grafted if serves[row]), key=lambda row: choice.chance[0, row], default=None)
    grafted.sort(key=lambda row: (row != best, choice.vigour[row], row))
    a_year = grafts_a_year(trunk)
    return {row: n // a_year + 1 for n, row in enumerate(grafted)}


def _limb_words(cultivar: Cultivar, choice: TrunkSet, row: int, mean: float) -> list[Sentence]:
    words = []
    if "vigour" not in cultivar.numbers:
        words.append(say("limb_vigour_unknown"))
    elif choice.vigour[row] > mean + FIGURES.told_in_vigour:
        words.append(say("limb_strong"))
    elif choice.vigour[row] < mean - FIGURES.told_in_vigour:
        words.append(say("limb_weak"))
    for disease, carried in zip(CARRIED, choice.carries[row], strict=True):
        if carried:
            words.append(say("limb_carries_disease", disease=disease))
    if "3" in said(cultivar, "ploidy"):
        words.append(say("limb_triploid"))
    return words


def _pollen_scions(pool: TrunkPool) -> tuple[PollenScion, ...]:
    """The scions that serve the first cultivar best; worth, then like vigour, decides between equal ones."""
    table = pool.table
    vigour = [_number(cultivar, "vigour", FIGURES.unknown_vigour) for cultivar in pool.cultivars]
    rows = [row for row in range(1, len(pool.cultivars)) if table.chance[0, row] >= FIGURES.least_pollen_chance]
    rows.sort(
        key=lambda row: (
            table.chance[0, row] < PAIRS.effective_chance,
            -round(float(table.chance[0, row]), 1),
            -round(float(pool.worth[row]), 1),
            abs(vigour[row] - vigour[0]),
            row,
        )
    )
    best = sorted(rows[: FIGURES.pollen_scions], key=lambda row: -float(table.chance[0, row]))
    return tuple(
        PollenScion(
            cultivar=pool.cultivars[row].name,
            id=pool.cultivars[row].id,
            kind=pool.cultivars[row].kind,
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
