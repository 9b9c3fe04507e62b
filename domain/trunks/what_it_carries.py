"""How many cultivars a trunk carries, how many grafts a year, and what of its kind and stock is to be minded.

A small crown has few limbs to give away: the smallest stocks bear two cultivars, those of a full tree as many as can be
kept apart. Neither a young tree nor an old one is grafted over at once: a small part of the top in the first year, and
three or four years for the whole (L. H. Bailey, The Apple-Tree, 1922). A columnar tree makes no limbs at all.
"""

import msgspec

from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.rootstocks import rootstock_names, rootstocks
from domain.tables.words import Sentence, say
from domain.trunks.trunk_answer import MOST_ON_ONE_TRUNK, Trunk


class CarryFigures(msgspec.Struct, frozen=True):
    """Cultivars and grafts a year, by size of the stock (percent of seedling) and age of the tree (years)."""

    size_steps_percent: tuple[float, ...]
    cultivars_by_size: tuple[int, ...]
    age_steps_years: tuple[float, ...]
    cultivars_by_age: tuple[int, ...]
    grafts_a_year_by_age: tuple[int, ...]
    virus_sensitive: tuple[str, ...]


FIGURES = figures("trunks", "what_it_carries", CarryFigures)


def carries(trunk: Trunk | None) -> int:
    """Cultivars that a trunk carries, its own counted; the most of any where neither stock nor age is told."""
    most = MOST_ON_ONE_TRUNK
    if trunk is None:
        return most
    stock = None if trunk.rootstock is None else rootstocks()[rootstock_names().resolve(trunk.rootstock) or ""]
    if stock is not None and "size_percent" in stock.numbers:
        size = stock.numbers["size_percent"].value
        most = min(most, _by(size, FIGURES.size_steps_percent, FIGURES.cultivars_by_size))
    if trunk.age_years is not None:
        most = min(most, _by(trunk.age_years, FIGURES.age_steps_years, FIGURES.cultivars_by_age))
    return most


def grafts_a_year(trunk: Trunk | None) -> int:
    """Grafts of one spring; those of an established tree where its age is not told."""
    if trunk is None or trunk.age_years is None:
        return FIGURES.grafts_a_year_by_age[-1]
    return _by(trunk.age_years, FIGURES.age_steps_years, FIGURES.grafts_a_year_by_age)


def _by(value: float, steps: tuple[float, ...], found: tuple[int, ...]) -> int:
    """What holds of a value: that of the first step it lies below, the last beyond all."""
    return next((one for step, one in zip(steps, found, strict=False) if value < step), found[-1])


def to_mind(trunk: Trunk | None, own: Cultivar | None, asked: int, must: int) -> tuple[Sentence, ...]:
    """What is to be minded of the trunk. asked, must: cultivars asked for in all, and those it has or must have."""
    found = []
    most = carries(trunk)
    if must > most:
        found.append(say("trunk_must_carry_more", cultivars=must, most=most))
    elif asked > most:
        found.append(say("trunk_carries_at_most", most=most))
    if own is not None and "vigour" not in own.numbers:
        found.append(say("trunk_vigour_unknown", cultivar=own.name, id=own.id))
    if trunk is None or trunk.rootstock is None:
        return tuple(found)
    stock = rootstocks()[rootstock_names().resolve(trunk.rootstock) or ""]
    told = {trait: finding.value for trait, finding in stock.findings.items()}
    if told.get("virus") == "sensitive" or stock.id in FIGURES.virus_sensitive:
        found.append(say("trunk_virus_tested_scions"))
    if told.get("union") == "brittle":
        found.append(say("trunk_union_brittle", rootstock=stock.name, rootstock_id=stock.id))
    return tuple(found)
