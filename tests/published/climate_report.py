"""Print how years simulated from normals compare with published and recorded climates.

Run as ``python -m tests.published.climate_report``.
"""

import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import season_day
from domain.weather.frost_dates import first_autumn_frost_days, last_spring_frost_days
from domain.weather.seasons import dormancy_days, seasons
from domain.weather.weather_generator import simulate
from tests.published.cases import rows
from tests.published.tables import FIRST_DAYS, LATITUDES, normals_of_record, recorded, station_normals


def frost_dates() -> None:
    for event, quantity, missing in (
        ("last_spring", last_spring_frost_days, -np.inf),
        ("first_autumn", first_autumn_frost_days, np.inf),
    ):
        errors = {}
        for row in rows("freeze_dates.csv"):
            if row["event"] == event and row["probability_pct"] == "50":
                latitude, normals = station_normals()[row["place_id"]]
                years = simulate(normals, latitude)
                days = np.nan_to_num(quantity(years, float(row["threshold_c"])), nan=missing)
                date = np.quantile(days, 0.5, method="inverted_cdf")
                errors[row["place_id"]] = float(date) - season_day(row["date"], years.south)
        print(f"{event} frost, median date: median error {np.median(np.abs(list(errors.values()))):.0f} days")
        for place, error in sorted(errors.items(), key=lambda item: -abs(item[1])):
            print(f"  {place:22s} {error:+5.0f} days")


def chill() -> None:
    print("winter chill: simulated against published")
    for row in rows("winter_chill.csv"):
        latitude, normals = station_normals()[row["place_id"]]
        totals = seasons(simulate(normals, latitude)).chill_totals(row["counted_from"], row["counted_to"])
        by_name: dict[str, NDArray[np.float64]] = {str(name): total for name, total in totals.items()}
        found = by_name[row["measure"]]
        figure = np.quantile(found, 0.1) if row["statistic"] == "tenth percentile" else found.mean()
        print(f"  {row['place_id']:20s} {row['measure']:18s} {figure:7.1f}   {row['low']} to {row['high']}")


def records() -> None:
    print("recorded and simulated from the normals of the record: portions (mean, sd), minimum (mean, sd), last frost")
    for place in FIRST_DAYS:
        for name, years in (
            ("recorded", recorded(place)),
            ("simulated", simulate(normals_of_record(place), LATITUDES[place])),
        ):
            made = seasons(years)
            portions = made.chill_portions_by_day[:, dormancy_days(years.south)[1]]
            last = last_spring_frost_days(years)
            print(
                f"  {place:10s} {name:10s} {portions.mean():6.1f} {portions.std():5.1f}"
                f" {made.winter_minimum_c.mean():7.1f} {made.winter_minimum_c.std():5.1f}"
                f" {np.nanmedian(last):6.0f} {np.nanstd(last):5.1f}"
            )


if __name__ == "__main__":
    frost_dates()
    chill()
    records()
