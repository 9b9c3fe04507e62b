"""What a caller wishes of the fruit, and whether a text says that a cultivar has it: yes, no, or nobody says.

What is unknown is never taken for a yes or a no: such a cultivar is chosen only where too few are known to have what is
wished, and the answer tells it. Of two wishes silence keeps a cultivar out, since they ask for what a text says of few:
red flesh, and being told of near the site.
"""

import functools
from collections.abc import Collection, Iterable
from typing import Annotated, Literal, get_args

import msgspec
from msgspec import Meta
from rapidfuzz import process

from domain.common.faults import ContentFault, ContentFaults, pointer
from domain.fruit.kinds import planted_for_fruit
from domain.fruit.origins import OriginIndex, origin_index, place_name, places_in
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.traits.fruit_like import Aroma, Flavour, Skin, Use, raised, said
from domain.traits.told_near_by import FIGURES as NEAR_BY
from domain.traits.told_near_by import ToldNearBy

WishCode = Literal[
    "uses",
    "flavours",
    "aromas",
    "skins",
    "red_flesh",
    "keeps_weeks",
    "raised_before",
    "raised_since",
    "origins",
    "told_near_by",
]
WISHES: tuple[WishCode, ...] = get_args(WishCode)
Met = Literal["met", "not_met", "not_known"]

SILENCE_IS_NO: frozenset[WishCode] = frozenset({"red_flesh", "told_near_by"})

Year = Annotated[int, Meta(ge=1000, le=2200, examples=[1900])]


