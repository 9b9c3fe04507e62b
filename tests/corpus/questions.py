"""The requests of the corpus: sites of every kind of climate and depth, asked by every endpoint. Made up."""

import math
from dataclasses import dataclass
from typing import Any

Body = dict[str, Any]

PINS: dict[str, Body] = {
    "cool-wet-hills": {"latitude": 53.75, "longitude": -2.05, "elevation_m": 190},
    "hot-humid-south": {"latitude": 36.2, "longitude": -86.8},
    "cold-river-plain": {"latitude": 55.8, "longitude": 49.1},
    "danube-plain": {"latitude": 44.8, "longitude": 20.5},
    "gulf-coast": {"latitude": 29.6, "longitude": -82.4},
    "dry-hot-valley": {"latitude": 38.6, "longitude": -121.5, "elevation_m": 10},
    "prairie": {"latitude": 46.9, "longitude": -96.8},
    "baltic": {"latitude": 60.5, "longitude": 25.1},
    "north-african-coast": {"latitude": 36.75, "longitude": 3.05},
    "river-plate": {"latitude": -34.9, "longitude": -56.1},
    "southern-island": {"latitude": -41.3, "longitude": 173.2},
    "high-veld": {"latitude": -28.4, "longitude": 28.3, "elevation_m": 1600},
    "highland-tropics": {"latitude": -0.3, "longitude": 36.1, "elevation_m": 1900},
    "lowland-tropics": {"latitude": 10.3, "longitude": -84.0},
    "alpine-valley": {"latitude": 47.8, "longitude": 13.0, "elevation_m": 430},
    "inland-northwest": {"latitude": 47.7, "longitude": -117.4, "elevation_m": 600},
    "northern-japan": {"latitude": 40.8, "longitude": 140.5},
    "andean-foot": {"latitude": -33.4, "longitude": -70.6, "elevation_m": 520},
    "southern-cape": {"latitude": -33.9, "longitude": 18.9, "elevation_m": 120},
    "far-north": {"latitude": 64.8, "longitude": -147.7},
}
FIGURES: dict[str, Body] = {
    "mild-hours": {
        "winter_chill": {"measure": "hours_below_7_2c", "mean": 580, "counted_from": "11-01", "counted_to": "02-28"},
        "winter_minimum": {"hardiness_zone": "9b"},
        "coldest_month_mean_c": 10.2,
        "warmest_month_mean_c": 19.5,
    },
    "eastern-portions": {
        "latitude": 38.9,
        "longitude": -76.9,
        "winter_chill": {"measure": "chill_portions", "mean": 68, "tenth_percentile": 60, "ninetieth_percentile": 75},
        "last_spring_frost": {"threshold_c": 0, "median": "04-20", "later_one_year_in_ten": "05-04"},
        "first_autumn_frost": {"threshold_c": 0, "median": "10-20", "earlier_one_year_in_ten": "10-06"},
        "winter_minimum": {"hardiness_zone": "7a"},
        "rain_days_in_growing_season": 62,
    },
    "prairie-zone": {"winter_minimum": {"hardiness_zone": "3b", "scheme": "canada"}, "warmest_month_mean_c": 19.0},
    "frost-free": {
        "latitude": 33.9,
        "longitude": -118.3,
        "last_spring_frost": {"frost_free": True},
        "first_autumn_frost": {"frost_free": True},
        "winter_chill": {"measure": "hours_0_to_7_2c", "mean": 120},
    },
    "southern-utah-units": {
        "latitude": -38.0,
        "longitude": 145.3,
        "winter_chill": {"measure": "utah_units", "mean": 1050},
        "last_spring_frost": {"median": "10-02"},
        "warmest_month_mean_c": 20.0,
    },
    "bloom-told": {"latitude": 50.6, "longitude": 7.0, "apples_bloom_here": "04-24"},
    "ground-told": {
        "latitude": 50.6,
        "longitude": 7.0,
        "ground": {"drainage": "poor", "ph": 7.8, "sun_hours": 4, "old_orchard": True},
    },
    "dates-seen": {
        "latitude": 50.6,
        "longitude": 7.0,
        "observed_dates": [
            {"cultivar": "Golden Delicious", "event": "full_bloom", "date": "2022-04-22"},
            {"cultivar": "Gala", "event": "first_ripe", "date": "2022-09-01"},
        ],
    },
    "warmed": {"latitude": 51.2, "longitude": 0.6, "warming_c": 2.0},
    "bad-hard-winter": {"winter_minimum": {"mean_annual_minimum_c": -32}, "latitude": 60.5, "longitude": 25.1},
}
NORMALS: dict[str, Body] = {
    "temperate": {"latitude": 49.0, "tmin": 8.0, "tmax": 17.5, "swing": 9.5, "rain": 11.0},
    "continental": {"latitude": 45.0, "tmin": 1.0, "tmax": 12.5, "swing": 17.0, "rain": 9.0},
    "mild": {"latitude": 34.5, "tmin": 11.0, "tmax": 23.0, "swing": 6.5, "rain": 5.0},
    "southern": {"latitude": -36.0, "tmin": 8.5, "tmax": 21.0, "swing": 7.0, "rain": 7.0},
}
FEW = [
    "Discovery",
    "Bramley's Seedling",
    "Granny Smith",
    "Anna",
    "Honeycrisp",
    "Fuji",
    "McIntosh",
    "Cox's Orange Pippin",
]
PLOT = {
    "type": "Polygon",
    "coordinates": [[[20.5, 44.8], [20.50025, 44.8], [20.50025, 44.8002], [20.5001, 44.80022], [20.5, 44.8]]],
}


