"""Published places against the climate made for them: from their normals, from the place alone, from one chill figure.

Normals, places, chill and freeze dates: tests/published/data, a source in every row (climate_sources.csv,
place_sources.csv). A place is left out, with its neighbours, of the rule of the diurnal range when it is tested.
``python -m tests.published.test_places`` prints every figure, and a cause beside each miss.
"""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pytest

from domain.common.season_days import season_day
from domain.site_climate.climate_prior import prior_of_normals, prior_of_place
from domain.site_climate.site import Site, WinterChill
from domain.weather.climatology import place_climate
from domain.weather.diurnal_range import NEIGHBOUR_DEGREES, diurnal_range, neighbours, range_rule, range_spread
from domain.weather.frost_dates import first_autumn_frost, last_spring_frost
from domain.weather.normals import monthly_means
from domain.weather.seasons import MEASURES, Seasons, seasons
from domain.weather.weather_generator import DailyWeather
from reference_tables.climate import station_months, station_spreads, winter_minima
from tests import shared
from tests.published.cases import rows
from tests.published.tables import station_normals

WARMED_SINCE_C = 0.35
"""How much warmer the years of the climatology (2000-2025) are than those of the published figures (1981-2010 and
older): 1.7 decades at 0.29 to 0.46 F, as the contiguous United States have warmed since 1979 (U.S. Environmental
Protection Agency, Climate Change Indicators: U.S. and Global Temperature, 2016 edition, key points)."""

FAR_OFF_DAYS = 60.0
"""Error counted where frost is published and the simulated median year has none."""


@dataclass(frozen=True)
class Place:
    name: str
    latitude: float
    longitude: float
    elevation_m: float | None


@cache
def places() -> dict[str, Place]:
    return {
        row["place_id"]: Place(
            row["place_id"],
            float(row["latitude"]),
            float(row["longitude"]),
            float(row["elevation_m"]) if row["elevation_m"] else None,
        )
        for row in rows("places.csv")
    }


@cache
def weather(name: str, depth: str) -> DailyWeather:
    """Two hundred seasons of a place from its normals, or from the place alone."""
    place = places()[name]
    near = known_near(place)
    if depth == "normals":
        prior = prior_of_normals(station_normals()[name][1], place.latitude, place.longitude, near)
    else:
        station = next(station for station in station_months() if station.place_id == name)
        climate = place_climate(place.latitude, place.longitude, place.elevation_m)
        climate = replace(climate, tmean_c=climate.tmean_c - WARMED_SINCE_C)
        prior = prior_of_place(climate, place.latitude, range_rule(neighbours(station)), near)
    return prior.weather(np.zeros(prior.steps), 200)


def known_near(place: Place) -> list[str]:
    """Stations and towns within 150 km, whose spread of the weather must not be known when a place is tested."""
    towns = winter_minima()
    known = [(s.place_id, s.latitude, s.longitude) for s in station_spreads()]
    known += [*zip(towns.place, towns.latitude.tolist(), towns.longitude.tolist(), strict=True)]
    shrink = np.cos(np.radians(place.latitude))
    return [
        name
        for name, latitude, longitude in known
        if np.hypot(latitude - place.latitude, (longitude - place.longitude) * shrink) < NEIGHBOUR_DEGREES
    ]


@cache
def made(name: str, depth: str) -> Seasons:
    return seasons(weather(name, depth))


def chill_errors(depth: str) -> list[tuple[str, str, float, float, float]]:
    """Place, measure, what was simulated, the middle of what was published, and the distance from it.

    Where a range was published (of years or of stations) the distance is that from its nearer end.
    """
    found = []
    for row in rows("winter_chill.csv"):
        totals = made(row["place_id"], depth).chill_totals(row["counted_from"], row["counted_to"])
        shown = totals[next(measure for measure in MEASURES if measure == row["measure"])]
        value = float(np.quantile(shown, 0.1) if row["statistic"] == "tenth percentile" else shown.mean())
        low, high = float(row["low"]), float(row["high"])
        off = value - float(np.clip(value, low, high))
        found.append((row["place_id"], row["measure"], value, (low + high) / 2, off))
    return found


def chill_misses(depth: str) -> list[float]:
    """Errors as shares of what is allowed from normals: 12 %, or 4 portions where that is more."""
    shares = []
    for _, measure, _, published, off in chill_errors(depth):
        allowed = 0.12 * published if measure != "chill_portions" else max(0.12 * published, 4.0)
        shares.append(abs(off) / allowed)
    return shares


def frost_errors(depth: str) -> list[tuple[str, str, float]]:
    """Place, event, and simulated less published median date in days."""
    found = []
    for row in rows("freeze_dates.csv"):
        if row["probability_pct"] != "50" or float(row["threshold_c"]) != 0.0:
            continue
        years = weather(row["place_id"], depth)
        dates = last_spring_frost if row["event"] == "last_spring" else first_autumn_frost
        median = dates(years, 0.0).median
        error = FAR_OFF_DAYS if median is None else median - season_day(row["date"], years.south)
        found.append((row["place_id"], row["event"], error))
    return found


def test_chill_from_normals() -> None:
    assert np.median(chill_misses("normals")) <= 1.0


def test_frost_dates_from_normals() -> None:
    assert np.median([abs(error) for *_, error in frost_errors("normals")]) <= 5.5


def test_chill_from_the_place_alone() -> None:
    relative = [abs(off) / published for *_, published, off in chill_errors("place")]
    assert np.median(relative) <= 0.20


