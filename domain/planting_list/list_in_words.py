"""One chosen list in words: its trees with their partners, its picking season, and why it was chosen."""

from collections.abc import Mapping, Sequence

import msgspec
import numpy as np
from msgspec.structs import asdict
from numpy.typing import NDArray

from domain.common.season_days import month_day
from domain.fruit.kinds import KINDS
from domain.ground.contour import along_terraces, contour_deg
from domain.planting_list.candidates import Candidates
from domain.planting_list.choice import POINTS
from domain.planting_list.crops import CropYears, crop_years
from domain.planting_list.list_answer import (
    ListCharacter,
    ListReason,
    ListReasonCode,
    NamedCultivar,
    Picking,
    PlantedTree,
    PlantingList,
    PollinationPartner,
    Served,
    ServedCode,
    StandingServed,
    Stands,
)
from domain.planting_list.list_verdict import list_verdict
from domain.planting_list.partners import partner
from domain.planting_list.pollen_donors import for_pollen_alone
from domain.planting_list.standing_in_words import standing_served
from domain.planting_list.suggested_sources import suggested_sources
from domain.planting_list.tree_options import FIGURES as TREES
from domain.planting_list.tree_options import is_flat
from domain.planting_list.tree_worth import hardly_told, uses_of
from domain.planting_list.trees_around import chance_served, lone_among_none, lone_among_unknown
from domain.planting_list.trees_at_site import SitedCultivars
from domain.planting_list.trees_in_words import LaidOut, form_of, rootstock_of, training
from domain.planting_list.wishes import Standing, Wishes
from domain.pollination.pairs import FIGURES as PAIRS
from domain.pollination.pairs import distance_share
from domain.pollination.pairs_in_words import explain
from domain.suitability.factors import Verdict
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.words import Value, say
from domain.traits.fruit_like import fruit_like
from domain.traits.fruit_wishes import WishMet, wished
from domain.trees.upkeep import without_crop


class SuggestionFigures(msgspec.Struct, frozen=True):
    """Which cultivars are suggested that would serve a tree."""

    usual_days_apart: float
    days_worth: float
    rank_worth: float
    seldom_none: float


FIGURES = figures("planting_list", "list_in_words", SuggestionFigures)


MOST_PARTNERS = 4


