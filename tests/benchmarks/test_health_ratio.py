"""Cost of a site's health as a ratio to an elementary function over the hours of its years, in the same run."""

import pytest

from domain.hazards.site_health import site_health
from domain.site_climate.site import Site
from domain.site_climate.site_years import site_years
from domain.tree_year.clock import site_clock
from tests.benchmarks.cost import HOURS, in_sines

pytestmark = pytest.mark.benchmark


def test_the_health_of_200_years() -> None:
    """Infection weather of ten diseases and codling moth: no more than a few sines over all hours."""
    years = site_years(Site(latitude=42.0, longitude=-74.0))
    clock = site_clock(years.seasons)
    found = in_sines(lambda: site_health(years, clock).pressure)
    print(f"health of {len(clock.mean_c)} years: {found:.1f} sines")
    assert len(clock.mean_c) == HOURS.shape[1]
    assert found < 0.9
