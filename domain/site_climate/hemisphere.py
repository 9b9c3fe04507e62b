"""Which hemisphere a site lies in, from its latitude or from the dates told of it."""

from domain.common.season_days import day_of_year
from domain.site_climate.site import Site

_FIRST_OF_JULY, _FIRST_OF_AUGUST, _FIRST_OF_DECEMBER, _FIRST_OF_MARCH = (
    day_of_year(date) for date in ("07-01", "08-01", "12-01", "03-01")
)


def dates_say_south(site: Site) -> int:
    """Votes of the dates told: positive for the south, negative for the north, 0 if they say nothing.

    A last spring frost or bloom from July to November, a first autumn frost from March to July and a chill count
    that begins from March to July belong to the south. Frost dates of warm places may fall in mid-winter, and still do.
    """
    votes = 0
    spring = [site.last_spring_frost.median if site.last_spring_frost else None, site.bloom_date]
    for date in spring:
        if date is not None:
            votes += 1 if _FIRST_OF_JULY <= day_of_year(date) < _FIRST_OF_DECEMBER else -1
    autumn = [
        site.first_autumn_frost.median if site.first_autumn_frost else None,
        site.winter_chill.counted_from if site.winter_chill else None,
    ]
    for date in autumn:
        if date is not None:
            votes += 1 if _FIRST_OF_MARCH <= day_of_year(date) < _FIRST_OF_AUGUST else -1
    return votes
