"""A full suitabilities answer (all advised apples, computed and encoded) against numpy.exp and its own encoding.

The aim is 25 times ``numpy.exp`` over one (cultivars x years) array, or 12 times the encoding, whichever is larger. The
medians are printed (``pytest -s``): at a site asked about before, and with the fit of the cultivars computed anew. The
second misses the aim by about three times: chill, frost, cold and ripening are each looked up in 200 seasons for the
middle and for two doubtful cases, and 394 answers are made in Python. The bounds below only keep it from growing.
"""

from collections.abc import Callable
from statistics import median
from time import perf_counter

import msgspec
import numpy as np
import pytest

from domain.orchard_site.conditions import site_conditions
from domain.site_climate.site_years import site_years
from domain.suitability.assess import assess
from domain.suitability.site_fit import site_fit
from domain.suitability.suitabilities import suitabilities
from domain.suitability.suitability_request import SuitabilityRequest
from domain.tables.loading import load
from domain.traits.catalogue import Catalogue
from domain.tree_year.bloom import bloom_days
from domain.tree_year.ripening import first_ripe_day, ripening_days

ROUNDS = 15
FIGURES = {
    "winter_chill": {"measure": "hours_below_7_2c", "mean": 1150},
    "last_spring_frost": {"median": "04-20"},
    "winter_minimum": {"hardiness_zone": "7a"},
}


def seconds(work: Callable[[], object]) -> float:
    """Median time of some rounds."""
    times = []
    for _ in range(ROUNDS):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return median(times)


@pytest.mark.parametrize(("anew", "most"), [(False, 60.0), (True, 300.0)])
def test_all_advised_cultivars_at_a_site(anew: bool, most: float) -> None:
    catalogue = Catalogue(load())
    request = msgspec.convert({"site": FIGURES}, SuitabilityRequest)
    conditions = site_conditions(site_years(request.site))
    years = conditions.winter_minimum_c.size

    def answered() -> bytes:
        if anew:
            site_fit.cache_clear()
            assess.cache_clear()
        return msgspec.json.encode(suitabilities(request, catalogue, conditions))

    answer = suitabilities(request, catalogue, conditions)
    assert len(answer.suitabilities) == len(catalogue.advised.cultivars) > 280
    exponents = np.random.default_rng(1).random((len(answer.suitabilities), years))
    whole, exp, encoding = (
        seconds(answered),
        seconds(lambda: np.exp(exponents)),
        seconds(lambda: msgspec.json.encode(answer)),
    )
    print(
        f"{'anew' if anew else 'again'}: {whole / exp:.0f} times numpy.exp, {whole / encoding:.0f} times its encoding"
    )
    assert whole / exp < most


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
            site_fit.cache_clear()
            assess.cache_clear()
            suitabilities(request, catalogue, conditions)

        return seconds(answered)

    ratio = anew(DEPTHS[depth]) / anew(FIGURES)
    print(f"{depth}: {ratio:.1f} times the answer from figures")
    assert ratio < 4.0


def test_all_windows_cost_less_than_exponentials_of_every_day() -> None:
    """Bloom and harvest of all cultivars in 200 years: at most 10 times numpy.exp over (cultivars, years, days)."""
    catalogue = Catalogue(load())
    clock = site_conditions(site_years(msgspec.convert({"site": FIGURES}, SuitabilityRequest).site)).clock
    value = catalogue.advised.value

    def windows() -> None:
        bloom = bloom_days(clock, value["chill_portions"], value["bloom_offset_days"], value["bloom_length_days"])
        days = ripening_days(np.nan_to_num(value["ripening_offset_days"]), value["bloom_offset_days"])
        first_ripe_day(clock, bloom.full, days)

    few = np.random.default_rng(1).random((4, clock.chill_total.size, 365))
    every_day = seconds(lambda: np.exp(few)) * len(catalogue.advised.cultivars) / len(few)
    ratio = seconds(windows) / every_day
    print(f"all windows: {ratio:.2f} times numpy.exp over every day")
    assert ratio < 10.0


def test_loading_the_tables_costs_little_beside_one_answer_a_site() -> None:
    """Loading is done once; the aim is under a second, printed as a ratio to the climate of one new site."""
    site = msgspec.convert({"site": FIGURES}, SuitabilityRequest).site
    start = perf_counter()
    site_years(site)
    one_site = perf_counter() - start
    start = perf_counter()
    load.__wrapped__()
    print(f"loading the tables: {(perf_counter() - start) / one_site:.1f} times the climate of one site")
    assert perf_counter() - start < 20 * one_site
