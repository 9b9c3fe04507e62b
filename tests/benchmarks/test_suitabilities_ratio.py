"""A full suitabilities answer (all advised apples, computed and encoded) against its own encoding and plain arithmetic.

Two cases: at a site asked about before, and with the fit of the cultivars computed anew. Each bound stands about half
above what was measured when it was set; the ratios are printed (``pytest -s``).
"""

from collections.abc import Callable

import msgspec
import numpy as np
import pytest

from domain.orchard_site.conditions import site_conditions
from domain.site_climate.site_years import site_years
from domain.suitability.suitabilities import suitabilities
from domain.suitability.suitability_request import SuitabilityRequest
from domain.tables.loading import load
from domain.traits.catalogue import Catalogue
from domain.tree_year.bloom import bloom_days
from domain.tree_year.ripening import first_ripe_day, ripening_days
from tests.benchmarks.cost import HOURS, cpu_seconds, in_sines, ratio

pytestmark = pytest.mark.benchmark

ROUNDS = 7
FIGURES = {
    "winter_chill": {"measure": "hours_below_7_2c", "mean": 1150},
    "last_spring_frost": {"median": "04-20"},
    "winter_minimum": {"hardiness_zone": "7a"},
}


def seconds(work: Callable[[], object]) -> float:
    """Median processor time of some rounds."""
    return cpu_seconds(work, rounds=ROUNDS)[0]


@pytest.mark.parametrize(("anew", "most"), [(False, 4.0), (True, 15.0)])
def test_all_advised_cultivars_at_a_site(anew: bool, most: float) -> None:
    catalogue = Catalogue(load())
    request = msgspec.convert({"site": FIGURES}, SuitabilityRequest)
    conditions = site_conditions(site_years(request.site))

    def answered() -> bytes:
        if anew:
            conditions.kept.clear()
            conditions.kept_alike.clear()
        return msgspec.json.encode(suitabilities(request, catalogue, conditions))

    answer = suitabilities(request, catalogue, conditions)
    assert len(answer.suitabilities) == len(catalogue.advised.cultivars) > 280
    found = ratio(answered, lambda: msgspec.json.encode(answer), ROUNDS, times=3)
    print(f"{'anew' if anew else 'again'}: {found:.1f} times its encoding")
    assert found < most


DEPTHS = {
    "place": {"latitude": 42.9, "longitude": -77.0, "elevation_m": 150},
    "normals": {
        "latitude": 42.9,
        "longitude": -77.0,
        "monthly_normals": {
            "tmin_c": [-8.6, -8.2, -4.2, 1.6, 7.5, 13.0, 15.6, 14.8, 10.9, 5.1, 0.2, -5.0],
            "tmax_c": [-0.4, 0.6, 5.6, 13.1, 20.0, 24.9, 27.4, 26.4, 22.5, 15.6, 8.6, 2.3],
        },
    },
}


@pytest.mark.parametrize("depth", DEPTHS)
def test_a_deeper_site_costs_no_more_than_figures_once_it_is_known(depth: str) -> None:
    """At most 4 times the answer from figures, both computed anew at a site whose years are at hand."""
    catalogue = Catalogue(load())

    def anew(site: object) -> float:
        request = msgspec.convert({"site": site}, SuitabilityRequest)
        conditions = site_conditions(site_years(request.site))

        def answered() -> None:
            conditions.kept.clear()
            conditions.kept_alike.clear()
            suitabilities(request, catalogue, conditions)

        return seconds(answered)

    ratio = anew(DEPTHS[depth]) / anew(FIGURES)
    print(f"{depth}: {ratio:.1f} times the answer from figures")
    assert ratio < 4.0


def test_all_windows_cost_less_than_sines_of_every_day() -> None:
    """Bloom and harvest of all cultivars in 200 years: at most the sine of every day of every year of each."""
    catalogue = Catalogue(load())
    clock = site_conditions(site_years(msgspec.convert({"site": FIGURES}, SuitabilityRequest).site)).clock
    value = catalogue.advised.value

    def windows() -> None:
        bloom = bloom_days(clock, value["chill_portions"], value["bloom_offset_days"], value["bloom_length_days"])
        days = ripening_days(np.nan_to_num(value["ripening_offset_days"]), value["bloom_offset_days"])
        first_ripe_day(clock, bloom.full, days)

    of_every_day = len(catalogue.advised.cultivars) * clock.chill_total.size * 365 / HOURS.size
    found = in_sines(windows) / of_every_day
    print(f"all windows: {found:.2f} times numpy.sin over every day")
    assert found < 1.0


def test_loading_the_tables_costs_little_beside_a_few_new_sites() -> None:
    """Loading is done once; it may cost no more than three climates of sites did before these were made cheaper."""
    found = in_sines(load.__wrapped__, rounds=3)
    print(f"loading the tables: {found:.1f} sines")
    assert found < 25.0
