"""Infection weather against published criteria, counts of real seasons, and what texts say of regions."""

import csv
from pathlib import Path

import numpy as np
import pytest

from domain.common.season_days import season_day
from domain.hazards import scab
from domain.hazards.fire_blight import BlossomFigures
from domain.hazards.fruit_diseases import SummerWetFigures, WetHourFigures
from domain.hazards.infection_weather import Class
from domain.hazards.leaf_diseases import SpringWetFigures
from domain.tables.parameters import figures
from domain.weather.wetness import wet_hours
from tests.published.health_places import health_at

SCAB = figures("fruit", "scab", scab.ScabFigures)
RULES = Path(__file__).parents[2] / "reference_tables" / "rules" / "disease_pressure.csv"


def rules(disease: str, words: str) -> list[dict[str, str]]:
    with RULES.open(encoding="utf-8") as file:
        return [row for row in csv.DictReader(file) if row["disease"] == disease and words in row["rule"]]


def value(disease: str, words: str) -> float:
    (row,) = rules(disease, words)
    return float(row["value"])


def test_the_revised_mills_table() -> None:
    """Biggs A. R., Table 1, Mills table, West Virginia University, after MacHardy and Gadoury 1989: every row."""
    rows = rules("apple scab", "minimum continuous leaf wetness for ascospore infection of leaves at mean temperature")
    assert len(rows) == 17
    for row in rows:
        fahrenheit = float(row["rule"].split("temperature ")[1].split()[0])
        needed = scab.mills_hours(np.array([(fahrenheit - 32.0) / 1.8]), SCAB)[0]
        assert needed == pytest.approx(float(row["value"]), abs=0.01), row["rule"]
    assert value("apple scab", "61-75 F") == scab.mills_hours(np.array([20.0]), SCAB)[0]
    assert value("apple scab", "conidial infection needs more") == SCAB.conidia_more_h


def test_the_criteria_of_blossom_infection() -> None:
    """A maker's manual with the conditions of Steiner and Lightner, and the fire blight key of UMass, 2003 (in F)."""
    blight = figures("fruit", "fire_blight", BlossomFigures)
    assert value("fire blight", "2: degree hours above 18.3 C needed") == blight.degree_hours
    assert value("fire blight", "2: window for the degree hours") == blight.window_dd
    assert value("fire blight", "4: mean daily temperature") == blight.least_mean_c
    assert value("fire blight", "degree hours above 65 F") / 1.8 == pytest.approx(blight.degree_hours)
    assert value("fire blight", "blossom blight") / 1.8 == pytest.approx(blight.window_dd, abs=0.5)


def test_the_wetness_that_rust_and_rots_need() -> None:
    """Aldwinckle et al. 1980, Arauz and Sutton 1989, Brown and Sutton 1995, abstracts."""
    rust = figures("fruit", "cedar_apple_rust", SpringWetFigures)
    black_rot = figures("fruit", "black_rot", SummerWetFigures)
    sooty = figures("fruit", "sooty_blotch_flyspeck", WetHourFigures)
    assert rust.wetness_h[0] == value("cedar-apple rust", "needed at 2 C")
    assert rust.wetness_h[-1] == value("cedar-apple rust", "needed at 24 C")
    assert value("black rot", "light leaf infection model") == black_rot.light_h_c2
    light, severe = (value("black rot", f"{word} leaf infection at the optimum") for word in ("light", "severe"))
    assert severe / light == black_rot.severe_h / black_rot.light_h
    low, high = (float(part) for part in rules("sooty blotch and flyspeck", "begin protection")[0]["value"].split(".."))
    assert low <= sooty.threshold_h <= high


WINCHESTER_WET_HOURS = {
    2010: (298, 81),
    2011: (288, 60),
    2012: (234, 36),
    2014: (258, 46),
    2016: (194, 23),
    2018: (118, 12),
    2019: (234, 55),
}
"""Wet hours by rain or dew since ten days after petal fall, and over how many days (Yoder K., Virginia Tech, tree fruit
disease pages of Winchester, the station at 950 ft: 19 July 2010, 7 July 2011, 24 May 2012, 3 July 2014, 6 June 2016,
28 May 2018, 6 July 2019)."""


def test_wet_hours_of_a_spring_at_winchester() -> None:
    published = [hours / days for hours, days in WINCHESTER_WET_HOURS.values()]
    orchard = health_at("winchester").orchard
    first, last = (season_day(date, False, 184) - orchard.first_day for date in ("05-12", "07-06"))
    ours = wet_hours(orchard.wet, orchard.stretch)[:, first:last].mean(axis=1)
    assert min(published) < ours.mean() < max(published)
    assert ours.mean() == pytest.approx(np.median(published), rel=0.25)


def test_primary_infection_days_of_a_spring() -> None:
    """Rhode Island 1998: infection periods on 16 days from green tip on 28 March to the last spores on 17 May
    (University of Rhode Island, Current pest report). Winchester 2010: five periods, of one or two days, by 3 May
    (Yoder)."""
    days, _ = scab.infection_days(health_at("rhode_island").orchard, SCAB)
    assert np.quantile(days, 0.1) < 16.0 < np.quantile(days, 0.9)
    island = health_at("rhode_island").orchard
    season = scab.spores_spent(island, SCAB) - island.stages.green_tip
    assert np.median(season) == pytest.approx(50.0, abs=8.0)
    days, _ = scab.infection_days(health_at("winchester").orchard, SCAB)
    assert np.quantile(days, 0.1) < 8.0 < np.quantile(days, 0.9)


