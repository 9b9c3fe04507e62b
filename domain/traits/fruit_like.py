"""What the fruit of a cultivar is like, as far as a text says: taste, skin, flesh, weight, keeping, age and origin."""

from typing import Literal, TypeVar, get_args

import msgspec

from domain.tables.cultivars import Cultivar

Use = Literal["dessert", "cooking", "cider", "drying", "juice"]
Flavour = Literal["sweet", "subacid", "sharp", "bittersweet", "bittersharp"]
Aroma = Literal["aromatic", "spicy", "nutty", "pear", "berry", "aniseed", "vinous", "honey"]
Skin = Literal["red", "bicolour", "yellow", "green", "russet"]
FLAVOURS: tuple[Flavour, ...] = get_args(Flavour)
SKINS: tuple[Skin, ...] = get_args(Skin)

Word = TypeVar("Word", bound=str)


class FruitLike(msgspec.Struct, frozen=True, kw_only=True):
    """What the fruit is like; null, or no aroma, where no source tells. `keeps_weeks`: in a cool store."""

    flavour: Flavour | None
    aromas: tuple[Aroma, ...]
    skin: Skin | None
    skin_pattern: tuple[str, ...]
    red_flesh: bool | None
    weight_g: int | None
    keeps_weeks: tuple[int, int] | None
    raised: int | None
    origin: str | None


def fruit_like(cultivar: Cultivar) -> FruitLike:
    """What the adopted traits say of the fruit."""
    numbers = cultivar.numbers
    keeps = [numbers[end] for end in ("storage_weeks_low", "storage_weeks_high") if end in numbers]
    return FruitLike(
        flavour=_one_of(FLAVOURS, said(cultivar, "flavour")),
        aromas=tuple(one for one in get_args(Aroma) if one in said(cultivar, "aroma")),
        skin=_one_of(SKINS, said(cultivar, "skin")),
        skin_pattern=said(cultivar, "skin_pattern"),
        red_flesh=True if "red" in said(cultivar, "flesh") else None,
        weight_g=round(numbers["fruit_weight_g"].value) if "fruit_weight_g" in numbers else None,
        keeps_weeks=(round(keeps[0].value), round(keeps[1].value)) if len(keeps) == 2 else None,
        raised=raised(cultivar),
        origin=next(iter(cultivar.origin_texts), None),
    )


def raised(cultivar: Cultivar) -> int | None:
    """The year in which it was raised or first named; None where no text tells."""
    return next((int(year) for year in said(cultivar, "origin_year") if year.isdigit()), None)


def said(cultivar: Cultivar, trait: str) -> tuple[str, ...]:
    """The classes that a text gives for a trait; none where it is not known."""
    finding = cultivar.findings.get(trait)
    return () if finding is None else tuple(finding.value.split())


def _one_of(classes: tuple[Word, ...], words: tuple[str, ...]) -> Word | None:
    """The class that is said, where it is one and a known one."""
    return next((one for one in classes if words == (one,)), None)
