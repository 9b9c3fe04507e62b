"""Whose year is told: cultivars by name, or trees that stand; of those whose form and age is told only their jobs."""

import datetime
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from domain.common.asked_names import resolve_names, unknown_name
from domain.common.faults import ContentFault, ContentFaults, collecting, pointer
from domain.common.season_days import day_of_year
from domain.fruit.kinds import kind_spoken
from domain.ground.standing_tree import StandingTree, stock_and_form, years_planted
from domain.site_climate.site import MONTH_DAY_FORM, SEEN_DAY_FORM
from domain.tables.loading import Tables
from domain.tables.tree_forms import Arrangement, tree_forms
from domain.traits.fixed_parts import FIGURES as FIXED
from domain.year_of_work.calendar_answer import MOST_CULTIVARS, SeasonCalendarsRequest
from domain.year_of_work.jobs_table import ForTrees, JobRow

USUAL_FORMS: frozenset[Arrangement] = frozenset({"free_standing", "row"})
"""What trees are taken for whose form is not told: work on fences and in pots is told to those who have them."""
FULL_DAY = len("2001-01-01")


@dataclass(frozen=True)
class TreesTold:
    """Ids of the cultivars in the order asked; of each, if told, the ages and the arrangements that its trees have."""

    ids: tuple[str, ...]
    ages: Mapping[str, frozenset[ForTrees]] = field(default_factory=dict)
    arrangements: Mapping[str, frozenset[Arrangement]] = field(default_factory=dict)

    def wants(self, cultivar_id: str, row: JobRow) -> bool:
        """Whether a job is for some tree of a cultivar; of what is not told every job is."""
        ages = self.ages.get(cultivar_id)
        forms = self.arrangements.get(cultivar_id, USUAL_FORMS)
        of_age = ages is None or row.for_trees == "any" or row.for_trees in ages
        return of_age and (not row.for_forms or bool(forms & set(row.for_forms)))

    def bears(self, cultivar_id: str) -> bool:
        """Whether some tree of a cultivar may bear."""
        ages = self.ages.get(cultivar_id)
        return ages is None or "bearing" in ages


def trees_told(request: SeasonCalendarsRequest, tables: Tables) -> TreesTold:
    """The trees of a request. Raises ContentFaults for names unknown or given twice, and for a day no year has."""
    faults: list[ContentFault] = []
    ids: list[str] = []
    with collecting(faults):
        ids += resolve_names(tables.names, request.cultivars, "cultivars")
    if not request.cultivars and not request.trees:
        faults.append(ContentFault(pointer("cultivars"), "Expected cultivars, or trees that stand, at least one."))
    if request.on is not None:
        with collecting(faults):
            _check_day(request.on)
    today = _today(request)
    ages: dict[str, frozenset[ForTrees]] = {}
    forms: dict[str, frozenset[Arrangement]] = {}
    untold_age, untold_form = set(request.cultivars and ids), set(request.cultivars and ids)
    for n, tree in enumerate(request.trees):
        found = None if tree.cultivar is None else tables.names.resolve(tree.cultivar)
        if found is None:
            faults.append(_without_cultivar(tree, pointer("trees", n, "cultivar"), tables))
            continue
        if found not in ids:
            ids.append(found)
        form = years = None
        with collecting(faults):
            _, form = stock_and_form(tree, "trees", n)
        with collecting(faults):
            years = years_planted(tree, today, "trees", n)
        if form is None:
            untold_form.add(found)
        else:
            forms[found] = forms.get(found, frozenset()) | {tree_forms()[form].arrangement}
        if years is None:
            untold_age.add(found)
        else:
            bears = tables.by_id[found].numbers.get("precocity_years")
            ages[found] = ages.get(found, frozenset()) | _ages(years, None if bears is None else bears.value)
    if len(ids) > MOST_CULTIVARS:
        faults.append(ContentFault(pointer("trees"), f"Expected at most {MOST_CULTIVARS} cultivars; got {len(ids)}."))
    if faults:
        raise ContentFaults(faults)
    return TreesTold(
        tuple(ids),
        {found: told for found, told in ages.items() if found not in untold_age},
        {found: told for found, told in forms.items() if found not in untold_form},
    )


def _without_cultivar(tree: StandingTree, at: str, tables: Tables) -> ContentFault:
    if tree.cultivar is None or kind_spoken(tree.cultivar):  # words such as “crab apple” tell none either
        return ContentFault(at, "Expected its cultivar: the year of a tree is that of its cultivar.")
    return unknown_name(tables.names, at, tree.cultivar)


def _ages(years: int, first_crop: float | None) -> frozenset[ForTrees]:
    """The ages that a tree may be of, so many calendar years after it was planted; first_crop: years until it bears."""
    low, high = FIXED.usual_years_to_first_crop if first_crop is None else (first_crop, first_crop)
    found: set[ForTrees] = {"new", "young"} if years == 0 else {"young"} if years < high else set()
    if years >= low:
        found.add("bearing")
    return frozenset(found)


def _check_day(on: str) -> None:
    if re.fullmatch(MONTH_DAY_FORM, on) is None and re.fullmatch(SEEN_DAY_FORM, on) is None:
        detail = f"“{on.strip()}” is none; expected a day MM-DD, or YYYY-MM-DD from 1900 to 2199."
        raise ContentFaults([ContentFault(pointer("on"), detail)])
    try:
        day_of_year(on[-5:])
        if len(on) == FULL_DAY:
            datetime.date.fromisoformat(on)
    except ValueError as error:
        detail = f"No year has a {on}; expected a day MM-DD or YYYY-MM-DD."
        raise ContentFaults([ContentFault(pointer("on"), detail)]) from error


def _today(request: SeasonCalendarsRequest) -> str | None:
    """The day of today as it is told, if it is."""
    on = None if request.on is None or len(request.on) != FULL_DAY else request.on
    return on if request.site.as_of is None else request.site.as_of
