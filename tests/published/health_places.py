"""Orchard health at places that published texts speak of, each worked out once."""

from functools import lru_cache

from domain.hazards.site_health import SiteHealth, site_health
from domain.site_climate.site import Site
from tests import shared

PLACES = {
    "kent": (51.2, 0.6),
    "northern_ireland": (54.4, -6.4),
    "altes_land": (53.5, 9.7),
    "styria": (47.1, 15.5),
    "lleida": (41.6, 0.6),
    "girona": (41.98, 2.8),
    "hudson": (42.0, -74.0),
    "vermont": (44.45, -73.2),
    "rhode_island": (41.5, -71.5),
    "winchester": (39.11, -78.28),
    "henderson": (35.4, -82.5),
    "michigan": (42.7, -84.5),
    "fargo": (46.88, -96.8),
    "gainesville": (29.65, -82.3),
    "yakima": (46.6, -120.5),
    "wenatchee": (47.43, -120.32),
    "skagit": (48.5, -122.4),
    "sonoma": (38.4, -122.8),
    "fresno": (36.75, -119.8),
    "vacaria": (-28.5, -50.9),
    "elgin": (-34.15, 19.03),
    "orange": (-33.3, 149.1),
    "wagga": (-35.1, 147.4),
    "hawkes_bay": (-39.6, 176.8),
    "nelson": (-41.25, 173.1),
    "otago": (-45.2, 169.3),
    "himachal": (31.1, 77.2),
    "poland": (51.25, 22.57),
    "logan": (41.74, -111.83),
    "prespa": (41.09, 21.01),
    "rhine_hesse": (49.9, 8.1),
}


@lru_cache(maxsize=len(PLACES))
def health_at(place: str) -> SiteHealth:
    """The health of an orchard at a named place, from the place alone."""
    latitude, longitude = PLACES[place]
    site = Site(latitude=latitude, longitude=longitude)
    return site_health(shared.years(site), shared.clock(site))