class FruitWanted(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is wished of the fruit. Of several words in one wish any one will do; of several wishes all count."""

    uses: Annotated[list[Use], Meta(max_length=5, description="Each use should be served by a tree.")] = []
    flavours: Annotated[list[Flavour], Meta(max_length=5, description="How it tastes, between sugar and acid.")] = []
    aromas: Annotated[list[Aroma], Meta(max_length=8, description="What else is tasted; few texts tell.")] = []
    skins: Annotated[list[Skin], Meta(max_length=5, description="Colour or russet of the skin.")] = []
    red_flesh: Annotated[bool, Meta(description="True: red inside.")] = False
    keeps_weeks: (
        Annotated[int, Meta(ge=1, le=60, description="Keeps so many weeks in a cool store, at the least.")] | None
    ) = None
    raised_before: Annotated[Year | None, Meta(description="Old ones: raised or first named before this year.")] = None
    raised_since: Annotated[Year | None, Meta(description="New ones: raised in this year or later.")] = None
    origins: Annotated[
        list[Annotated[str, Meta(min_length=2, max_length=60)]],
        Meta(max_length=12, description="Countries or regions where it was raised.", examples=[["United Kingdom"]]),
    ] = []
    told_near_by: Annotated[
        list[ToldNearBy],
        Meta(
            max_length=4,
            description=f"What a source says of it within {NEAR_BY.near_km:.0f} km of the site: planted for sale "
            "there, recommended there, kept there for generations, or grown there in any way.",
        ),
    ] = []


class WishMet(msgspec.Struct, frozen=True, kw_only=True):
    """A wish of the request, and whether a source says that the cultivar has it."""

    wish: WishCode
    met: Met


class WishFigures(msgspec.Struct, frozen=True):
    """See parameters/traits.csv, subject fruit_wishes."""

    dessert_raised_since: int
    dessert_flavour: Flavour


FIGURES = figures("traits", "fruit_wishes", WishFigures)


def wished(wanted: FruitWanted) -> tuple[WishCode, ...]:
    """Which wishes are asked."""
    return tuple(wish for wish in WISHES if getattr(wanted, wish) not in ([], None, False))


def wishes_met(
    cultivar: Cultivar, wanted: FruitWanted, near_by: frozenset[str], origins: OriginIndex
) -> dict[WishCode, Met]:
    """Whether a cultivar has what is wished, for each wish asked.

    near_by: what is told of it near the site. origins: the places that the catalogue names, as `origins_named`.
    """
    return {wish: _met(wish, cultivar, wanted, near_by, origins) for wish in wished(wanted)}


def _met(wish: WishCode, cultivar: Cultivar, wanted: FruitWanted, near_by: frozenset[str], origins: OriginIndex) -> Met:
    match wish:
        case "uses":
            return _any_of(said(cultivar, "uses"), wanted.uses)
        case "flavours":
            return _any_of(said(cultivar, "flavour"), wanted.flavours)
        case "aromas":
            return _any_of(said(cultivar, "aroma"), wanted.aromas)
        case "skins":
            return _any_of(said(cultivar, "skin"), wanted.skins)
        case "red_flesh":
            return "met" if "red" in said(cultivar, "flesh") else "not_known"
        case "told_near_by":
            return "met" if near_by & set(wanted.told_near_by) else "not_known"
        case "origins":
            return _from_any_of(origins_of(cultivar), [place_name(one) for one in wanted.origins], origins)
        case "keeps_weeks":
            weeks = cultivar.numbers.get("storage_weeks_low")
            return _known(None if weeks is None else round(weeks.value) >= (wanted.keeps_weeks or 0))
        case "raised_before" | "raised_since":
            return _of_age(wish, cultivar, wanted)


def likely_dessert(cultivar: Cultivar) -> bool:
    """Whether one of which no text tells the use is in all likelihood an eating apple: sweet, or raised lately.

    One that is not planted for its fruit never is.
    """
    if said(cultivar, "uses") or not planted_for_fruit(cultivar):
        return False
    year = raised(cultivar)
    late = year is not None and year >= FIGURES.dessert_raised_since
    return late or FIGURES.dessert_flavour in said(cultivar, "flavour")


def _of_age(wish: WishCode, cultivar: Cultivar, wanted: FruitWanted) -> Met:
    year = raised(cultivar)
    if year is None:
        return "not_known"
    if wish == "raised_before":
        return _known(year < (wanted.raised_before or 0))
    return _known(year >= (wanted.raised_since or 0))


def _any_of(found: Iterable[str], asked: Iterable[str]) -> Met:
    known = set(found)
    return _known(bool(known & set(asked)) if known else None)


def _known(has: bool | None) -> Met:
    return "not_known" if has is None else "met" if has else "not_met"


def _from_any_of(places: frozenset[str], asked: Collection[str], origins: OriginIndex) -> Met:
    """Whether one of these places is asked; where the narrowest only contains one that is, nobody knows."""
    if places & set(asked):
        return "met"
    narrowest = places - origins.around(places)
    return "not_known" if not places or narrowest & origins.around(asked) else "not_met"


def origins_of(cultivar: Cultivar) -> frozenset[str]:
    """Names of the places where a cultivar was raised, in small letters; none where no text tells."""
    return frozenset[str]().union(*(places_in(text) for text in cultivar.origin_texts))


@functools.lru_cache(maxsize=4)
def origins_named(texts: frozenset[str]) -> OriginIndex:
    """The places that the origins of a catalogue name; made once of each (`Tables.origin_texts`)."""
    return origin_index(texts)


def check_fruit_wanted(wanted: FruitWanted, origins: OriginIndex, *where: str) -> None:
    """Raise ContentFaults for a place of origin that no text names, and for years that leave none between them."""
    faults = []
    for n, name in enumerate(wanted.origins):
        if place_name(name) not in origins.known:
            detail = f"No cultivar of the catalogue is said to come from “{name}”; expected a country or region."
            places = process.extract(place_name(name), sorted(origins.lies_in), limit=3)
            nearest = tuple(near.title() for near, *_ in places)
            faults.append(ContentFault(pointer(*where, "origins", n), detail, nearest))
    since, before = wanted.raised_since, wanted.raised_before
    if since is not None and before is not None and since >= before:
        detail = f"Nothing is raised both before {before} and in {since} or later; expected an earlier year here."
        faults.append(ContentFault(pointer(*where, "raised_since"), detail))
    if faults:
        raise ContentFaults(faults)
