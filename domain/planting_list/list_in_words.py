"""One chosen list in words: its trees with their partners, and its picking season."""

import msgspec
import numpy as np

from domain.common.season_days import month_day
from domain.planting_list.choice import POINTS
from domain.planting_list.chosen_list import ChosenList
from domain.planting_list.list_answer import ListCharacter, NamedCultivar, Picking, PlantedTree, PlantingList
from domain.planting_list.list_reasons import reasons
from domain.planting_list.pollen_in_words import PollenOfTrees
from domain.planting_list.standing_in_words import standing_served
from domain.planting_list.stock import InStock
from domain.planting_list.tree_options import TreeOption
from domain.planting_list.tree_worth import uses_of
from domain.planting_list.trees_in_words import form_of, rootstock_of, training
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.rootstocks import Rootstock, rootstocks
from domain.tables.tree_forms import TreeForm, tree_forms
from domain.traits.fruit_like import fruit_like
from domain.traits.fruit_wishes import WishMet
from domain.trees.upkeep import without_crop


class LikenessFigures(msgspec.Struct, frozen=True):
    """Which suited cultivar is most like one that is not."""

    usual_days_apart: float
    days_worth: float
    rank_worth: float


FIGURES = figures("planting_list", "list_in_words", LikenessFigures)


def in_words(chosen: ChosenList, rank: int, worth: float, like: ListCharacter) -> PlantingList:
    """The list as it is answered."""
    verdict, years = chosen.verdict, chosen.years
    pollen = PollenOfTrees(chosen)
    picking = _picking_season(chosen) if verdict != "not_here" else ()
    upkeep = chosen.laid.upkeep(chosen.wishes.persons, chosen.wishes.trees.in_pot)
    standing = standing_served(chosen.found, chosen.trees, chosen.wishes.spelled)
    order = sorted(range(len(chosen.trees)), key=lambda one: _pick_order(chosen, one))
    return PlantingList(
        rank=rank,
        character=like,
        verdict=verdict,
        value=round(worth / POINTS, 4),
        years_with_no_crop_in_ten=None if years is None else round(years.none, 1),
        years_with_enough_in_ten=None if years is None else round(years.enough, 1),
        trees=tuple(_tree(chosen, one, pollen) for one in order),
        established=standing,
        picking_season=picking,
        suggested_pollen_sources=chosen.suggested,
        upkeep=without_crop(upkeep) if upkeep is not None and verdict == "not_here" else upkeep,
        layout=chosen.laid.layout,
        why=reasons(chosen, pollen, picking, standing),
    )


def _pick_order(chosen: ChosenList, one: int) -> tuple[float, str]:
    first = float(chosen.sited.harvest_first[chosen.row[one]])
    return (first if np.isfinite(first) else 1e4, chosen.sited.cultivars[chosen.row[one]].id)


def _tree(chosen: ChosenList, one: int, pollen: PollenOfTrees) -> PlantedTree:
    position, row = chosen.trees[one], chosen.row[one]
    cultivar, verdict = chosen.sited.cultivars[row], chosen.sited.verdict[row]
    known = verdict != "not_known"
    partners = pollen.partners_of[position]
    option, stocked = chosen.laid.options[one], chosen.in_stock[one]
    stock, form = _stands_as(option, stocked)
    unsuited = position in chosen.fixed and verdict not in ("plant", "worth_trying")
    return PlantedTree(
        cultivar=cultivar.name,
        id=cultivar.id,
        asked=chosen.wishes.spelled.get(cultivar.id),
        sold_as=tuple(alias.name for alias in cultivar.aliases if alias.kind == "trade_designation"),
        uses=tuple(cultivar.findings["uses"].value.split()) if "uses" in cultivar.findings else None,
        fruit=fruit_like(cultivar),
        wishes=tuple(WishMet(wish=wish, met=has) for wish, has in chosen.found.admission.met[row].items()),
        chosen="must_include" if position in chosen.fixed else "freely",
        verdict=verdict,
        rank_value=round(float(chosen.sited.rank_value[row]), 4) if known else None,
        expect=chosen.sited.said[row],
        pollinated=round(float(chosen.pollinated[one]), 2),
        pollination=pollen.served(one),
        pollination_partners=partners,
        like_one_that_suits=_like(chosen, row) if unsuited else None,
        rootstock=None if stock is None else stock.name,
        rootstock_id=None if stock is None else stock.id,
        tree_form=None if form is None else form.name,
        tree_form_id=None if form is None else form.id,
        in_stock=None if stocked is None else stocked.count,
        size=None if option is None else option.choice.size,
        spacing_m=None if option is None else option.spacing_m,
        training=() if option is None else training(option),
        place=chosen.laid.places[one],
    )


def _stands_as(option: TreeOption | None, stocked: InStock | None) -> tuple[Rootstock | None, TreeForm | None]:
    """Its rootstock and form: those of the tree, or of what is in stock where nobody knows how such a tree grows."""
    if option is not None:
        return rootstock_of(option), form_of(option)
    if stocked is None:
        return None, None
    return rootstocks().get(stocked.rootstock or ""), tree_forms().get(stocked.form or "")


def _like(chosen: ChosenList, row: int) -> NamedCultivar | None:
    """The suited cultivar most like one that is not: ripe at about the same time, for the same uses."""
    suited = np.flatnonzero(chosen.found.admission.suited & chosen.found.admission.eligible)
    if suited.size == 0:
        return None
    uses = uses_of(chosen.sited.cultivars[row])
    harvest = chosen.sited.harvest_first
    apart = np.abs(np.nan_to_num(harvest[suited] - harvest[row], nan=FIGURES.usual_days_apart))
    other = np.array([len(uses ^ uses_of(chosen.sited.cultivars[one])) for one in suited])
    score = apart / FIGURES.days_worth + other - FIGURES.rank_worth * chosen.sited.rank_value[suited]
    return _named(chosen.sited.cultivars[int(suited[int(np.argmin(score))])])


def _picking_season(chosen: ChosenList) -> tuple[Picking, ...]:
    sited, south = chosen.sited, chosen.sited.south
    ripen = {row for row in chosen.row if sited.verdict[row] != "not_here"} or set(chosen.row)
    found = []
    for row in sorted(ripen, key=lambda row: (float(sited.harvest_first[row]), sited.cultivars[row].id)):
        first, last = float(sited.harvest_first[row]), float(sited.harvest_last[row])
        if not np.isfinite(first):
            continue
        weeks = float(sited.storage_weeks[row, 0])
        until = None if np.isnan(weeks) else month_day(last + 7 * weeks, south)
        found.append(
            Picking(
                cultivar=sited.name(row),
                id=sited.cultivars[row].id,
                from_=month_day(first, south),
                to=month_day(last, south),
                use_until=until,
            )
        )
    return tuple(found)


def _named(cultivar: Cultivar) -> NamedCultivar:
    return NamedCultivar(cultivar=cultivar.name, id=cultivar.id)
