"""Which facts are of the cultivar whose name they bear: kind and age must agree, and what was decided of homonyms."""

from collections.abc import Iterable

from reference_tables.building.denominations import Decisions, Names
from reference_tables.building.observations import Raw
from reference_tables.building.published import Row

LAST_YEAR_OF_OLD_POMOLOGIES = 1900
"""Catalogues of before describe eating, cooking and cider apples; the crab apples planted for pollen are younger."""

_YEARS_ON_TRIAL = 20
"""A seedling can be described under its later name this long before it is introduced (common practice, no source)."""


def agreeing(raw: Iterable[Raw], names: Names, sources: Iterable[Row], decided: Decisions) -> list[Raw]:
    """The facts without those that must be of another apple of the same name.

    A fact is passed over if its document is older, by more than the years on trial, than the earliest year of origin
    that any text gives the cultivar; if the cultivar is a crab apple and the document an old pomology; or if it was
    decided that the document means another (`homonym` of `decisions.csv`).
    """
    entries = list(raw)
    years = {row["source_id"]: int(row["year"][:4]) for row in sources if row["year"][:4].isdigit()}
    origins = _origins(entries, names)
    crab_apples = {names.id_of_key.get(k) for k in decided.crab_apples}
    homonyms = {(names.id_of_key.get(k), source) for k, source in decided.homonyms}

    def agrees(entry: Raw) -> bool:
        cultivar_id, year = names.resolve(entry.cultivar), years.get(entry.source_id)
        if cultivar_id is None or (cultivar_id, entry.source_id) in homonyms:
            return False
        if year is None:
            return True
        if year < LAST_YEAR_OF_OLD_POMOLOGIES and cultivar_id in crab_apples:
            return False
        return year >= origins.get(cultivar_id, year) - _YEARS_ON_TRIAL

    return [entry for entry in entries if agrees(entry)]


def _origins(entries: Iterable[Raw], names: Names) -> dict[str, float]:
    """Cultivar id -> the earliest year of origin printed of it."""
    found: dict[str, float] = {}
    for entry in entries:
        if entry.trait == "origin_year" and entry.low is not None and (cultivar_id := names.resolve(entry.cultivar)):
            found[cultivar_id] = min(entry.low, found.get(cultivar_id, entry.low))
    return found
