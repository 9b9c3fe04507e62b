"""Codling moth and plum curculio against published heat sums, flight dates and numbers of broods."""

import csv
from pathlib import Path

import numpy as np
import pytest

from domain.common.season_days import season_day
from domain.hazards.codling_moth import FIGURES as MOTH
from domain.hazards.site_health import SiteHealth
from domain.weather.heat import degree_days
from tests.published.health_places import PLACES, health_at

RULES = Path(__file__).parents[2] / "reference_tables" / "rules" / "disease_pressure.csv"


def from_biofix_c(words: str, source: str) -> tuple[float, float]:
    """Low and high end of a published figure in degree days (C) from first flight."""
    with RULES.open(encoding="utf-8") as file:
        (row,) = (
            row
            for row in csv.DictReader(file)
            if row["disease"] == "codling moth" and row["rule"].startswith(words) and row["source_id"] == source
        )
    ends = [float(part) / 1.8 for part in row["value"].split("..")]
    return ends[0], ends[-1]


@pytest.mark.parametrize(
    ("brood", "level", "words"),
    [
        (0, "hatch_begins", "egg hatch begins, after biofix"),
        (0, "hatch_peaks", "greatest egg hatch, 1st"),
        (0, "hatch_ends", "egg hatch ends, 1st"),
        (1, "hatch_begins", "egg hatch begins, 2nd"),
        (1, "hatch_peaks", "greatest egg hatch, 2nd"),
        (1, "hatch_ends", "egg hatch ends, 2nd"),
        (2, "hatch_begins", "egg hatch begins, 3rd"),
    ],
)
def test_the_timeline_of_the_broods(brood: int, level: str, words: str) -> None:
    """Intermountain Fruit (Utah, Colorado, Idaho extension), Pest monitoring timeline, degree days above 50 F."""
    low, high = from_biofix_c(words, "intermountain-timeline")
    assert low - 1.0 <= getattr(MOTH, f"{level}_dd")[brood] - MOTH.flight_dd[0] <= high + 1.0


def test_the_older_figures_of_michigan_lie_within_a_fortnight() -> None:
    """Michigan State University: hatch at 250 and 1,250 F, second flight at 1,060 F from first flight (10 C days are a
    warm day's worth). The second ones are known to run late (Good Fruit Grower, Codling moth has a new calendar)."""
    for brood, words in ((0, "first egg hatch, 1st"), (1, "first egg hatch, 2nd")):
        published = from_biofix_c(words, "msu-codling-moth")[0]
        assert MOTH.hatch_begins_dd[brood] - MOTH.flight_dd[0] == pytest.approx(published, abs=120.0)


def test_degree_days_by_late_july_at_wenatchee() -> None:
    """1,661 F on average by 28 July, 1931 to 2015 (Jones V. P., WSU Tree Fruit, 2015)."""
    orchard = health_at("wenatchee").orchard
    days = season_day("07-28", False, 184) - orchard.first_day + 1
    daily = degree_days(orchard.tmin_c[:, :days], orchard.tmax_c[:, :days], MOTH.lower_c, MOTH.upper_c)
    total = daily.sum(axis=1).mean()
    assert 1.8 * total == pytest.approx(1661.0, rel=0.08)


FLIGHTS = (
    ("kent", 0, "05-15", "NIAB: first generation from mid-May"),
    ("kent", 1, "08-01", "NIAB: a second flight in August and early September"),
    ("styria", 0, "05-08", "AGES, Austria: from May, during bloom"),
    ("styria", 1, "07-25", "AGES, Austria: from the end of July"),
    ("hawkes_bay", 0, "10-07", "Weather service for growers, New Zealand: 7 October in the North Island"),
    ("nelson", 0, "10-21", "the same: 21 October in Nelson"),
    ("otago", 0, "11-01", "the same: 1 November in Otago"),
    ("orange", 0, "10-05", "NSW garden text: spring moths from early October"),
    ("orange", 1, "12-15", "NSW garden text: the next from about mid-December"),
)


@pytest.mark.parametrize(("place", "brood", "published", "source"), FLIGHTS)
def test_flight_dates(place: str, brood: int, published: str, source: str) -> None:
    south = PLACES[place][0] < 0
    ours = float(np.nanmedian(health_at(place).moth.flight[brood]))
    assert ours == pytest.approx(season_day(published, south, 184), abs=18.0), source


def test_flight_dates_of_all_places_are_close_on_the_whole() -> None:
    errors = [
        float(np.nanmedian(health_at(place).moth.flight[brood])) - season_day(date, PLACES[place][0] < 0, 184)
        for place, brood, date, _ in FLIGHTS
    ]
    print("days late:", [round(error) for error in errors])
    assert np.median(np.abs(errors)) <= 7.0
    assert abs(np.mean(errors)) <= 5.0


GENERATIONS = (
    ("kent", 1.2, 2.0, "NIAB: one complete and one partial, two in hot summers"),
    ("styria", 1.7, 2.3, "AGES, Austria: two"),
    ("michigan", 1.8, 2.6, "Riedl and Croft 1978: essentially two"),
    ("wenatchee", 2.0, 3.0, "WSU Tree Fruit, 2015: a partial third only in warm years"),
    ("lleida", 2.5, 3.6, "Bosch et al. 2016: three flights"),
    ("orange", 2.0, 3.0, "NSW garden text: two and in part a third"),
    ("fresno", 3.0, 4.0, "UC Pest Notes 7412: three, in some years a partial fourth"),
    ("elgin", 2.0, 3.5, "Blomefield 2003: moths of a first, second and third generation"),
)


@pytest.mark.parametrize(("place", "low", "high", "source"), GENERATIONS)
def test_broods_a_year(place: str, low: float, high: float, source: str) -> None:
    broods = float(health_at(place).moth.generations.mean())
    assert low <= broods <= high, f"{broods:.2f}, against {source}"


def test_the_warmest_years_of_washington_bring_a_third_brood() -> None:
    """2015, hottest in 85 years: three to four flights at most sites (Jones V. P., WSU Tree Fruit, 2015)."""
    moth = health_at("wenatchee").moth
    hottest = moth.degree_days >= np.quantile(moth.degree_days, 0.97)
    assert moth.share[2][hottest].mean() > 0.75


def days_of_egg_laying(health: SiteHealth) -> float:
    events = {event.event: event.day for event in health.events(health.orchard.stages)}
    return float(np.median(events["plum_curculio_ends"] - events["plum_curculio_arrives"]))


def test_plum_curculio_lays_for_four_weeks_in_vermont() -> None:
    """2008, four sites: petal fall on 14 to 20 May, 308 F degree days on 10 to 14 June, 23 to 28 days (UVM Apple)."""
    assert days_of_egg_laying(health_at("vermont")) == pytest.approx(26.0, abs=5.0)