class ListInWords:
    """A list of the choice, by positions in its pool."""

    def __init__(self, wishes: Wishes, found: Candidates, chosen: Sequence[int], laid: LaidOut) -> None:
        self.wishes, self.found, self.sited, self.table = wishes, found, found.sited, found.table
        self.laid = laid
        self.trees = [int(found.planted[one]) for one in chosen]
        self.fixed = {position for position in self.trees if position < len(wishes.must_include)}
        self.row = [int(found.pool[position]) for position in self.trees]
        place = {int(row): position for position, row in enumerate(found.pool)}
        self.around = _places(wishes.standing, place, self.sited, near=False)
        self.nearby = _places(wishes.nearby, place, self.sited, near=True)
        self.pollinated = self._pollinated()
        self._suggested = suggested_sources(found, self.trees, self.pollinated)
        self._years, self.verdict = self._judged()
        self._nearest_m = self._nearest()
        self._partners_of = self._partners()

    def _judged(self) -> tuple[CropYears | None, Verdict]:
        """What the list bears over the years, None where all is planted for its pollen, and the verdict on it."""
        fruit = [one for one, row in enumerate(self.row) if not for_pollen_alone(self.sited.cultivars[row])]
        chance, served = self.sited.crop_chance[self.row][fruit], self.pollinated[fruit]
        years = crop_years(chance, served) if fruit else None
        sourced = crop_years(np.minimum(chance / self.sited.judged_share, 1.0), served) if fruit else None
        mended = bool(self._suggested) and lone_among_none(self.wishes)
        verdict = list_verdict(
            [self.sited.verdict[row] for row in self.row],
            years,
            lone=lone_among_unknown(self.wishes) or mended,
            sourced=sourced,
        )
        return years, verdict

    @property
    def gives(self) -> frozenset[str]:
        """What it gives of what was asked: uses that some tree serves, and wishes that every tree is known to meet."""
        met = self.found.admission.met
        kept = {wish for wish in wished(self.wishes.fruit) if all(met[row][wish] == "met" for row in self.row)}
        return frozenset(kept - {"uses"} | set(self._uses_served()))

    def in_words(self, rank: int, worth: float, like: ListCharacter) -> PlantingList:
        """The list as it is answered."""
        verdict, years = self.verdict, self._years
        picking = self._picking_season() if verdict != "not_here" else ()
        upkeep = self.laid.upkeep(self.wishes.persons, self.wishes.trees.in_pot)
        standing = standing_served(self.found, self.trees, self.wishes.spelled)
        order = sorted(range(len(self.trees)), key=self._pick_order)
        return PlantingList(
            rank=rank,
            character=like,
            verdict=verdict,
            value=round(worth / POINTS, 4),
            years_with_no_crop_in_ten=None if years is None else round(years.none, 1),
            years_with_enough_in_ten=None if years is None else round(years.enough, 1),
            trees=tuple(self._tree(one) for one in order),
            established=standing,
            picking_season=picking,
            suggested_pollen_sources=self._suggested,
            upkeep=without_crop(upkeep) if upkeep is not None and verdict == "not_here" else upkeep,
            layout=self.laid.layout,
            why=tuple(self._why(picking, standing)),
        )

    def _pick_order(self, one: int) -> tuple[float, str]:
        first = float(self.sited.harvest_first[self.row[one]])
        return (first if np.isfinite(first) else 1e4, self.sited.cultivars[self.row[one]].id)

    def _pollinated(self) -> NDArray[np.float64]:
        """(trees,) chance in a year that a tree is served by a tree of the list, from outside it, or by itself."""
        return chance_served(self.table, self.trees, self.found.outside.chance, self.laid.apart_m)

    def _tree(self, one: int) -> PlantedTree:
        position, row = self.trees[one], self.row[one]
        cultivar, verdict = self.sited.cultivars[row], self.sited.verdict[row]
        known = verdict != "not_known"
        partners = self._partners_of[position]
        option = self.laid.options[one]
        stock, form = (None, None) if option is None else (rootstock_of(option), form_of(option))
        unsuited = position in self.fixed and verdict not in ("plant", "worth_trying")
        return PlantedTree(
            cultivar=cultivar.name,
            id=cultivar.id,
            asked=self.wishes.spelled.get(cultivar.id),
            sold_as=tuple(alias.name for alias in cultivar.aliases if alias.kind == "trade_designation"),
            uses=tuple(cultivar.findings["uses"].value.split()) if "uses" in cultivar.findings else None,
            fruit=fruit_like(cultivar),
            wishes=tuple(WishMet(wish=wish, met=has) for wish, has in self.found.admission.met[row].items()),
            chosen="must_include" if position in self.fixed else "freely",
            verdict=verdict,
            rank_value=round(float(self.sited.rank_value[row]), 4) if known else None,
            expect=self.sited.said[row],
            pollinated=round(float(self.pollinated[one]), 2),
            pollination=self._pollination(one, partners),
            pollination_partners=partners,
            like_one_that_suits=self._like(row) if unsuited else None,
            rootstock=None if stock is None else stock.name,
            rootstock_id=None if stock is None else stock.id,
            tree_form=None if form is None else form.name,
            tree_form_id=None if form is None else form.id,
            size=None if option is None else option.choice.size,
            spacing_m=None if option is None else option.spacing_m,
            training=() if option is None else training(option),
            place=self.laid.places[one],
        )

    def _partners(self) -> dict[int, tuple[PollinationPartner, ...]]:
        """Of each tree the best sources, surest first; those without effect only if there is no other."""
        best = {position: self._best_sources(position) for position in dict.fromkeys(self.trees)}
        pairs = explain(self.table, [(position, one[1]) for position, sources in best.items() for one in sources])
        told, found = iter(pairs), {}
        for position, sources in best.items():
            all_told = [partner(next(told), stands, metres) for stands, _, metres in sources]
            some = tuple(one for one in all_told if one.verdict in ("effective", "partial"))
            found[position] = some or tuple(all_told)
        return found

    def _best_sources(self, position: int) -> list[tuple[Stands, int, float | None]]:
        """The best few sources of a tree, surest first: where each stands, its position, and how far (m) if told."""
        sources: dict[tuple[Stands, int], tuple[float, float | None]] = {}
        listed = [(other, self._apart(position, other)) for other in dict.fromkeys(self.trees) if other != position]
        everywhere: tuple[tuple[Stands, list[tuple[int, float | None]]], ...] = (
            ("list", listed),
            ("established", self.around),
            ("nearby", self.nearby),
        )
        for stands, trees in everywhere:
            for source, distance_m in trees:
                share = 1.0 if distance_m is None else distance_share(distance_m)
                chance = float(self.table.chance[position, source]) * share
                if chance > sources.get((stands, source), (-1.0, None))[0]:
                    sources[stands, source] = (chance, distance_m)
        best = sorted(sources.items(), key=lambda item: -item[1][0])[:MOST_PARTNERS]
        return [(stands, source, metres) for (stands, source), (_, metres) in best]

    def _apart(self, position: int, other: int) -> float | None:
        """Distance (m) between the nearest trees of two cultivars of the list; None where it is not laid out."""
        if self._nearest_m is None:
            return None
        positions, nearest_m = self._nearest_m
        return round(nearest_m[positions[position]][positions[other]], 1)

    def _nearest(self) -> tuple[dict[int, int], list[list[float]]] | None:
        """The place of each cultivar of the list in a table of distances (m) between their nearest trees."""
        if self.laid.apart_m is None:
            return None
        positions, starts = np.unique(np.sort(self.trees), return_index=True)
        order = np.argsort(self.trees, kind="stable")
        by_row = np.minimum.reduceat(self.laid.apart_m[np.ix_(order, order)], starts, axis=0)
        nearest: list[list[float]] = np.minimum.reduceat(by_row, starts, axis=1).tolist()
        return {int(position): place for place, position in enumerate(positions)}, nearest

    def _pollination(self, one: int, partners: Sequence[PollinationPartner]) -> Served:
        position = self.trees[one]
        if not self.table.windows.known[position]:
            return _served("bloom_here_unknown")
        serving = [partner for partner in partners if partner.verdict == "effective"]
        if serving:
            first = serving[0]
            return _served("served_by", cultivar=first.cultivar, id=first.id, stands=first.stands)
        partial = [
            each for each in partners if each.probability is not None and each.probability >= PAIRS.ineffective_chance
        ][:2]
        if partial and self.pollinated[one] >= PAIRS.effective_chance:
            names, ids = tuple(each.cultivar for each in partial), tuple(each.id for each in partial)
            return _served("served_by_several", cultivars=names, ids=ids)
        unnamed = [tree for tree in (*self.wishes.standing, *self.wishes.nearby) if tree.cultivar_id is None]
        if unnamed and self.pollinated[one] >= PAIRS.effective_chance:
            return _served("served_by_unnamed", kind=KINDS[unnamed[0].kind].name)
        own = float(self.table.self_chance[position])
        if self._served_if_neighbours(one):
            beside = 1.0 - (1.0 - own) * (1.0 - float(self.found.outside.neighbourhood[position]))
            return _served("served_if_neighbours", alone=10.0 * own, beside=10.0 * beside)
        if self.wishes.neighbourhood == "settled" and self.pollinated[one] >= PAIRS.effective_chance:
            return _served("served_by_neighbourhood")
        if own >= PAIRS.effective_chance:
            return _served("sets_alone")
        return _served("sets_partly_alone" if own >= PAIRS.ineffective_chance else "no_sure_source")

    def _served_if_neighbours(self, one: int) -> bool:
        """Whether all that can be said of the pollen of a tree is that it stands alone among unknown neighbours."""
        if self.wishes.neighbourhood != "unknown" or len(self.trees) > 1:
            return False
        named = any(each.verdict in ("effective", "partial") for each in self._partners_of[self.trees[one]])
        unnamed = any(tree.cultivar_id is None for tree in (*self.wishes.standing, *self.wishes.nearby))
        return not named and not (unnamed and self.pollinated[one] >= PAIRS.effective_chance)

    def _like(self, row: int) -> NamedCultivar | None:
        """The suited cultivar most like one that is not: ripe at about the same time, for the same uses."""
        suited = np.flatnonzero(self.found.admission.suited & self.found.admission.eligible)
        if suited.size == 0:
            return None
        uses = uses_of(self.sited.cultivars[row])
        harvest = self.sited.harvest_first
        apart = np.abs(np.nan_to_num(harvest[suited] - harvest[row], nan=FIGURES.usual_days_apart))
        other = np.array([len(uses ^ uses_of(self.sited.cultivars[one])) for one in suited])
        score = apart / FIGURES.days_worth + other - FIGURES.rank_worth * self.sited.rank_value[suited]
        return _named(self.sited.cultivars[int(suited[int(np.argmin(score))])])

    def _picking_season(self) -> tuple[Picking, ...]:
        sited, south = self.sited, self.sited.south
        ripen = {row for row in self.row if sited.verdict[row] != "not_here"} or set(self.row)
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

    def _why(self, picking: Sequence[Picking], standing: Sequence[StandingServed]) -> list[ListReason]:
        verdict, years = self.verdict, self._years
        found = [_reason("least_bad")] if self.found.admission.least_bad else []
        if picking:
            start = picking[0].from_
            last = max((row.to for row in picking), key=lambda date: _days_from(date, start))
            kept = [row.use_until for row in picking if row.use_until is not None]
            until = max(kept, key=lambda date: _days_from(date, start), default=start)
            if _days_from(until, start) >= _days_from(last, start):
                found.append(_reason("picking_season", first=start, last=last, use_until=until))
            elif kept:
                found.append(_reason("picking_season_latest_unknown", first=start, last=last))
            else:
                found.append(_reason("picking_season_keeping_unknown", first=start, last=last))
        found.append(_reason("for_pollen_alone") if years is None else self._why_crop(years))
        if verdict != "not_here":
            found += [*self._why_pollen(), *_why_standing(standing)]
        found += [*self._why_trying(), *self._why_hardly_told()]
        if self.wishes.uses and verdict != "not_here":
            found.append(self._why_uses())
        found += self._why_wishes()
        free = any(option is not None and not is_flat(option) for option in self.laid.options)
        if self.laid.layout is not None and free and self.wishes.air_m > TREES.air_m:
            found.append(_reason("air_between_crowns", air_m=self.wishes.air_m))
        bearing = None if self.laid.layout is None else self.laid.layout.row_bearing_deg
        slope = None if self.wishes.trees.in_pot else self.wishes.slope
        if bearing is not None and slope is not None and contour_deg(slope) is not None:
            if along_terraces(slope, bearing):
                found.append(_reason("rows_along_terraces", bearing_deg=bearing))
            else:
                found.append(_reason("rows_along_the_contour", bearing_deg=bearing, percent=100.0 * slope.fall))
        each = self.wishes.trees_of_each
        if each > 1:
            found.append(_reason("cultivars_stand_in_groups", trees=each, cultivars=len(set(self.row))))
        elif len(set(self.row)) < len(self.row):
            few = self.found.problem.empty_places > 0 or self.wishes.room.plot is not None
            found.append(_reason("cultivars_stand_twice" if few else "good_cultivars_stand_twice"))
        return found

    def _why_crop(self, years: CropYears) -> ListReason:
        one = len(self.trees) == 1
        if years.none < FIGURES.seldom_none:
            return _reason("tree_bears_most_years" if one else "trees_bear_most_years", enough=years.enough)
        return _reason("tree_bears" if one else "trees_bear", enough=years.enough, none=years.none)

    def _why_hardly_told(self) -> list[ListReason]:
        """Whom those pass over who speak of this part of the world, where nobody told what can be had."""
        if self.wishes.available is not None:
            return []
        free = [row for tree, row in zip(self.trees, self.row, strict=True) if tree not in self.fixed]
        told = [self.sited.cultivars[row] for row in dict.fromkeys(free) if hardly_told(self.sited, row)]
        if not told:
            return []
        names, ids = tuple(one.name for one in told), tuple(one.id for one in told)
        return [_reason("hardly_told_here", cultivars=names, ids=ids)]

    def _why_trying(self) -> list[ListReason]:
        """Who is only worth a try, where others of the list are surer."""
        free = [row for tree, row in zip(self.trees, self.row, strict=True) if tree not in self.fixed]
        trying = [row for row in dict.fromkeys(free) if self.sited.verdict[row] == "worth_trying"]
        if not trying or not (self.found.admission.free & self.sited.has_verdict("plant")).any():
            return []
        cultivars = [self.sited.cultivars[row] for row in trying]
        names, ids = tuple(one.name for one in cultivars), tuple(one.id for one in cultivars)
        return [_reason("holds_worth_trying", cultivars=names, ids=ids)]

    def _why_wishes(self) -> list[ListReason]:
        """Of whom it is not known whether it is as wished: told of each wish, and of uses too."""
        rows = [row for row in dict.fromkeys(self.row) if not for_pollen_alone(self.sited.cultivars[row])]
        met = self.found.admission.met
        found = []
        for wish in wished(self.wishes.fruit):
            unknown = [self.sited.cultivars[row] for row in rows if met[row][wish] == "not_known"]
            if unknown:
                names, ids = tuple(one.name for one in unknown), tuple(one.id for one in unknown)
                found.append(_reason("wish_not_known_of", wish=wish, cultivars=names, ids=ids))
        return found

    def _uses_served(self) -> tuple[str, ...]:
        known = frozenset[str]().union(*(uses_of(self.sited.cultivars[row]) for row in self.row))
        return tuple(use for use in self.wishes.uses if use in known)

    def _why_uses(self) -> ListReason:
        served = self._uses_served()
        missing = tuple(use for use in self.wishes.uses if use not in served)
        if not missing:
            return _reason("uses_served", served=served)
        if not served:
            return _reason("uses_not_served", missing=missing)
        return _reason("uses_served_in_part", served=served, missing=missing)

    def _why_pollen(self) -> list[ListReason]:
        suggested = self._suggested
        lonely = [
            self.table.cultivars[position]
            for position in dict.fromkeys(
                tree
                for one, tree in enumerate(self.trees)
                if self.pollinated[one] < PAIRS.effective_chance and not for_pollen_alone(self.table.cultivars[tree])
            )
        ]
        if not lonely:
            alone = [position for one, position in enumerate(self.trees) if self._served_if_neighbours(one)]
            return [] if alone else [_reason("every_tree_has_pollen")]
        names, ids = tuple(cultivar.name for cultivar in lonely), tuple(cultivar.id for cultivar in lonely)
        found = [_reason("pollination_at_risk", cultivars=names, ids=ids)]
        if suggested:
            found.append(_reason("source_that_would_serve", cultivar=suggested[0].cultivar, id=suggested[0].id))
            if lone_among_none(self.wishes):
                source = next(n for n, one in enumerate(self.table.cultivars) if one.id == suggested[0].id)
                served = self.table.chance[self.trees, source].astype(np.float64)
                years = crop_years(self.sited.crop_chance[self.row], served)
                found.append(_reason("bears_with_a_source", enough=years.enough))
        else:
            found.append(_reason("plant_a_source"))
        told = self.wishes.neighbourhood == "unknown" and not lone_among_unknown(self.wishes)
        return [*found, _reason("neighbours_may_serve")] if told else found