@dataclass(frozen=True)
class Question:
    """One request: GET where there is no body."""

    name: str
    address: str
    body: Body | None = None


def _months(mean: float, swing: float, southern: bool) -> list[float]:
    return [
        round(mean - (-1 if southern else 1) * swing * math.cos(2 * math.pi * (m - 0.5) / 12), 1) for m in range(12)
    ]


def _normals(told: Body) -> Body:
    southern = told["latitude"] < 0
    return {
        "latitude": told["latitude"],
        "monthly_normals": {
            "tmin_c": _months(told["tmin"], told["swing"] * 0.9, southern),
            "tmax_c": _months(told["tmax"], told["swing"], southern),
            "rain_days": [told["rain"]] * 12,
        },
    }


def _daily(years: int, mean: float, swing: float) -> Body:
    days = [
        mean
        - swing * math.cos(2 * math.pi * (n % 365.25 + 165) / 365.25)
        + 3 * math.sin(n * 0.7)
        + 2 * math.sin(n * 0.113)
        for n in range(int(years * 365.25))
    ]
    return {
        "latitude": 47.0,
        "daily_records": {
            "first_day": "2005-07-01",
            "tmin_c": [round(t - 4.5, 1) for t in days],
            "tmax_c": [round(t + 5.5, 1) for t in days],
        },
    }


def _hourly(years: int) -> Body:
    hours = [
        round(
            10
            - 10 * math.cos(2 * math.pi * (n / 24 % 365.25 + 165) / 365.25)
            - 5 * math.cos(2 * math.pi * ((n - 3) % 24) / 24)
            + 3 * math.sin(n * 0.03),
            1,
        )
        for n in range(int(years * 365.25) * 24)
    ]
    return {"latitude": 47.0, "hourly_records": {"first_day": "2012-07-01", "temperature_c": hours}}


def sites() -> dict[str, Body]:
    """Every site of the corpus by its name."""
    return {
        **{f"pin-{name}": site for name, site in PINS.items()},
        **{f"figures-{name}": site for name, site in FIGURES.items()},
        **{f"normals-{name}": _normals(told) for name, told in NORMALS.items()},
        "daily-records": _daily(12, 10.0, 10.0),
        "hourly-records": _hourly(4),
    }


