"""A row of a table becomes a site as a request would tell it, or the fault that a request would be told."""

from typing import Any

import pytest

from domain.common.faults import ContentFaults
from domain.many_sites.site_numbers import Asked, site_numbers
from domain.many_sites.site_rows import COLUMNS, row_faults, site_of, unknown_columns
from domain.site_climate.site import Site
from domain.traits.catalogue import Catalogue

TWELVE = [1.0] * 12


def test_its_columns_are_the_fields_of_a_site_and_two_of_its_own() -> None:
    assert set(COLUMNS) == {*Site.__struct_fields__, "id", "weight"}
    assert unknown_columns(["id", "latitude", "lat"]) == ("lat",)


def test_empty_cells_are_not_told() -> None:
    row, site = site_of(
        {
            "id": 7,
            "latitude": 51,
            "longitude": 0.5,
            "weight": None,
            "winter_chill": None,
            "winter_minimum": {"hardiness_zone": None, "mean_annual_minimum_c": -9.5},
            "observed_dates": None,
        }
    )
    assert (row.id, row.weight) == (7, 1.0)
    assert site.winter_chill is None
    assert site.winter_minimum is not None
    assert site.winter_minimum.hardiness_zone is None
    assert site.observed_dates == ()


@pytest.mark.parametrize(
    ("told", "pointer"),
    [
        ({"latitude": 91.0}, "#/latitude"),
        ({"latitude": "51"}, "#/latitude"),
        ({"monthly_normals": {"tmin_c": TWELVE, "tmax_c": TWELVE[1:]}}, "#/monthly_normals/tmax_c"),
        ({"observed_dates": [{"cultivar": "Gala", "event": "ripe", "date": "2022-09-01"}]}, "#/observed_dates/0/event"),
        ({"weight": 0.0}, "#/weight"),
        ({"winter_chill": {"measure": "hours", "mean": 900.0}}, "#/winter_chill/measure"),
    ],
)
def test_a_fault_of_shape_has_its_place(told: dict[str, Any], pointer: str) -> None:
    with pytest.raises(ContentFaults) as refused:
        site_of({"id": "a", "latitude": 50.0, "longitude": 8.0} | told)
    assert [fault.pointer for fault in row_faults(refused.value)] == [pointer]


@pytest.mark.parametrize(
    ("told", "pointers"),
    [
        ({"winter_minimum": {}}, ["#/winter_minimum"]),
        ({"warming_c": 4.0}, ["#/warming_c"]),
        (
            {
                "observed_dates": [{"cultivar": "Nosuch", "event": "full_bloom", "date": "2022-04-30"}],
                "bloom_here": "02-30",
            },
            ["#/bloom_here", "#/observed_dates/0/cultivar"],
        ),
    ],
)
def test_a_fault_of_content_has_its_place(told: dict[str, Any], pointers: list[str], catalogue: Catalogue) -> None:
    _, site = site_of({"id": "a", "latitude": 50.0, "longitude": 8.0} | told)
    asked = Asked(catalogue.advised, (0.0, 2.0))
    with pytest.raises(ContentFaults) as refused:
        next(site_numbers(site, catalogue, asked))
    assert [fault.pointer for fault in row_faults(refused.value)] == pointers
