"""One chosen list in words: its trees with their partners, its picking season, and why it was chosen."""

from collections.abc import Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import month_day
from domain.fruit.kinds import pollen_donor
from domain.planting_list.candidates import Candidates, uses_of
from domain.planting_list.choice import POINTS
from domain.planting_list.crops import CropYears, crop_years
from domain.planting_list.list_answer import (
    Picking,
    PlantedTree,
    PlantingList,
    PollinationPartner,
    Stands,
    SuggestedSource,
)
from domain.planting_list.tree_options import FIGURES as TREES
from domain.planting_list.trees_in_words import LaidOut, names_of, training
from domain.planting_list.wishes import Wishes
from domain.pollination.pairs import FIGURES as PAIRS
from domain.pollination.pairs import (
    PollinationPair,
    Reason,
    distance_share,
    distance_shares,
    explain,
    off_years,
)
from domain.tables.parameters import figures
from domain.tables.words import of_ten


class SuggestionFigures(msgspec.Struct, frozen=True):
    """Which cultivars are suggested that would serve a tree."""

    usual_days_apart: float
    days_worth: float
    rank_worth: float
    seldom_none: float


FIGURES = figures("planting_list", "list_in_words", SuggestionFigures)


MOST_PARTNERS = 4
MOST_SUGGESTED = 3


