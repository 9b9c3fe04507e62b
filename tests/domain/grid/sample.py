"""Some rows of a folder that the grid has answered against single answers: `python -m tests.domain.grid.sample`.

The program and the tables must be those that answered the folder. Says how many rows there are, that none is missing
before the last and none is there twice, and how many of the rows drawn differ from what the service answers to their
sites: every column of every cultivar, and the climate. Exit status 1 where one does.
"""

import argparse
import json
import random
import sys
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
from litestar.testing import TestClient

from api.application import create_app
from domain.tables.loading import load
from tests.domain.grid.surveys import rows_of
from tests.domain.grid.test_equal_to_the_service import BESIDE, WORDS, as_answered, whole
from tests.domain.many_sites.tables_of_sites import Body


def told(row: Body) -> Body:
    """The site of a row: what is empty was not told."""
    return {name: value for name, value in row.items() if name not in ("id", "weight") and value is not None}


def differs(client: TestClient[Any], site: Body, names: list[str] | None, row: Body, judged: dict[str, Body]) -> bool:
    """Whether a row differs from what is answered to its site, or is answered where that is refused."""
    asked = {"site": site} | ({} if names is None else {"cultivars": names})
    answered = client.post("/v1/suitabilities", json=asked)
    if answered.status_code != 200:
        return row["faults"] is None
    expected = {one["id"]: as_answered(one) for one in answered.json()["suitabilities"]}
    mine = {
        cultivar: {name: columns[name] for name in next(iter(expected.values()))}
        for cultivar, columns in judged.items()
    }
    climate = client.post("/v1/site-climates", json={"site": site}).json()
    for name in (*WORDS, *BESIDE):
        del climate[name]
    return mine != expected or whole(row["climate"]) != whole(climate)


def main() -> None:
    """Draw, compare and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.domain.grid.sample", description=__doc__.split("\n", 1)[0])
    parser.add_argument("table", type=Path)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--rows", type=int, default=200)
    asked = parser.parse_args()
    survey = json.loads((asked.folder / "survey.json").read_text(encoding="utf-8"))["survey"]
    if survey["warmer_by_c"] != [0.0]:
        raise SystemExit("only a folder of one climate, that of today, is compared")
    sites = rows_of(asked.folder, "sites")
    numbers = [row["row"] for row in sites]
    if numbers != list(range(len(numbers))):
        raise SystemExit("rows are missing, or there twice")
    judged: dict[int, dict[str, Body]] = {}
    for row in rows_of(asked.folder, "suitabilities"):
        judged.setdefault(row["row"], {})[row["cultivar"]] = row
    table = pq.read_table(asked.table).slice(0, len(sites)).to_pylist()
    drawn = random.Random(7).sample(range(len(sites)), min(asked.rows, len(sites)))
    app: Any = create_app()
    by_id = load().by_id
    names = None if survey["cultivars"] is None else [by_id[one].name for one in survey["cultivars"]]
    with TestClient(app) as client:
        apart = [n for n in drawn if differs(client, told(table[n]), names, sites[n], judged.get(n, {}))]
    print(f"{len(sites):,} rows, each there once; {len(drawn)} of them asked singly, {len(apart)} differ: {apart[:10]}")
    if apart:
        sys.exit(1)


if __name__ == "__main__":
    main()
