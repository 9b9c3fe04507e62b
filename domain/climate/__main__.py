"""Recompute the committed library of climates: ``python -m domain.climate`` (some three minutes).

To be run again when the weather generator, the chill models, the climatology or the stations change.
"""

from pathlib import Path

import numpy as np

import reference_tables.climate
from domain.climate.regimes import build


def main() -> None:
    """Write ``reference_tables/climate/regimes.npz``, every figure in tenths."""
    regimes = build()
    path = Path(reference_tables.climate.__file__).with_name("regimes.npz")
    tenths = {name: np.rint(values * 10.0).astype(np.int32) for name, values in vars(regimes).items()}
    packed = {name: v.astype(np.int16) if np.abs(v).max() < 32000 else v for name, v in tenths.items()}
    np.savez_compressed(path, **packed)
    print(f"{path.name}: {len(regimes.latitude)} climates, {path.stat().st_size / 1e6:.1f} MB")


if __name__ == "__main__":
    main()