def _why_standing(standing: Sequence[StandingServed]) -> list[ListReason]:
    """What the list does for the trees that stand."""
    served = [one for one in standing if one.said.code == "standing_served_by_list"]
    short = [one for one in standing if one.said.code in ("standing_helped_by_list", "standing_not_served")]
    told: tuple[tuple[ListReasonCode, list[StandingServed]], ...]
    told = (("standing_trees_served", served), ("standing_trees_not_served", short))
    return [
        _reason(
            code,
            cultivars=tuple(one.cultivar or KINDS[one.kind].name for one in trees),
            ids=tuple(one.id or "" for one in trees),
        )
        for code, trees in told
        if trees
    ]


def _places(
    trees: Sequence[Standing], place: Mapping[int, int], sited: SitedCultivars, near: bool
) -> list[tuple[int, float | None]]:
    """Positions in the pool of the trees around whose cultivar is known, and how far they stand where that is told."""
    return [
        (place[sited.row[tree.cultivar_id]], tree.distance_m if near else None)
        for tree in trees
        if tree.cultivar_id is not None
    ]


def _reason(code: ListReasonCode, **values: Value) -> ListReason:
    return ListReason(**asdict(say(code, **values)))


def _served(code: ServedCode, **values: Value) -> Served:
    return Served(**asdict(say(code, **values)))


def _named(cultivar: Cultivar) -> NamedCultivar:
    return NamedCultivar(cultivar=cultivar.name, id=cultivar.id)


def _days_from(date: str, start: str) -> int:
    """Days from one MM-DD to the next such day of another, as a sorting key."""
    month, day = (int(part) for part in date.split("-"))
    first_month, first_day = (int(part) for part in start.split("-"))
    return ((month - first_month) * 31 + day - first_day) % 372
