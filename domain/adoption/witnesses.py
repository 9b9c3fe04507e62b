"""What is known to do well or to fail where, made ready to be counted: ``python -m domain.adoption.witnesses``.

Witnesses are the rows of observations/witnesses.csv, what services recommend and advise against, and lists of picking
dates that are no collections. Each has a place, at the height that is told or that climate/place_heights.csv knows,
whose climate is simulated from the embedded climatology exactly as that of a pin (minutes; with ``--new`` only for
places that have none yet), and a weight by its kind, its age and how much else its document names there. With
``--check`` the witnesses are compared with what stands, and the climates of some places.
"""

import argparse
import csv
import functools
import io
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import NamedTuple

import msgspec

from domain.adoption.place_seasons import PlaceKey, place_heights
from domain.adoption.reading import READING
from domain.adoption.reading import Row as ReadRow
from domain.site_climate.climate_figures import FIGURES as CLIMATE
from domain.site_climate.climate_figures import climate_figures
from domain.site_climate.site import Site
from domain.site_climate.site_years import site_years
from domain.tables.loading import TABLES, Tables, load, rows
from domain.tables.observations import Observation
from domain.tables.parameters import figures
from domain.tables.witnesses import Says, Witness, WitnessPlace
from domain.tree_year.clock import site_clock
from reference_tables.building.package import write_package
from reference_tables.building.schemas.witnesses import LISTED_KINDS, PICKED

PLACES, WITNESSES = "adopted/witness_places.csv", "adopted/witnesses.csv"
PICKING = frozenset({"harvest_start", "harvest_mid", "harvest_end", "harvest_window"})
SERVICE = "extension"
"""The kind of source of services."""
CHECKED_PLACES = 8
"""Every n-th place is simulated anew by a check."""


class WitnessFigures(msgspec.Struct, frozen=True):
    """See parameters/adoption.csv, subject witnesses."""

    votes_of_a_document: float
    old_before: int
    old_weight: float
    service_voices: float
    collection_from: int
    collection_words: tuple[str, ...]
    too_wide: tuple[str, ...]


FIGURES_OF = figures("adoption", "witnesses", WitnessFigures)


class WitnessKind(ReadRow, frozen=True, kw_only=True):
    """What a kind of witness says, and what it counts."""

    kind: str
    weight: float
    says: Says | None = None


class Place(NamedTuple):
    """Where a witness stands."""

    latitude: float
    longitude: float
    elevation_m: float | None

    @property
    def id(self) -> str:
        """Its id: the figures as far as they are told."""
        return ",".join("" if one is None else f"{one:g}" for one in self)


class Said(NamedTuple):
    """One witness as published."""

    source_id: str
    place: Place
    name: str
    cultivar_id: str
    kind: str
    year: int | None


class _WitnessRow(msgspec.Struct, frozen=True):
    """What is read of a row of observations/witnesses.csv."""

    cultivar_id: str
    place: str
    latitude: float
    longitude: float
    kind: str
    source_id: str
    elevation_m: float | None = None
    year: str = ""


def published(tables: Tables, directory: Path | None = None) -> list[Said]:
    """Every witness of the tables."""
    witnesses = rows((directory or TABLES) / "observations" / "witnesses.csv", _WitnessRow)
    found = [_said(tables, row, row.kind, row.elevation_m, row.year) for row in witnesses]
    for row, kind in (*_listed(tables), *_picked(tables.by_topic["ripening"])):
        if row.latitude is not None:
            found.append(_said(tables, row, kind, None, row.years))
    return found


def _said(tables: Tables, row: _WitnessRow | Observation, kind: str, elevation_m: float | None, year: str) -> Said:
    """One row with its place; the year of its document where it tells none."""
    assert row.latitude is not None
    assert row.longitude is not None
    told = _year(year) or _year(tables.sources[row.source_id].year)
    if elevation_m is None:
        elevation_m = _known_height(row.place, row.latitude, row.longitude)
    place = Place(row.latitude, row.longitude, elevation_m)
    return Said(row.source_id, place, row.place, row.cultivar_id, kind, told)


def _known_height(place: str, latitude: float, longitude: float) -> float | None:
    """Elevation (m) by the gazetteer of dated lists: an orchard in hills has the climate of its height."""
    named = place_heights().get(PlaceKey(place, latitude, longitude))
    return _heights_by_position().get((latitude, longitude)) if named is None else named


@functools.cache
def _heights_by_position() -> dict[tuple[float, float], float]:
    return {(key.latitude, key.longitude): height for key, height in place_heights().items()}


def _listed(tables: Tables) -> list[tuple[Observation, str]]:
    return [(row, LISTED_KINDS[row.published]) for row in tables.by_topic["recommendations"]]


def _picked(observations: Iterable[Observation]) -> list[tuple[Observation, str]]:
    """Dated picking of lists that are no collections and have one climate."""
    dated = [row for row in observations if row.trait in PICKING]
    size = Counter(list_id for list_id, _ in {(row.list_id, row.cultivar_id) for row in dated})
    return [
        (row, PICKED)
        for row in dated
        if size[row.list_id] < FIGURES_OF.collection_from
        and row.place not in FIGURES_OF.too_wide
        and not any(word in f"{row.place} {row.list_id} {row.note}".lower() for word in FIGURES_OF.collection_words)
    ]


def _year(text: str) -> int | None:
    """The first year of a text."""
    return next((int(part) for part in text.replace("-", " ").split() if len(part) == 4 and part.isdigit()), None)


