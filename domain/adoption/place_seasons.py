"""When the reference cultivar blooms and is picked at the places of dated lists, as the program itself would say.

``python -m domain.adoption.place_seasons`` (minutes) writes reference_tables/adopted/place_seasons.csv from the
climatology, the heights of `climate/place_heights.csv` and the figures of `tree_year`: run it when one of them changes,
or when a list of a new place is entered, and `python -m domain.adoption` after it. With ``--check`` nothing is written,
and the command ends with 1 where a day differs by more than one.

Adoption expects a list to lie where this puts it: a list of one or few names then cannot float free, and says as much
as a list of its climate can. A place that is not there yet is expected where an ordinary place lies, and widely.
"""

import argparse
import csv
import functools
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

import msgspec
import numpy as np

import reference_tables
from domain.common.season_days import season_day
from domain.fruit.reference import REFERENCE
from domain.site_climate.site import Site
from domain.site_climate.site_years import site_years
from domain.tables import loading as tables
from domain.tables.observations import Observation
from domain.tree_year.bloom import full_bloom
from domain.tree_year.clock import SiteClock, site_clock
from domain.tree_year.ripening import first_ripe_day, ripening_days
from domain.tree_year.stages import FIGURES as MIDDLING
from reference_tables.building.package import write_package

PATH = Path(reference_tables.__file__).parent / "adopted" / "place_seasons.csv"
HEIGHTS = PATH.parents[1] / "climate" / "place_heights.csv"


class PlaceSeason(msgspec.Struct, frozen=True):
    """One place. Days of the year, southern ones moved by half a year; those of low chill are of a cultivar that is
    released on as little chill as any, and else like the reference.
    """

    place: str
    latitude: float
    longitude: float
    bloom_day: float
    picking_day: float
    low_chill_bloom_day: float
    low_chill_picking_day: float
    chill_portions: float


class PlaceKey(NamedTuple):
    """A place as a list names it."""

    place: str
    latitude: float
    longitude: float


@functools.cache
def place_heights() -> dict[PlaceKey, float]:
    """Elevation (m) of the places of dated lists that have one of their own, from memory."""
    with HEIGHTS.open(encoding="utf-8", newline="") as lines:
        return {
            PlaceKey(row["place"], float(row["latitude"]), float(row["longitude"])): float(row["elevation_m"])
            for row in csv.DictReader(lines)
        }


@functools.cache
def place_seasons() -> dict[PlaceKey, PlaceSeason]:
    """The places of the table; none where it has not been made yet."""
    if not PATH.exists():
        return {}
    with PATH.open(encoding="utf-8", newline="") as lines:
        rows = [msgspec.convert(row, PlaceSeason, strict=False) for row in csv.DictReader(lines)]
    return {PlaceKey(row.place, row.latitude, row.longitude): row for row in rows}


def season_of(observation: Observation) -> PlaceSeason | None:
    """The season of the place of an observation; None without coordinates or where the table lacks it."""
    if observation.latitude is None or observation.longitude is None:
        return None
    return place_seasons().get(PlaceKey(observation.place, observation.latitude, observation.longitude))


def season_at(key: PlaceKey, clock: SiteClock) -> PlaceSeason:
    """What the program says of the reference cultivar at a place, and of its like that needs hardly any chill."""
    offset = np.zeros(2, dtype=np.float32)
    need = np.array([MIDDLING.middling_chill_portions, MIDDLING.low_chill_portions], dtype=np.float32)
    bloom, _ = full_bloom(clock, need, offset)
    picking = first_ripe_day(clock, bloom, ripening_days(offset, offset))
    first_day = season_day("01-01", south=False) - 1
    return PlaceSeason(
        *key,
        bloom_day=round(float(np.median(bloom[0])) - first_day, 1),
        picking_day=round(float(np.median(picking[0])) - first_day, 1),
        low_chill_bloom_day=round(float(np.median(bloom[1])) - first_day, 1),
        low_chill_picking_day=round(float(np.median(picking[1])) - first_day, 1),
        chill_portions=round(float(np.median(clock.chill_total)), 1),
    )


def dated_places(observations: Iterable[Observation]) -> list[PlaceKey]:
    """The places that observations name, in order."""
    keys = {
        PlaceKey(o.place, o.latitude, o.longitude)
        for o in observations
        if o.latitude is not None and o.longitude is not None
    }
    return sorted(keys)


def computed() -> list[PlaceSeason]:
    """The table, anew."""
    known = tables.load(adopted=False)
    found = []
    for key in dated_places((*known.by_topic["bloom"], *known.by_topic["ripening"])):
        site = Site(latitude=key.latitude, longitude=key.longitude, elevation_m=place_heights().get(key))
        years = site_years(site)
        found.append(season_at(key, site_clock(years.seasons, years.bloom_shift_days)))
    return found


def main() -> None:
    """Write the table, or compare it with what stands."""
    parser = argparse.ArgumentParser(prog="python -m domain.adoption.place_seasons", description=__doc__)
    parser.add_argument("--check", action="store_true", help="compare with what stands instead of writing")
    arguments = parser.parse_args()
    fresh = computed()
    if arguments.check:
        standing = place_seasons()
        differing = [row.place for row in fresh if not _agree(row, standing.get(PlaceKey(*key_of(row))))]
        print("\n".join(differing) or f"{len(fresh)} places stand as they are computed")
        sys.exit(1 if differing else 0)
    with PATH.open("w", encoding="utf-8", newline="") as lines:
        writer = csv.writer(lines, lineterminator="\n")
        writer.writerow(PlaceSeason.__struct_fields__)
        writer.writerows(msgspec.structs.astuple(row) for row in fresh)
    write_package(PATH.parents[1])
    print(f"{len(fresh)} places of dated lists, {REFERENCE.cultivar}")


def key_of(row: PlaceSeason) -> PlaceKey:
    """The place of a row."""
    return PlaceKey(row.place, row.latitude, row.longitude)


def _agree(row: PlaceSeason, standing: PlaceSeason | None) -> bool:
    if standing is None:
        return False
    return abs(row.bloom_day - standing.bloom_day) <= 1.0 and abs(row.picking_day - standing.picking_day) <= 1.0


if __name__ == "__main__":
    main()
