"""Cost of a site's health as a ratio to an elementary function over the hours of its years, in the same run."""

import numpy as np

from domain.common.season_days import YEAR_DAYS
from domain.hazards.site_health import site_health
from domain.site_climate.site import Site
from domain.site_climate.site_years import site_years
from domain.tree_year.clock import site_clock
from tests.benchmarks.test_climate_ratios import medians


def test_the_health_of_200_years() -> None:
    """Infection weather of ten diseases and codling moth: no more than a few sines over all hours."""
    years = site_years(Site(latitude=42.0, longitude=-74.0))
    clock = site_clock(years.seasons)
    hours = np.random.default_rng(5).normal(10.0, 6.0, (len(clock.mean_c), YEAR_DAYS * 24))
    sine, health = medians(lambda: np.sin(hours), lambda: site_health(years, clock).pressure)
    print(f"health of {len(clock.mean_c)} years: {health / sine:.1f} times numpy.sin over their hours")
    assert health / sine < 8
