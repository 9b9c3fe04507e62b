"""A tree that stands: one struct wherever a request tells of one, its cultivar known or not."""

import datetime
from typing import Annotated

import msgspec
from msgspec import Meta

from domain.common.asked_names import unknown_name
from domain.common.faults import ContentFault, ContentFaults, pointer
from domain.fruit.kinds import Kind
from domain.ground.geojson import CrownSpread, Height, Metres, Position
from domain.suitability.suitability_request import CultivarName
from domain.tables.rootstocks import rootstock_names
from domain.tables.tree_forms import tree_form_names

MOST_OF_A_KIND = 500

StandingCultivar = Annotated[
    CultivarName | None,
    Meta(
        description="Its cultivar; null where nobody knows it, or words such as “crab apple”: then it is taken for any "
        "that is usual of its kind."
    ),
]
Label = Annotated[str, Meta(max_length=120, description="The caller's own mark, given back.", examples=["row 3, 2nd"])]


class StandingTree(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tree that stands on the site already and stays; everywhere told alike, used as far as it matters there.

    Where its place is told, it keeps its room: that to which it grows by its stock and form, if it is young or its size
    is not told.
    """

    cultivar: StandingCultivar
    kind: Annotated[Kind, Meta(description="What it is, where its cultivar is not known.")] = "apple"
    label: Label | None = None
    count: Annotated[int, Meta(ge=1, le=MOST_OF_A_KIND, description="Trees alike.")] = 1
    at: Annotated[Position | None, Meta(description="Where it stands on a drawn plot.")] = None
    at_m: Annotated[Metres | None, Meta(description="Where it stands in a rectangle.")] = None
    height_m: Height | None = None
    spread_m: CrownSpread | None = None
    year_planted: Annotated[int, Meta(ge=1700, le=2200, examples=[2019])] | None = None
    rootstock: Annotated[str, Meta(min_length=1, max_length=80, description="Any name of a rootstock.")] | None = None
    tree_form: Annotated[str, Meta(min_length=1, max_length=80, description="Any name of a tree form.")] | None = None


def stock_and_form(tree: StandingTree, *where: str | int) -> tuple[str | None, str | None]:
    """Ids of its rootstock and its form; None of what is not told. where: the tree in the request.

    Raises ContentFaults for names that nothing bears.
    """
    stock = None if tree.rootstock is None else rootstock_names().resolve(tree.rootstock)
    form = None if tree.tree_form is None else tree_form_names().resolve(tree.tree_form)
    faults = []
    if tree.rootstock is not None and stock is None:
        faults.append(unknown_name(rootstock_names(), pointer(*where, "rootstock"), tree.rootstock, "rootstock"))
    if tree.tree_form is not None and form is None:
        faults.append(unknown_name(tree_form_names(), pointer(*where, "tree_form"), tree.tree_form, "tree form"))
    if faults:
        raise ContentFaults(faults)
    return stock, form


def years_planted(tree: StandingTree, as_of: str | None, *where: str | int) -> int | None:
    """Calendar years since it was planted; None where that is not told. where: the tree in the request.

    as_of: today as told, YYYY-MM-DD; of a day that no calendar has nothing is said here, since it is refused where it
    is told. Raises ContentFaults where today is not told, or before that year.
    """
    if tree.year_planted is None:
        return None
    today = day_of(as_of)
    if as_of is None:
        detail = "Ages need today, YYYY-MM-DD: as_of in the site, in a review also beside it, in a calendar also `on`."
    elif today is None:
        return None
    elif tree.year_planted > today.year:
        detail = f"{tree.year_planted} is after {today}; expected a year up to {today.year}."
    else:
        return today.year - tree.year_planted
    raise ContentFaults([ContentFault(pointer(*where, "year_planted"), detail)])


def day_of(told: str | None) -> datetime.date | None:
    """A day told as YYYY-MM-DD; None where it is not told or no calendar has it, which the checks of a site refuse."""
    try:
        return None if told is None else datetime.date.fromisoformat(told)
    except ValueError:
        return None
