from domain.climate.site import ObservedDate, Site
from domain.climate.site_years import site_years


def test_observed_dates_are_said_not_to_count_yet() -> None:
    seen = ObservedDate(cultivar="Gala", event="full_bloom", date="2024-04-25")
    told = site_years(Site(latitude=51.2, longitude=0.5, elevation_m=40.0, observed_dates=(seen,)))
    silent = site_years(Site(latitude=51.2, longitude=0.5, elevation_m=40.0))
    assert any("observed dates" in warning for warning in told.warnings)
    assert not any("observed dates" in warning for warning in silent.warnings)