def test_green_tip_to_bloom_in_michigan() -> None:
    """McIntosh at Sparta since 1976: 31 days in a normal year, 17 to 50 (Michigan State University Extension, 2014)."""
    stages = health_at("michigan").orchard.stages
    days = stages.full_bloom - stages.green_tip
    assert np.median(days) == pytest.approx(31.0, abs=5.0)
    assert np.quantile(days, 0.1) < 27.0
    assert np.quantile(days, 0.9) > 35.0


def test_blossom_infections_of_a_usual_season_in_washington() -> None:
    """None to two events in a usual season (Smith T., WSU Extension, fire blight alerts, 2014)."""
    days = health_at("wenatchee").diseases["fire_blight"].by_year
    assert 0.2 < days.mean() < 2.0
    assert np.quantile(days, 0.8) < 3.0


NOT_LOW: tuple[Class, ...] = ("moderate", "high")
NOT_HIGH: tuple[Class, ...] = ("low", "moderate")
REGIONS: tuple[tuple[str, str, tuple[Class, ...], str], ...] = (
    ("kent", "scab", ("high",), "NIAB: scab, mildew and canker first, in order of priority"),
    ("kent", "powdery_mildew", ("high",), "NIAB"),
    ("kent", "canker", ("high",), "NIAB: losses of 10 % or more of young trees are typical in the UK"),
    ("kent", "bitter_rot", ("low",), "not among the diseases of the NIAB guide's order"),
    ("yakima", "scab", NOT_HIGH, "WSU Tree Fruit: less disease than many areas, for want of rain"),
    ("yakima", "canker", ("low",), "PNW handbook: primarily high-rainfall areas along the coast"),
    ("yakima", "bitter_rot", ("low",), "WSU Tree Fruit, as above"),
    ("skagit", "scab", ("high",), "Apple cultivars for northwest Washington, 1972: scab and mildew develop rapidly"),
    ("skagit", "powdery_mildew", NOT_LOW, "the same"),
    ("skagit", "canker", ("high",), "PNW handbook and WSU Hortsense: western Washington"),
    ("fargo", "fire_blight", NOT_LOW, "NDSU, Cass County: listed first"),
    ("fargo", "black_rot", NOT_LOW, "NDSU, Cass County: listed"),
    ("fargo", "cedar_apple_rust", NOT_LOW, "NDSU, Cass County: listed"),
    (
        "gainesville",
        "bitter_rot",
        ("high",),
        "University of Florida MG368: rain, humidity and disease while fruit ripens",
    ),
    ("gainesville", "fire_blight", NOT_LOW, "University of Florida, Highlands County: scab and fire blight named"),
    ("gainesville", "scab", NOT_LOW, "the same"),
    ("henderson", "glomerella_leaf_spot", NOT_LOW, "NC State Extension: managed annually in North Carolina"),
    ("hudson", "glomerella_leaf_spot", ("low",), "NC State Extension: elsewhere in the East occasional outbreaks"),
    ("vacaria", "glomerella_leaf_spot", ("high",), "Epidemiology of apple leaf spot, 2002: a major disease, Vacaria"),
    ("winchester", "cedar_apple_rust", ("high",), "Yoder, Virginia Tech: infection periods each spring"),
    ("winchester", "sooty_blotch_flyspeck", NOT_LOW, "Yoder: 250 wet hours by early July at the latest"),
    ("nelson", "canker", ("high",), "Radio New Zealand and Nelson Mail, 2012: tens of thousands of trees"),
    ("orange", "canker", ("low",), "NIAB: everywhere except Australia"),
    (
        "hawkes_bay",
        "fire_blight",
        ("low",),
        "New Zealand Herald, 2000: usually bloom is over before the weather is right",
    ),
    ("himachal", "scab", NOT_LOW, "Indian Express, 2024: found everywhere where apples are grown"),
)


@pytest.mark.parametrize(("place", "disease", "expected", "source"), REGIONS)
def test_what_texts_say_of_regions(place: str, disease: str, expected: tuple[Class, ...], source: str) -> None:
    weather = health_at(place).diseases[disease]
    assert weather.pressure_class in expected, f"{weather.pressure:.2f}, against {source}"


def test_canker_presses_where_published_areas_lie() -> None:
    """Beresford and Kim 2011: risk in coastal California, Northern Ireland, England; most north of 52 degrees with rain
    in summer. Of four regions of New Zealand it grew slowest in Otago (Hodson A. et al., incubation period)."""
    pressure = {
        place: health_at(place).diseases["canker"].pressure
        for place in ("northern_ireland", "altes_land", "sonoma", "fresno", "lleida", "yakima", "nelson", "otago")
    }
    assert min(pressure["northern_ireland"], pressure["altes_land"], pressure["sonoma"]) > 0.6
    assert max(pressure["fresno"], pressure["lleida"], pressure["yakima"]) < 0.25
    assert pressure["nelson"] > pressure["otago"]