def weighed(said: Iterable[Said], kinds: Mapping[str, WitnessKind], tables: Tables) -> list[Witness]:
    """The witnesses that say something, each document, place, cultivar and kind once, with their weights.

    Copies of a document, known by their address, speak as one.
    """
    first: dict[str, str] = {}
    once: dict[tuple[str, str, str, str], Said] = {}
    for one in sorted(said, key=lambda s: (s.source_id, s.place.id, s.cultivar_id, s.kind, s.year or 0)):
        url = tables.sources[one.source_id].url
        source_id = first.setdefault(url, one.source_id) if url else one.source_id
        once.setdefault((source_id, one.place.id, one.cultivar_id, one.kind), one._replace(source_id=source_id))
    named: defaultdict[tuple[str, str, Says], set[str]] = defaultdict(set)
    for one in once.values():
        if (says := kinds[one.kind].says) is not None:
            named[one.source_id, one.place.id, says].add(one.cultivar_id)
    found = []
    for key, one in sorted(once.items()):
        kind = kinds[one.kind]
        if kind.says is None or kind.weight <= 0.0:
            continue
        share = min(1.0, FIGURES_OF.votes_of_a_document / len(named[one.source_id, key[1], kind.says]))
        old = FIGURES_OF.old_weight if one.year is not None and one.year < FIGURES_OF.old_before else 1.0
        found.append(
            Witness(
                source_id=one.source_id,
                place_id=key[1],
                cultivar_id=one.cultivar_id,
                kind=one.kind,
                says=kind.says,
                weight=round(kind.weight * share * old, 3),
                voices=_voices(one, tables),
                year=one.year,
            )
        )
    return found


def _voices(one: Said, tables: Tables) -> float:
    """What a service recommends it recommends by many gardens; whoever else does speaks of what he has seen himself."""
    by_service = one.kind == LISTED_KINDS["recommended"] and tables.sources[one.source_id].kind == SERVICE
    return FIGURES_OF.service_voices if by_service else 1.0


def place_of(place: Place, name: str) -> WitnessPlace:
    """A place with its climate, as that of a pin, in tenths. Raises ContentFaults where no tree can stand."""
    years = site_years(Site(latitude=place.latitude, longitude=place.longitude, elevation_m=place.elevation_m))
    climate = climate_figures(years, site_clock(years.seasons, years.bloom_shift_days))
    return WitnessPlace(
        place_id=place.id,
        place=name,
        latitude=place.latitude,
        longitude=place.longitude,
        elevation_m=place.elevation_m,
        **{figure: round(getattr(climate, figure), 1) for figure in CLIMATE},
    )


def kinds_of_witness() -> dict[str, WitnessKind]:
    """Every kind of witness by its name."""
    return {row.kind: row for row in rows(READING / "witness_kinds.csv", WitnessKind, ("sources",))}


def main() -> None:
    """Write both tables, or compare."""
    parser = argparse.ArgumentParser(prog="python -m domain.adoption.witnesses", description=__doc__)
    parser.add_argument("--check", action="store_true", help="compare with what stands instead of writing")
    parser.add_argument("--new", action="store_true", help="simulate only the places that have no climate yet")
    arguments = parser.parse_args()
    tables = load(adopted=False)
    said = published(tables)
    found = weighed(said, kinds_of_witness(), tables)
    used = {one.place_id for one in found}
    places = {one.place.id: one for one in sorted(said, key=lambda s: s.name, reverse=True) if one.place.id in used}
    standing = {row.place_id: row for row in rows(TABLES / PLACES, WitnessPlace)} if (TABLES / PLACES).exists() else {}
    if arguments.check:
        differing = differences(rows(TABLES / WITNESSES, Witness), found)
        differing += [f"{place} has no climate" for place in sorted(places.keys() - standing.keys())]
        for place_id in sorted(places.keys() & standing.keys())[::CHECKED_PLACES]:
            differing += _off(standing[place_id], place_of(places[place_id].place, places[place_id].name))
        print("\n".join(differing[:50]) or "the witnesses are what the observations give")
        sys.exit(1 if differing else 0)
    climates = []
    for place_id, one in sorted(places.items()):
        kept = standing.get(place_id) if arguments.new else None
        climates.append(kept or place_of(one.place, one.name))
    for name, table in ((PLACES, climates), (WITNESSES, found)):
        (TABLES / name).write_text(as_csv(table), encoding="utf-8", newline="")
    write_package(TABLES)
    print(f"{len(climates)} places, {len(found)} witnesses of {len({one.source_id for one in found})} documents")


def differences(standing: Iterable[Witness], computed: Iterable[Witness]) -> list[str]:
    """What stands and is not computed, and the other way."""
    old, new = set(standing), set(computed)
    lines = [f"{one.source_id} on {one.cultivar_id} at {one.place_id} is computed, not committed" for one in new - old]
    lines += [f"{one.source_id} on {one.cultivar_id} at {one.place_id} is committed, not computed" for one in old - new]
    return sorted(lines)


def _off(standing: WitnessPlace, computed: WitnessPlace) -> list[str]:
    """The figures of a place that are off by more than one unit of their last digit."""
    return [
        f"{standing.place_id}, {name}: {getattr(standing, name)} stands, {getattr(computed, name)} is computed"
        for name in CLIMATE
        if abs(getattr(standing, name) - getattr(computed, name)) > 0.15
    ]


def as_csv(table: Iterable[Witness] | Iterable[WitnessPlace]) -> str:
    """A table of records as text, columns in the order of their fields as the schema names them."""
    text = io.StringIO()
    writer: csv.DictWriter[str] | None = None
    for one in table:
        row = {name: "" if (value := getattr(one, name)) is None else f"{value:g}" if isinstance(value, float)
               else str(value) for name in one.__struct_fields__}  # fmt: skip
        if writer is None:
            writer = csv.DictWriter(text, list(row), lineterminator="\n")
            writer.writeheader()
        writer.writerow(row)
    return text.getvalue()


if __name__ == "__main__":
    main()
