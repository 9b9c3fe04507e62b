"""What is warmed up is all that the first requests would make for those after them."""

from domain.orchard_site.warm_up import warm_up
from domain.site_climate import regimes
from domain.site_climate.site import Site, WinterChill
from domain.site_climate.site_years import site_years
from domain.tree_year.clock import CLOCK_QUANTITIES
from domain.weather import chill, diurnal_range, regional_spread, station_rules, weather_generator
from reference_tables import climate

KEPT = (
    chill._step_tables,
    climate.climatology_grid,
    climate.station_months,
    climate.station_spreads,
    climate.stored_regimes,
    climate.winter_minima,
    diurnal_range.range_rule,
    regimes.library,
    regional_spread._stations,
    regional_spread._towns,
    station_rules.stored_rules,
    weather_generator._mean_preserving,
    weather_generator._residuals,
)


def test_the_first_sites_make_nothing_that_others_would_use() -> None:
    for kept in KEPT:
        kept.cache_clear()
    warm_up()
    made = [kept.cache_info().misses for kept in KEPT]
    told = Site(winter_chill=WinterChill(mean=900.0, measure="hours_below_7_2c"))
    for site in (Site(latitude=53.7, longitude=-2.0), told):
        site_years(site).seasons.read(*CLOCK_QUANTITIES)
    assert [kept.cache_info().misses for kept in KEPT] == made
