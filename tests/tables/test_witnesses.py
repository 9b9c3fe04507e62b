"""What is grown, recommended, tried, rejected or failed where: every row has a place and a source."""

from collections import Counter
from pathlib import Path

import reference_tables
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
