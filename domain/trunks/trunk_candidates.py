"""Which cultivars may be grafted on a trunk: those of the planting lists at the site, judged and in bloom as there."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import msgspec
import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from domain.common.asked_names import resolve_each
from domain.common.faults import ContentFault, ContentFaults, check_all, collecting, pointer
from domain.common.season_days import day_of_year, season_day
from domain.fruit.bearing import is_columnar
from domain.fruit.kinds import kind_spoken, planted_for_fruit, pollen_donor
from domain.ground.standing_tree import stock_and_form, years_planted
from domain.orchard_site.conditions import SiteConditions
from domain.planting_list.admission import FIGURES as LISTS
from domain.planting_list.planting_lists import passed_over_here, plantable, sited_cultivars, told_here
from domain.planting_list.tree_worth import FIGURES as WORTH
from domain.planting_list.tree_worth import cultivar_values, for_the_press_alone, unknown_wishes, wish_shares
from domain.planting_list.trees_at_site import SitedCultivars
from domain.pollination.bloom_overlap import reference_windows
from domain.pollination.kinship import first_of_each, sport_group
from domain.pollination.pairs import PairTable, pair_table
from domain.pollination.site_pairs import site_pairs
from domain.site_climate.site import Site
from domain.suitability.suitability_request import Weights
from domain.tables.cultivars import Cultivar
from domain.tables.loading import Tables
from domain.tables.parameters import figures
from domain.traits.catalogue import Catalogue
from domain.traits.fruit_wishes import SILENCE_IS_NO, Met, WishCode, check_fruit_wanted, origins_named, wishes_met
from domain.trunks.trunk_answer import MultiCultivarTreeRequest, Trunk


class CandidateFigures(msgspec.Struct, frozen=True):
    """How many candidates are looked at where nobody says what can be had: by worth, and by pollen for the trunk."""

    most_unnamed: int
    most_that_serve: int


FIGURES = figures("trunks", "trunk_candidates", CandidateFigures)

AGES_AGREE_YEARS = 1
"""Calendar years and years since the day of planting differ by so much without a fault of the caller."""


class Asked(NamedTuple):
    """Ids of a request: on the tree or to be included, and those to be had; None where that is not told."""

    first: tuple[str, ...]
    available: tuple[str, ...] | None


@dataclass(frozen=True)
class TrunkPool:
    """The candidates, the trunk's own and those to include first; arrays in their order.

    worth: 0 to 1. met: which wishes each has. rows: of the sited cultivars; None without a site.
    """

    cultivars: tuple[Cultivar, ...]
    table: PairTable
    worth: NDArray[np.float64]
    met: tuple[dict[WishCode, Met], ...]
    sited: SitedCultivars | None = None
    rows: NDArray[np.intp] | None = None


def names_asked(request: MultiCultivarTreeRequest, tables: Tables) -> Asked:
    """Resolve the names of a request. Raises ContentFaults with every fault of names, counts, wishes and dates."""
    faults: list[ContentFault] = []
    trunk = request.trunk
    own = _own(trunk, tables)
    if request.aim == "pollen_for_the_trunk" and own is None:
        faults.append(ContentFault(pointer("trunk", "cultivar"), "Expected the cultivar that needs pollen."))
    if request.aim == "pollen_for_the_trunk" and request.must_include:
        detail = "One scion is looked for by its pollen; expected none here, and in available those that can be had."
        faults.append(ContentFault(pointer("must_include"), detail))
    if trunk is not None:
        with collecting(faults):
            stock_and_form(trunk, "trunk")
        with collecting(faults):
            _age(trunk, request.site)
    names = [] if own is None else [(pointer("trunk", "cultivar"), own)]
    names += [(pointer("must_include", n), name) for n, name in enumerate(request.must_include)]
    first: tuple[str, ...] = ()
    others: tuple[str, ...] = ()
    with collecting(faults):
        first = resolve_each(tables.names, names)
    with collecting(faults):
        there = [(pointer("available", n), name) for n, name in enumerate(request.available or ())]
        others = resolve_each(tables.names, there)
    with collecting(faults):
        check_all(
            lambda: check_fruit_wanted(request.wanted, origins_named(tables.origin_texts), "wanted"),
            lambda: _check_dates(request),
        )
    if request.available is None and request.site is None:
        detail = "Expected the scions that can be had, or a site, which tells what is worth growing there."
        faults.append(ContentFault(pointer("available"), detail))
    if len(first) > request.cultivars:
        detail = f"{len(first)} cultivars are on the tree or to be included; raise cultivars or leave some out."
        faults.append(ContentFault(pointer("cultivars"), detail))
    if others and not first and all(is_columnar(tables.by_id[one]) for one in others):
        detail = "Columnar cultivars make no limbs on another tree; expected others too."
        faults.append(ContentFault(pointer("available"), detail))
    if faults:
        raise ContentFaults(faults)
    return Asked(first, None if request.available is None else others)


def with_age(request: MultiCultivarTreeRequest, tables: Tables) -> MultiCultivarTreeRequest:
    """The request with the age of its trunk, and with no cultivar where words such as “crab apple” stand for one.

    Raises ContentFaults for a year of planting after today, without today where no age is told, or at odds with it.
    """
    if request.trunk is None:
        return request
    own, age = _own(request.trunk, tables), _age(request.trunk, request.site)
    return replace(request, trunk=replace(request.trunk, cultivar=own, age_years=age))


def _own(trunk: Trunk | None, tables: Tables) -> str | None:
    """The name of the trunk's cultivar; None where nobody knows it."""
    name = None if trunk is None else trunk.cultivar
    return None if name is None or (kind_spoken(name) and tables.names.resolve(name) is None) else name


