"""Recompute what was fitted to stations, the simulated winters and the committed library of climates:
``python -m domain.adoption.climates`` (minutes).

To be run again when the weather generator, the chill models, the climatology or the stations change. With ``--check``
nothing is written: what differs by more than one unit of its last digit (a tenth) is told, and the command ends with 1.
"""

import argparse
import csv
import sys
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import YEAR_DAYS
from domain.site_climate.climate_prior import prior_of_place
from domain.site_climate.regimes import build
from domain.weather.climatology import place_climate
from domain.weather.diurnal_range import fit, fit_rain_days
from domain.weather.regional_spread import AS_EXPECTED, station_logs
from domain.weather.station_rules import STATION_RULES, stored_rules, upper_triangle
from reference_tables.building.package import write_package
from reference_tables.climate import WINTER_MINIMA, station_months, station_spreads

WINTER_YEARS = 200
REGIMES = WINTER_MINIMA.with_name("regimes.npz")
SIMULATED = ("simulated_c", "coldest_nights_c")

Tenths = dict[str, NDArray[np.int32]]


def main() -> None:
    """Write all, or compare the simulated ones with what stands."""
    parser = argparse.ArgumentParser(prog="python -m domain.adoption.climates", description=__doc__)
    parser.add_argument("--check", action="store_true", help="compare with what stands instead of writing")
    arguments = parser.parse_args()
    if not arguments.check:
        write_station_rules()  # first: what follows reads them
    towns, regimes = winter_rows(), regime_tenths()
    if arguments.check:
        with np.load(REGIMES) as stored:
            standing = {name: stored[name].astype(np.int32) for name in stored.files}
        differing = [*winters_that_differ(_towns(), towns), *arrays_that_differ(standing, regimes)]
        print("\n".join(differing) or "the simulated climates are what the climatology gives")
        sys.exit(1 if differing else 0)
    with WINTER_MINIMA.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(towns[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(towns)
    packed: dict[str, Any] = {name: v.astype(np.int16) if np.abs(v).max() < 32000 else v for name, v in regimes.items()}
    np.savez_compressed(REGIMES, **packed)
    write_package(WINTER_MINIMA.parents[1])
    print(f"{REGIMES.name}: {len(regimes['latitude'])} climates, {REGIMES.stat().st_size / 1e6:.1f} MB")


def station_rules() -> dict[str, NDArray[Any]]:
    """The arrays of ``station_rules.npz``, fitted anew."""
    rule = fit(station_months())
    return {
        "centre": rule.centre,
        "scale": rule.scale,
        "months": rule.months,
        "weights": rule.weights,
        "mean_c": np.array(rule.mean_c),
        "precision": upper_triangle(rule.precision),
        "rain_days": fit_rain_days(),
        "place_id": np.array([station.place_id for station in station_spreads()]),
        "spread_logs": np.array([station_logs(station) for station in station_spreads()]),
    }


def write_station_rules() -> None:
    """Fit the rules to the stations and write them."""
    np.savez_compressed(STATION_RULES, **station_rules())  # type: ignore[arg-type]  # its flag is not among them
    stored_rules.cache_clear()
    print(f"{STATION_RULES.name}: {STATION_RULES.stat().st_size / 1e6:.1f} MB")


def winter_of(latitude: float, longitude: float, elevation_m: float) -> tuple[float, float]:
    """Mean yearly minimum simulated by the general rule of spread, and nights of the coldest month, of a place, C."""
    prior = replace(prior_of_place(place_climate(latitude, longitude, elevation_m), latitude), regional=AS_EXPECTED)
    middle = np.zeros(prior.steps)
    lowest = prior.weather(middle, WINTER_YEARS).tmin_c[:, :YEAR_DAYS].min(axis=1)
    return float(lowest.mean()), min(prior.normals(middle).tmin_c)


def winter_rows() -> list[dict[str, str]]:
    """The towns of ``winter_minima.csv`` with what is simulated for them."""
    rows = _towns()
    for row in rows:
        winter = winter_of(float(row["latitude"]), float(row["longitude"]), float(row["elevation_m"]))
        row.update({column: f"{value:.1f}" for column, value in zip(SIMULATED, winter, strict=True)})
    return rows


def regime_tenths() -> Tenths:
    """The arrays of ``regimes.npz``, every figure in tenths."""
    return {name: np.rint(values * 10.0).astype(np.int32) for name, values in vars(build()).items()}


def winters_that_differ(standing: list[dict[str, str]], computed: list[dict[str, str]]) -> list[str]:
    """A line for each town and column that is not within a tenth of what stands."""
    return [
        f"{WINTER_MINIMA.name}, {new['place']}, {column}: {old[column] or 'blank'} stands, {new[column]} is computed"
        for old, new in zip(standing, computed, strict=True)
        for column in SIMULATED
        if not old[column] or abs(float(old[column]) - float(new[column])) > 0.11
    ]


def arrays_that_differ(standing: Tenths, computed: Tenths) -> list[str]:
    """A line for each array that is missing, of another shape, or off by more than a tenth."""
    lines = [f"{REGIMES.name}: {name} stands or is computed alone" for name in standing.keys() ^ computed.keys()]
    for name in standing.keys() & computed.keys():
        if standing[name].shape != computed[name].shape:
            lines.append(f"{REGIMES.name}, {name}: {standing[name].shape} stands, {computed[name].shape} is computed")
        elif (off := int((np.abs(standing[name] - computed[name]) > 1).sum())) > 0:
            lines.append(f"{REGIMES.name}, {name}: {off} figures differ by more than a tenth")
    return sorted(lines)


def _towns() -> list[dict[str, str]]:
    with WINTER_MINIMA.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


if __name__ == "__main__":
    main()