class ListInWords:
    """A list of the choice, by positions in its pool."""

    def __init__(self, wishes: Wishes, found: Candidates, chosen: Sequence[int], laid: LaidOut) -> None:
        self.wishes, self.found, self.sited, self.table = wishes, found, found.sited, found.table
        self.laid = laid
        self.trees = [int(found.planted[one]) for one in chosen]
        self.fixed = {position for position in self.trees if position < len(wishes.must_include)}
        self.row = [int(found.pool[position]) for position in self.trees]
        place = {int(row): position for position, row in enumerate(found.pool)}
        self.around: list[tuple[int, float | None]] = [(place[self.sited.row[one]], None) for one in wishes.established]
        self.nearby: list[tuple[int, float | None]] = [
            (place[self.sited.row[one]], distance_m) for one, distance_m in wishes.nearby_pollen
        ]
        self.pollinated = self._pollinated()

    def in_words(self, rank: int, worth: float) -> PlantingList:
        """The list as it is answered."""
        years = crop_years(self.sited.crop_chance[self.row], self.pollinated)
        picking = self._picking_season()
        suggested = self._suggested()
        order = sorted(range(len(self.trees)), key=self._pick_order)
        return PlantingList(
            rank=rank,
            value=round(worth / POINTS, 4),
            years_with_no_crop_in_ten=round(years.none, 1),
            years_with_enough_in_ten=round(years.enough, 1),
            trees=tuple(self._tree(one) for one in order),
            picking_season=picking,
            suggested_pollen_sources=suggested,
            upkeep=self.laid.upkeep(self.wishes.persons, self.wishes.trees.in_pot),
            layout=self.laid.layout,
            why=tuple(self._why(years, picking, suggested)),
        )

    def _pick_order(self, one: int) -> tuple[float, str]:
        first = float(self.sited.harvest_first[self.row[one]])
        return (first if np.isfinite(first) else 1e4, self.sited.cultivars[self.row[one]].id)

    def _pollinated(self) -> NDArray[np.float64]:
        """(trees,) chance in a year that a tree is served by a tree of the list, from outside it, or by itself.

        A source that rests every other year serves only in the years between.
        """
        trees = np.array(self.trees)
        others = np.where(
            self.table.fits.same_genotype[np.ix_(trees, trees)], 0.0, self.table.chance[np.ix_(trees, trees)]
        )
        if self.laid.apart_m is not None:
            others = others * distance_shares(self.laid.apart_m)
        blooming = 1.0 - np.array([off_years(self.table.cultivars[position]) for position in self.trees])
        missed = np.prod(1.0 - others.astype(np.float64) * blooming, axis=1)
        return np.asarray(1.0 - missed * (1.0 - self.found.outside.chance[trees]))

    def _tree(self, one: int) -> PlantedTree:
        position, row = self.trees[one], self.row[one]
        cultivar, verdict = self.sited.cultivars[row], self.sited.verdict[row]
        known = verdict != "not_known"
        partners = self._partners(position)
        option = self.laid.options[one]
        stock, form = (None, None) if option is None else names_of(option)
        unsuited = position in self.fixed and verdict not in ("plant", "worth_trying")
        return PlantedTree(
            cultivar=cultivar.name,
            id=cultivar.id,
            chosen="must_include" if position in self.fixed else "freely",
            verdict=verdict,
            rank_value=round(float(self.sited.rank_value[row]), 4) if known else None,
            expect=self.sited.said[row].words,
            pollinated=round(float(self.pollinated[one]), 2),
            pollination=self._pollination(one, partners),
            pollination_partners=partners,
            like_one_that_suits=self._like(row) if unsuited else None,
            rootstock=stock,
            tree_form=form,
            size=None if option is None else option.choice.size,
            spacing_m=None if option is None else option.spacing_m,
            training=() if option is None else training(option),
            place=self.laid.places[one],
        )

    def _partners(self, position: int) -> tuple[PollinationPartner, ...]:
        """The best sources, surest first; those without effect only if there is no other."""
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
        pairs = explain(self.table, [(position, source) for (_, source), _ in best])
        found = [_partner(pair, stands, metres) for pair, ((stands, _), (_, metres)) in zip(pairs, best, strict=True)]
        return tuple([one for one in found if one.verdict in ("effective", "partial")] or found)

    def _apart(self, position: int, other: int) -> float | None:
        """Distance (m) between the nearest trees of two cultivars of the list; None where it is not laid out."""
        if self.laid.apart_m is None:
            return None
        ours, theirs = ([n for n, tree in enumerate(self.trees) if tree == one] for one in (position, other))
        return round(float(self.laid.apart_m[np.ix_(ours, theirs)].min()), 1)

    def _pollination(self, one: int, partners: Sequence[PollinationPartner]) -> str:
        position = self.trees[one]
        if not self.table.windows.known[position]:
            return "When it blooms here is not known, so its partners cannot be judged."
        serving = [partner for partner in partners if partner.verdict == "effective"]
        if serving:
            first = serving[0]
            where = {"list": "on this list", "established": "already there", "nearby": "nearby"}[first.stands]
            return f"Served by {first.cultivar}, {where}."
        partial = [partner.cultivar for partner in partners if partner.verdict == "partial"]
        if partial and self.pollinated[one] >= PAIRS.effective_chance:
            return f"No source is sure by itself; {' and '.join(partial[:2])} should serve in most years."
        own = float(self.table.self_chance[position])
        if self.wishes.neighbourhood == "settled" and self.pollinated[one] >= PAIRS.effective_chance:
            return "Probably served by the apple and crab apple trees of a settled neighbourhood."
        if own >= PAIRS.effective_chance:
            return "Self-fertile: it sets a crop alone, and a partner still helps."
        if own >= PAIRS.ineffective_chance:
            return "Partly self-fertile: it sets some fruit alone; a partner would make it sure."
        return (
            "No sure pollen source: plant a partner or a crab apple in bloom with it, or graft a branch of one on it."
        )

    def _like(self, row: int) -> str | None:
        """The suited cultivar most like one that is not: ripe at about the same time, for the same uses."""
        suited = np.flatnonzero(self.found.admission.suited & self.found.admission.eligible)
        if suited.size == 0:
            return None
        uses = uses_of(self.sited.cultivars[row])
        harvest = self.sited.harvest_first
        apart = np.abs(np.nan_to_num(harvest[suited] - harvest[row], nan=FIGURES.usual_days_apart))
        other = np.array([len(uses ^ uses_of(self.sited.cultivars[one])) for one in suited])
        score = apart / FIGURES.days_worth + other - FIGURES.rank_worth * self.sited.rank_value[suited]
        return self.sited.name(int(suited[int(np.argmin(score))]))

    def _picking_season(self) -> tuple[Picking, ...]:
        sited, south = self.sited, self.sited.south
        found = []
        for row in sorted(set(self.row), key=lambda row: (float(sited.harvest_first[row]), sited.cultivars[row].id)):
            first, last = float(sited.harvest_first[row]), float(sited.harvest_last[row])
            if not np.isfinite(first):
                continue
            weeks = float(np.nan_to_num(sited.storage_weeks[row, 0]))
            until = month_day(last + 7 * weeks, south)
            found.append(
                Picking(
                    cultivar=sited.name(row), from_=month_day(first, south), to=month_day(last, south), use_until=until
                )
            )
        return tuple(found)

    def _suggested(self) -> tuple[SuggestedSource, ...]:
        """Sources for the trees that none serves surely: pollen donors first, then cultivars that suit the site."""
        lonely = [
            position
            for one, position in enumerate(self.trees)
            if self.pollinated[one] < PAIRS.effective_chance and self.table.windows.known[position]
        ]
        if not lonely:
            return ()
        suited = self.found.admission.suited
        ranked = []
        for source, row in enumerate(self.found.pool):
            cultivar = self.sited.cultivars[row]
            serves = [position for position in lonely if self.table.effective[position, source]]
            if serves and source not in self.trees and (pollen_donor(cultivar) or suited[row]):
                chance = float(self.table.chance[serves, source].sum())
                ranked.append((-len(serves), not pollen_donor(cultivar), -chance, cultivar.id, source, serves))
        names = self.table.cultivars
        return tuple(
            SuggestedSource(
                cultivar=names[source].name,
                kind=names[source].kind,
                serves=tuple(dict.fromkeys(names[position].name for position in serves)),
            )
            for *_, source, serves in sorted(ranked)[:MOST_SUGGESTED]
        )

    def _why(self, years: CropYears, picking: Sequence[Picking], suggested: Sequence[SuggestedSource]) -> list[Reason]:
        found = []
        one = len(self.trees) == 1
        if self.found.admission.least_bad:
            cause = "None of the cultivars that may be had will crop reliably here; these are the least bad."
            found.append(Reason("least_bad", cause))
        if picking:
            start = picking[0].from_
            last = max((row.to for row in picking), key=lambda date: _days_from(date, start))
            until = max((row.use_until for row in picking), key=lambda date: _days_from(date, start))
            span = f"Picking runs from {start} to {last}, and stored fruit lasts to about {until}."
            found.append(Reason("picking_season", span))
        bear = "The tree bears" if one else "At least half of the trees bear"
        none = f"about {of_ten(years.none)} years bring no crop at all"
        if years.none < FIGURES.seldom_none:
            none = "a year without any crop should be rare"
        found.append(Reason("crop_years", f"{bear} in about {of_ten(years.enough)} years once grown; {none}."))
        found += self._why_pollen(suggested)
        if self.wishes.uses:
            served = [use for use in self.wishes.uses if any(use in uses_of(self.sited.cultivars[r]) for r in self.row)]
            missing = [use for use in self.wishes.uses if use not in served]
            told = f"For {', '.join(served)}." if served else ""
            told += f" No tree on it is known to serve for {', '.join(missing)}." if missing else ""
            found.append(Reason("uses", told.strip()))
        if self.laid.layout is not None and self.wishes.air_m > TREES.air_m:
            told = f"Scab or fire blight presses here: {self.wishes.air_m:g} m between crowns let the wind dry them."
            found.append(Reason("air", told))
        if len(set(self.row)) < len(self.row):
            found.append(Reason("second_trees", "Too few cultivars are left for all places, so some stand twice."))
        return found

    def _why_pollen(self, suggested: Sequence[SuggestedSource]) -> list[Reason]:
        lonely = [
            self.table.cultivars[position].name
            for one, position in enumerate(self.trees)
            if self.pollinated[one] < PAIRS.effective_chance
        ]
        if not lonely:
            return [Reason("pollination", "Every tree has pollen that should serve it.")]
        told = f"No sure pollen for {', '.join(dict.fromkeys(lonely))}."
        if suggested:
            told += f" {suggested[0].cultivar} in bloom nearby, or a branch of it grafted on, would serve."
        else:
            told += " Plant a crab apple or another apple that blooms with it, or graft a branch of one on it."
        if self.wishes.neighbourhood == "unknown":
            told += " A neighbour's tree may serve already: find out; it is not reckoned in the years above."
        return [Reason("pollination_at_risk", told)]