def _age(trunk: Trunk, site: Site | None) -> float | None:
    """Years since planting: by its year where today is known, else as told."""
    as_of = None if site is None else site.as_of
    if as_of is None and trunk.age_years is not None:
        return trunk.age_years
    planted = years_planted(trunk, as_of, "trunk")
    if planted is None or trunk.age_years is None:
        return trunk.age_years if planted is None else planted
    if abs(planted - trunk.age_years) > AGES_AGREE_YEARS:
        detail = f"Planted in {trunk.year_planted} it is some {planted} years old; leave one out, or tell both alike."
        raise ContentFaults([ContentFault(pointer("trunk", "age_years"), detail)])
    return planted


def _check_dates(request: MultiCultivarTreeRequest) -> None:
    faults = []
    for name in ("first_ripe", "last_ripe"):
        date = getattr(request.wanted, name)
        if date is None:
            continue
        try:
            day_of_year(date)
        except ValueError:
            faults.append(ContentFault(pointer("wanted", name), f"No year has a {date}; expected a date MM-DD."))
            continue
        if request.site is None:
            detail = "A time of picking goes with a site, which tells when fruit ripens there."
            faults.append(ContentFault(pointer("wanted", name), detail))
    if faults:
        raise ContentFaults(faults)


def pool_without_site(request: MultiCultivarTreeRequest, tables: Tables, names: Asked) -> TrunkPool:
    """The scions to be had, in bloom as at the reference places, all worth alike but for the wishes they have."""
    ids = dict.fromkeys([*names.first, *(names.available or ())])
    found = [tables.by_id[one] for one in ids]
    groups = [sport_group(one, tables.by_id) for one in found]
    origins = origins_named(tables.origin_texts)
    met = [wishes_met(cultivar, request.wanted, frozenset(), origins) for cultivar in found]
    free = [n for n, c in enumerate(found) if c.id not in names.first and _wished(met[n]) and not is_columnar(c)]
    worth = wish_shares(found, met, request.wanted.uses)
    unknown = [unknown_wishes(one, has, request.wanted.uses) for one, has in zip(found, met, strict=True)]
    free = _one_of_each(free, worth, groups, range(len(names.first)))
    free = _known_first(free, unknown, request.cultivars - len(names.first))
    kept = [n for n, c in enumerate(found) if c.id in names.first or n in free]
    cultivars = tuple(found[n] for n in kept)
    table = pair_table(cultivars, tables.by_id, reference_windows(cultivars))
    return TrunkPool(cultivars, table, worth[kept], tuple(met[n] for n in kept))