def test_frost_dates_from_the_place_alone() -> None:
    """The worst are valleys behind ranges (Yakima, Hood River, Davis): their nights are colder than the cell's."""
    errors = np.array([error for *_, error in frost_errors("place")])
    assert np.median(np.abs(errors)) <= 10.0
    assert abs(np.median(errors)) < 6.0


def test_climatology_at_the_stations() -> None:
    """Monthly means: the climatology (2000-2025) is warmer than older station normals, and seldom far off."""
    errors = []
    for place in places().values():
        climate = place_climate(place.latitude, place.longitude, place.elevation_m)
        errors.append(climate.tmean_c - monthly_means(station_normals()[place.name][1]))
    away = np.array(errors)
    assert 0.0 < away.mean() < 0.8
    assert np.median(np.abs(away)) < 0.9
    assert np.quantile(np.abs(away), 0.9) < 2.1


def test_diurnal_range_of_a_place_left_out() -> None:
    errors, steady = [], []
    for station in station_months():
        climate = place_climate(station.latitude, station.longitude, station.elevation_m)
        error = diurnal_range(climate, station.latitude, range_rule(neighbours(station))) - station.range_c
        errors.append(error)
        steady.append(error.mean())
    assert float(np.sqrt(np.mean(np.square(errors)))) < 1.9
    assert float(np.sqrt(np.mean(np.square(steady)))) < 1.5


def test_what_is_not_known_of_the_diurnal_range() -> None:
    """The spread told for a place left out is that of its error, and wider where no station is like it."""
    shares = []
    for station in station_months():
        climate = place_climate(station.latitude, station.longitude, station.elevation_m)
        rule = range_rule(neighbours(station))
        error = float((diurnal_range(climate, station.latitude, rule) - station.range_c).mean())
        shares.append(error / range_spread(climate, station.latitude, rule))
    assert float(np.sqrt(np.mean(np.square(shares)))) == pytest.approx(1.0, abs=0.1)
    kent, kenya = (
        range_spread(place_climate(*where), where[0]) for where in ((51.2, 0.5, 50.0), (-1.1, 36.65, 2200.0))
    )
    assert kenya > 1.5 * kent


@cache
def conversions() -> tuple[tuple[str, float, float, float], ...]:
    """Place, what was asked for of a chill figure and its latitude alone, its spread, and what was published."""
    found = []
    for row in rows("chill_in_two_measures.csv"):
        told = next(measure for measure in MEASURES if measure == row["told_measure"])
        asked = next(measure for measure in MEASURES if measure == row["asked_measure"])
        chill = WinterChill(
            measure=told, mean=float(row["told"]), counted_from=row["counted_from"], counted_to=row["counted_to"]
        )
        years = shared.years(Site(latitude=float(row["latitude"]), winter_chill=chill))
        value = float(years.seasons.chill_totals(row["counted_from"], row["counted_to"])[asked].mean())
        found.append((row["place"], value, years.spread.chill_portions, float(row["asked"])))
    return tuple(found)


def test_one_measure_of_chill_from_another() -> None:
    """Hours or Utah units and a latitude give the published portions or units of the same days."""
    relative = [abs(value - published) / published for _, value, _, published in conversions()]
    assert np.median(relative) <= 0.20


@pytest.mark.parametrize("depth", ["normals", "place"])
def test_hardly_a_place_is_absurd(depth: str) -> None:
    """From the place alone Cusco has twice its chill: its dry winter days are warmer than the rule says."""
    absurd = {
        name
        for name, _, shown, published, _ in chill_errors(depth)
        if not 0.4 * published < shown < 2.0 * published + 4.0
    }
    assert absurd <= {"pe-cusco"}


def _night_difference(name: str, month: int) -> str:
    """What the place alone makes of the nights of a month (0 for January), against the published normals."""
    place, normals = places()[name], station_normals()[name][1]
    station = next(station for station in station_months() if station.place_id == name)
    climate = place_climate(place.latitude, place.longitude, place.elevation_m)
    mean = climate.tmean_c[month] - WARMED_SINCE_C - monthly_means(normals)[month]
    spread = diurnal_range(climate, place.latitude, range_rule(neighbours(station)))[month] - station.range_c[month]
    return f"nights {mean - spread / 2:+.1f} C off ({mean:+.1f} by the mean, {-spread / 2:+.1f} by the diurnal range)"


def _report() -> None:
    for depth in ("normals", "place"):
        print(f"-- from {'monthly normals' if depth == 'normals' else 'the place alone'}")
        for name, measure, shown, published, off in chill_errors(depth):
            winter = 0 if places()[name].latitude > 0 else 6
            cause = "" if abs(off) <= 0.12 * published else "the spread of the weather, or another period or station"
            if cause and depth == "place":
                cause = _night_difference(name, winter)
            print(f"  {name:22s} {measure:18s} {shown:7.1f} published {published:7.1f} {off / published:+5.0%} {cause}")
        for name, event, error in frost_errors(depth):
            cause = "" if abs(error) <= 7 else "the spread of the weather, or another period or station"
            if cause and depth == "place":
                cause = _night_difference(name, 3 if event == "last_spring" else 9)
            print(f"  {name:22s} {event:13s} {error:+5.0f} days {cause}")
        relative = [abs(off) / published for *_, published, off in chill_errors(depth)]
        days = [abs(error) for *_, error in frost_errors(depth)]
        print(f"  median error: chill {np.median(relative):.0%}, frost {np.median(days):.0f} days")
    for place, value, spread, published in conversions():
        print(f"  {place:26s} {value:6.1f} (portions +- {spread:.0f}) published {published:6.1f}")
    missed = [abs(value - published) / published for _, value, _, published in conversions()]
    print(f"  median error of a converted figure: {np.median(missed):.0%}")


if __name__ == "__main__":
    _report()
