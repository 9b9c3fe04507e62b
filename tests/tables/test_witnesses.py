"""What is grown, recommended, tried, rejected or failed where: every row has a place and a source."""

from collections import Counter, defaultdict
from pathlib import Path

import pytest

import reference_tables
from domain.adoption import witnesses as adoption
from domain.site_climate.climate_figures import FIGURES
from domain.tables.loading import load, rows
from domain.tables.witnesses import Witness, WitnessPlace
from reference_tables.building.published import read_table
from reference_tables.building.schemas.witnesses import TABLES
from tests.published.recommended_lists import CLIMATE_GROUPS, climate_group

ROOT = Path(reference_tables.__file__).parent
ROWS = read_table(ROOT / "observations" / "witnesses.csv")
KINDS = next(column.enum for column in TABLES[0].columns if column.name == "kind")


def test_every_witness_names_a_place_a_document_and_a_cultivar_that_is_served() -> None:
    sources = {row["source_id"] for row in read_table(ROOT / "sources.csv")}
    cultivars = {row["cultivar_id"] for row in read_table(ROOT / "catalogue.csv")}
    for row in ROWS:
        assert row["place"]
        assert row["source_id"] in sources
        assert row["cultivar_id"] in cultivars
        assert (float(row["latitude"]), float(row["longitude"])) != (0, 0)


def test_every_kind_and_every_climate_has_its_witnesses() -> None:
    places = {(row["latitude"], row["longitude"], row["elevation_m"]) for row in ROWS}
    climates = {
        place: climate_group(float(place[0]), float(place[1]), float(place[2]) if place[2] else None)
        for place in places
    }
    counts = Counter((row["kind"], climates[row["latitude"], row["longitude"], row["elevation_m"]]) for row in ROWS)
    documents = Counter(
        climate
        for climate, _ in {
            (climates[row["latitude"], row["longitude"], row["elevation_m"]], row["source_id"]) for row in ROWS
        }
    )
    print(f"{'':20}" + "".join(f"{climate:>13}" for climate in CLIMATE_GROUPS))
    for kind in KINDS:
        print(f"{kind:20}" + "".join(f"{counts[kind, climate]:13}" for climate in CLIMATE_GROUPS))
    print(f"{'documents':20}" + "".join(f"{documents[climate]:13}" for climate in CLIMATE_GROUPS))
    assert {kind for kind, _ in counts} == set(KINDS)
    assert min(documents[climate] for climate in CLIMATE_GROUPS) >= 10


def test_places_stand_at_the_height_that_is_known_of_them() -> None:
    """Ulvik lies on the shore of its fjord and Camino on a ridge: the map of the ground puts both near 500 m."""
    places = {row.place: row for row in rows(ROOT / adoption.PLACES, WitnessPlace)}
    fjord, ridge = places["Ulvik, Hardanger"], places["Camino (Apple Hill), El Dorado County, California"]
    assert (fjord.elevation_m, ridge.elevation_m) == (80.0, 950.0)


def test_the_adopted_witnesses_are_what_was_published() -> None:
    tables = load()
    said = adoption.published(tables)
    computed = adoption.weighed(said, adoption.kinds_of_witness(), tables)
    standing = rows(ROOT / adoption.WITNESSES, Witness)
    assert adoption.differences(standing, computed) == []
    assert {one.place_id for one in standing} == {row.place_id for row in rows(ROOT / adoption.PLACES, WitnessPlace)}


@pytest.mark.parametrize("nth", [3, 240])
def test_the_climate_of_a_witness_is_that_of_its_pin(nth: int) -> None:
    standing = rows(ROOT / adoption.PLACES, WitnessPlace)[nth]
    place = adoption.Place(standing.latitude, standing.longitude, standing.elevation_m)
    assert place.id == standing.place_id
    computed = adoption.place_of(place, standing.place)
    for figure in FIGURES:
        assert getattr(computed, figure) == pytest.approx(getattr(standing, figure), abs=0.15), figure


def test_what_a_collection_or_a_wide_region_picks_is_no_witness() -> None:
    said = adoption.published(load())
    picked = {one.name for one in said if one.kind == "picked"}
    assert picked
    assert not any("collection" in name.lower() for name in picked)
    assert not {"Kentville, Nova Scotia", "United States", "Europe"} & picked


def test_old_and_long_documents_count_less_and_a_collection_nothing() -> None:
    found = rows(ROOT / adoption.WITNESSES, Witness)
    assert not {one.kind for one in found} & {"collection_survives"}
    kinds = adoption.kinds_of_witness()
    old = [one.weight / kinds[one.kind].weight for one in found if one.year is not None and one.year < 1950]
    assert old
    assert max(old) <= 0.3
    # A cultivar that stands there as two kinds, recommended and with its picking date, has one vote.
    votes: defaultdict[tuple[str, str, str], dict[str, float]] = defaultdict(dict)
    for one in found:
        there = votes[one.source_id, one.place_id, one.says]
        there[one.cultivar_id] = max(one.weight / kinds[one.kind].weight, there.get(one.cultivar_id, 0.0))
    assert max(sum(there.values()) for there in votes.values()) <= 15.0 + 0.1  # weights are rounded


def test_services_alone_have_two_voices_where_they_recommend() -> None:
    sources = load().sources
    found = rows(ROOT / adoption.WITNESSES, Witness)
    heavy = {(one.kind, sources[one.source_id].kind) for one in found if one.voices > 1.0}
    assert heavy == {("recommended", "extension")}
    assert {sources[one.source_id].kind for one in found if one.kind == "recommended" and one.voices == 1.0} >= {
        "handbook",
        "press",
        "grower",
        "nursery",
    }
    assert max(one.weight for one in found) <= 1.0


def test_no_picking_date_of_a_collection_or_of_a_whole_country_is_a_witness() -> None:
    """Where a text prints no more than a wide country, the pin of its row is its reader's and not the text's."""
    tables = load()
    dated = [row for row in tables.by_topic["ripening"] if row.trait in adoption.PICKING and row.latitude is not None]
    wide = {(row.source_id, row.place) for row in dated if row.place in ("United Kingdom", "New Zealand", "Russia")}
    kept = {(row.source_id, row.place) for row in dated if "Brogdale" in row.place}
    assert len(wide) > 3
    assert kept
    heard = {(one.source_id, one.name) for one in adoption.published(tables) if one.kind == "picked"}
    assert heard & (wide | kept) == set()