def _days_from(date: str, start: str) -> int:
    """Days from one MM-DD to the next such day of another, as a sorting key."""
    month, day = (int(part) for part in date.split("-"))
    first_month, first_day = (int(part) for part in start.split("-"))
    return ((month - first_month) * 31 + day - first_day) % 372


def _partner(pair: PollinationPair, stands: Stands, distance_m: float | None) -> PollinationPartner:
    """A source as the list tells it: a pair, and what its distance leaves of it."""
    probability, verdict, reasons = pair.probability, pair.verdict, pair.reasons
    if distance_m is not None and probability is not None:
        share = distance_share(distance_m)
        probability = round(probability * share, 2)
        if verdict == "effective" and probability < PAIRS.effective_chance:
            verdict = "partial"
        if verdict == "partial" and probability < PAIRS.ineffective_chance:
            verdict = "ineffective"
        if share < 1.0:
            told = "still likely near enough" if share >= PAIRS.effective_chance else "far for bees"
            reasons = (*reasons, Reason("distance", f"At {distance_m:g} m it is {told}."))
    return PollinationPartner(
        cultivar=pair.pollen_from,
        stands=stands,
        distance_m=distance_m,
        overlap_days=pair.overlap_days,
        compatibility=pair.compatibility,
        pollen=pair.pollen,
        verdict=verdict,
        probability=probability,
        reasons=reasons,
    )
