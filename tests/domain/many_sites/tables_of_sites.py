"""Tables of sites for the tests: sixty of every depth and kind of climate, and rows that no site can be."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq

from tests.corpus.questions import sites

Body = dict[str, Any]

LIES = ("frost_pocket", "level", "slope", "hilltop")


def sixty_sites() -> list[Body]:
    """Those of the corpus (places, figures, normals, records), and mixtures of these with ground, dates and warming."""
    corpus = list(sites().values())
    more: list[Body] = []
    for n in range(12):
        more.append({"latitude": 45.0 + 1.1 * n, "longitude": 16.0 + 1.2 * n, "ground": {"lie": LIES[n % 4]}})
    for n in range(5):
        more.append(
            {
                "latitude": 44.0 + 2.0 * n,
                "longitude": 6.0,
                "last_spring_frost": {"median": f"04-{10 + 3 * n:02}"},
                "coldest_month_mean_c": 4.0 - n,
            }
        )
    for n in range(3):
        dates = [{"cultivar": "Discovery", "event": "first_ripe", "date": f"202{n}-08-2{n}"}]
        more.append({"latitude": 51.0, "longitude": 0.4 + n, "observed_dates": dates, "warming_c": 0.5 * n})
    more.append({"latitude": -0.3, "longitude": 36.1, "elevation_m": 1900, "leaf_stripping": ["03-15", "09-15"]})
    more.append({"latitude": -7.9, "longitude": 112.5, "elevation_m": 900})
    more.append({"latitude": 36.8, "longitude": 138.2, "ground": {"drainage": "poor", "ph": 5.0}})
    more.append({"latitude": 35.2, "longitude": 33.3, "bloom_here": "04-01"})
    return corpus + more


def bad_rows() -> list[Body]:
    """Rows that are refused: at sea, not a number, out of range, a date that no year holds, nothing told."""
    return [
        {"id": "at sea", "latitude": 45.0, "longitude": -30.0},
        {"id": "too far north", "latitude": 95.0, "longitude": 10.0},
        {"id": "not a number", "latitude": 50.0, "longitude": 8.0, "elevation_m": float("nan")},
        {"id": "no such day", "latitude": 50.0, "longitude": 8.0, "last_spring_frost": {"median": "02-30"}},
        {"id": "nothing told"},
        {"id": None, "latitude": 50.0, "longitude": 8.0},
    ]


def write(path: Path, rows: Sequence[Body]) -> Path:
    """Write rows as a table; a member that some rows lack is null there."""
    names = sorted({name for row in rows for name in row})
    pq.write_table(pa.table({name: [row.get(name) for row in rows] for name in names}), path)
    return path


def marked(bodies: Sequence[Body]) -> list[Body]:
    """The same with a mark each."""
    return [{"id": f"site {n}", **body} for n, body in enumerate(bodies)]