def _lists(name: str, number: int, site: Body) -> Body:
    """A planting list whose wishes differ from site to site."""
    wishes: tuple[Body, ...] = (
        {"space": {"tree_count": 4}},
        {"space": {"tree_count": 1}, "neighbourhood": "unknown"},
        {"space": {"tree_count": 6}, "wanted": {"uses": ["dessert", "cooking"], "no_spray": True}, "lists": 2},
        {"space": {"rectangle_m": [8, 11]}, "wanted": {"keep_height_m": 2.5}},
        {"space": {"tree_count": 3}, "established": [{"cultivar": "Golden Delicious"}], "neighbourhood": "isolated"},
        {"space": {"tree_count": 5}, "available": [*FEW, "Gala", "Liberty", "Enterprise", "Dorsett Golden"]},
        {"space": {"tree_count": 12}, "wanted": {"first_ripe": "08-01", "last_ripe": "11-15"}},
        {"space": {"plot": PLOT}, "lists": 1},
    )
    return {"site": site, **wishes[number % len(wishes)]}


def questions() -> list[Question]:
    """Every request of the corpus, in a fixed order."""
    found: list[Question] = []
    for number, (name, site) in enumerate(sites().items()):
        some = [FEW[(number + step) % len(FEW)] for step in range(3)]
        found += [
            Question(f"suitabilities/{name}", "/v1/suitabilities", {"site": site}),
            Question(f"site-climates/{name}", "/v1/site-climates", {"site": site}),
            Question(f"planting-lists/{name}", "/v1/planting-lists", _lists(name, number, site)),
            Question(f"season-calendars/{name}", "/v1/season-calendars", {"site": site, "cultivars": some, "years": 2}),
        ]
        if number % 2 == 0:
            found.append(
                Question(
                    f"pollination-pairs/{name}", "/v1/pollination-pairs", {"cultivars": [*some, "Gala"], "site": site}
                )
            )
        if number % 4 == 0:
            found.append(
                Question(
                    f"multi-cultivar-trees/{name}",
                    "/v1/multi-cultivar-trees",
                    {
                        "trunk": {"cultivar": "Gala", "rootstock": "MM.106", "age_years": 6},
                        "cultivars": 3,
                        "site": site,
                    },
                )
            )
        if number % 6 == 0:
            weights = {"crop": 3, "sound_fruit": 1, "quality": 4}
            found += [
                Question(
                    f"suitabilities-evidence/{name}",
                    "/v1/suitabilities",
                    {"site": site, "cultivars": some, "evidence": True, "weights": weights},
                ),
                Question(
                    f"suitabilities-warmer/{name}",
                    "/v1/suitabilities",
                    {"site": site, "cultivars": FEW, "warmer_by_c": 1.5},
                ),
            ]
    return [*found, *_without_site()]


def _without_site() -> list[Question]:
    rectangle = {"rectangle_m": [9, 12], "latitude": 50, "bearing_deg": 20, "spread_m": 3.0}
    pages = (
        "/",
        "/problems",
        "/v1/cultivars?use=cooking&page_limit=20",
        "/v1/cultivars?q=pippin&page_limit=20",
        "/v1/cultivars/Cox's%20Orange%20Pippin?evidence=true",
        "/v1/cultivars/Cox's%20Orange%20Pippin",
        "/v1/rootstocks?page_limit=100",
        "/v1/rootstocks/M.26?evidence=true",
        "/v1/tree-forms?page_limit=100",
        "/v1/tree-forms/espalier?evidence=true",
        "/v1/sources?page_limit=100",
        "/v1/cultivars?page_limit=100",
    )
    return [
        Question(
            "pairs/of-many", "/v1/pollination-pairs", {"cultivars": [*FEW, "Jonagold", "Gala", "Liberty", "Spartan"]}
        ),
        Question("layouts/rows", "/v1/plot-layouts", {**rectangle, "arrangement": "rows"}),
        Question("layouts/free", "/v1/plot-layouts", {**rectangle, "arrangement": "free"}),
        Question("layouts/drawn", "/v1/plot-layouts", {"plot": PLOT, "spread_m": 3.0}),
        *(Question(f"get{address}", address) for address in pages),
    ]
