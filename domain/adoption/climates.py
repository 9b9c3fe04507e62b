"""Recompute the library of climates and the simulated winters: ``python -m domain.adoption.climates`` (minutes).

To be run again when the weather generator, the chill models, the climatology or the stations change.
"""

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np

import reference_tables.climate
from domain.common.season_days import YEAR_DAYS
from domain.site_climate.climate_prior import prior_of_place
from domain.site_climate.regimes import build
from domain.weather.climatology import place_climate
from domain.weather.regional_spread import AS_EXPECTED
from reference_tables.climate import WINTER_MINIMA

WINTER_YEARS = 200


def winter_of(latitude: float, longitude: float, elevation_m: float) -> tuple[float, float]:
    """Mean yearly minimum simulated by the general rule of spread, and nights of the coldest month, of a place, C."""
    prior = replace(prior_of_place(place_climate(latitude, longitude, elevation_m), latitude), regional=AS_EXPECTED)
    middle = np.zeros(prior.steps)
    lowest = prior.weather(middle, WINTER_YEARS).tmin_c[:, :YEAR_DAYS].min(axis=1)
    return float(lowest.mean()), min(prior.normals(middle).tmin_c)


def write_winter_minima() -> None:
    """Fill in what is simulated for the towns of ``winter_minima.csv``."""
    with WINTER_MINIMA.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        lowest, nights = winter_of(float(row["latitude"]), float(row["longitude"]), float(row["elevation_m"]))
        row["simulated_c"], row["coldest_nights_c"] = f"{lowest:.1f}", f"{nights:.1f}"
    with WINTER_MINIMA.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def write_regimes() -> None:
    """Write ``reference_tables/climate/regimes.npz``, every figure in tenths."""
    regimes = build()
    path = Path(reference_tables.climate.__file__).with_name("regimes.npz")
    tenths = {name: np.rint(values * 10.0).astype(np.int32) for name, values in vars(regimes).items()}
    packed = {name: v.astype(np.int16) if np.abs(v).max() < 32000 else v for name, v in tenths.items()}
    np.savez_compressed(path, **packed)
    print(f"{path.name}: {len(regimes.latitude)} climates, {path.stat().st_size / 1e6:.1f} MB")


if __name__ == "__main__":
    write_winter_minima()
    write_regimes()