def pool_at_site(
    request: MultiCultivarTreeRequest, catalogue: Catalogue, conditions: SiteConditions, names: Asked
) -> TrunkPool:
    """The candidates of a list at the site: what suits it, blooms at a known time and is as wished.

    Of what is wanted for its pollen, donors as well. Where nobody says what can be had, those most worth, and those
    that serve the trunk best; what sources of that part of the world pass over is worth less, and what is to be
    planted goes before what is worth a try, as on a list.
    """
    traits = plantable(catalogue, {*names.first, *(names.available or ())})
    sited = sited_cultivars(traits, conditions, Weights())
    pairs = pair_table_here(catalogue, conditions, sited)
    told = told_here(catalogue, conditions)
    origins = origins_named(catalogue.tables.origin_texts)
    met = [wishes_met(one, request.wanted, told.get(one.id, frozenset()), origins) for one in sited.cultivars]
    pollen, suits = request.aim == "pollen_for_the_trunk", sited.has_verdict("plant", "worth_trying")
    may = np.array([_wished(one) for one in met], dtype=np.bool_) & sited.windows.known
    may &= np.array([not is_columnar(one) for one in sited.cultivars], dtype=np.bool_)
    if names.available is not None:
        may &= np.array([one.id in names.available for one in sited.cultivars], dtype=np.bool_)
    else:
        may &= np.array([_free(one, request.wanted.uses, pollen) for one in sited.cultivars], dtype=np.bool_)
        may &= suits
    if not pollen:
        may &= _in_time(request, sited)
    uses = request.wanted.uses
    passed_over = passed_over_here(traits, conditions) if names.available is None else None
    worth = cultivar_values(sited, met, uses, passed_over)
    worth *= np.where(suits, 1.0, WORTH.trying_share)  # what suits less may be offered
    first = [sited.row[one] for one in names.first]
    free = [row for row in np.flatnonzero(may).tolist() if row not in first]
    groups = [sport_group(one, catalogue.tables.by_id) for one in sited.cultivars]
    free = _one_of_each(free, worth, groups, first)
    unknown = [unknown_wishes(one, has, uses) for one, has in zip(sited.cultivars, met, strict=True)]
    enough = request.cultivars - len(first)
    free = _known_first(free, unknown, enough)
    surest = sited.has_verdict("plant")
    heard = np.ones_like(surest) if passed_over is None else passed_over < WORTH.passed_over_from
    for better in (surest, heard):
        kept = [row for row in free if better[row]]
        if len(kept) >= enough and not pollen:
            free = kept
    if names.available is None:
        free = _looked_at(free, worth, None if not first else pairs.chance[first[0]].astype(np.float64), pollen)
    rows = np.array([*first, *free], dtype=np.intp)
    return TrunkPool(
        cultivars=tuple(sited.cultivars[row] for row in rows),
        table=pairs.of(rows),
        worth=worth[rows],
        met=tuple(met[row] for row in rows),
        sited=sited,
        rows=rows,
    )


def pair_table_here(catalogue: Catalogue, conditions: SiteConditions, sited: SitedCultivars) -> PairTable:
    """The pairs of all that is judged at the site, as lists and pairs have them; none set where nothing blooms."""
    if conditions.years.without_winter:
        return pair_table(sited.cultivars, catalogue.tables.by_id, sited.windows)
    return site_pairs(catalogue, conditions, catalogue.choose(list(sited.cultivars)))


def _looked_at(
    free: Sequence[int], worth: NDArray[np.float64], chance: NDArray[np.float64] | None, pollen: bool
) -> list[int]:
    """The rows worth looking at: the most worthy, and those that serve the trunk best; all where only pollen counts."""
    if pollen:
        return list(free)
    best = sorted(free, key=lambda row: (-worth[row], row))[: FIGURES.most_unnamed]
    if chance is None:
        return best
    serving = sorted(free, key=lambda row: (-round(float(chance[row]), 2), -worth[row], row))[: FIGURES.most_that_serve]
    return list(dict.fromkeys([*best, *serving]))


def _free(cultivar: Cultivar, uses: Sequence[str], pollen: bool) -> bool:
    """Whether it is grafted though nobody named it. uses: those wished."""
    if pollen and pollen_donor(cultivar):
        return True
    return cultivar.status == "advised" and planted_for_fruit(cultivar) and not for_the_press_alone(cultivar, uses)


def _one_of_each(
    free: Sequence[int], worth: NDArray[np.float64], groups: Sequence[str], first: Sequence[int]
) -> list[int]:
    """The best of each group of sports, of none that is on the tree: they give each other no pollen."""
    taken = {groups[row] for row in first}
    best = first_of_each(sorted(free, key=lambda row: (-worth[row], row)), groups)
    return [row for row in free if row in best and groups[row] not in taken]


def _wished(met: dict[WishCode, Met]) -> bool:
    return all(has == "met" or (has == "not_known" and wish not in SILENCE_IS_NO) for wish, has in met.items())


def _known_first(free: Sequence[int], unknown: Sequence[int], needed: int) -> list[int]:
    """Those known to be as wished, where they are enough; else all of which no source says that they are not.

    free: one of each group of sports, so that each counts. unknown: of each row its wishes of which nothing is known.
    """
    known = [row for row in free if unknown[row] == 0]
    return known if len(known) >= needed else list(free)


def _in_time(request: MultiCultivarTreeRequest, sited: SitedCultivars) -> NDArray[np.bool_]:
    """(n,) whether each is first picked within the wished time; all where none is wished."""
    wanted, days = request.wanted, sited.harvest_first
    kept = np.ones(days.size, dtype=np.bool_)
    first = LISTS.earliest_harvest_day
    if wanted.first_ripe is not None:
        first = season_day(wanted.first_ripe, sited.south, LISTS.earliest_harvest_day)
        kept &= days >= first
    if wanted.last_ripe is not None:
        kept &= days <= season_day(wanted.last_ripe, sited.south, int(first))
    return kept
