"""The requests whose cost is told, asked of the application in one process; their seconds are written to standard
output, one line for each line of standard input that names a case. `side_by_side` starts it in two checkouts.

It imports nothing of the tests, so that an older checkout can be asked by the newer one's cases.
"""

import itertools
import json
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

START = time.process_time()

Body = dict[str, Any]
Call = Callable[[], object]

PLACE: Body = {"latitude": 42.9, "longitude": -77.0, "elevation_m": 150}
FIGURES: Body = {
    "winter_chill": {"measure": "hours_below_7_2c", "mean": 1150},
    "last_spring_frost": {"median": "04-20"},
    "winter_minimum": {"hardiness_zone": "7a"},
}
NORMALS: Body = {
    "monthly_normals": {
        "tmin_c": [-8.6, -8.2, -4.2, 1.6, 7.5, 13.0, 15.6, 14.8, 10.9, 5.1, 0.2, -5.0],
        "tmax_c": [-0.4, 0.6, 5.6, 13.1, 20.0, 24.9, 27.4, 26.4, 22.5, 15.6, 8.6, 2.3],
    }
}
SUITABILITIES = "/v1/suitabilities"
NEW_SITES: dict[str, Body] = {"pin": {}, "figures": FIGURES, "pin and figures": FIGURES, "normals": NORMALS}
CASES = (
    *(f"new site by {kind}" for kind in NEW_SITES),
    "new site by thirty years of days",
    "new site by sixty years of hours",
    "new site by pin, the best twenty",
    "new pin and two degrees warmer",
    "known site",
    "known site, other weights",
    "known site, other ground",
    "known site, other hours of sun",
    "known site, coded for the way",
    "known site, other dates seen",
    "known site, other dates seen, the best twenty",
    "known site, warmer",
    "calendar of one at a known site",
    "calendar at a new site",
    "climate at a known site",
    "pairs of sixty, no site",
    "pairs of sixty at a known site",
    "three lists of twelve at a known site",
    "three lists of forty at a known site",
    "chill portions of 200 winters",
    "portions of 200 simulated winters",
)


def records(years: int, hours: int) -> Body:
    """Records of a made-up station: a year's and a day's course with weather that lasts some days."""
    import numpy as np  # noqa: PLC0415 - loading is told apart

    days = 365 * years + years // 4
    noise = np.random.default_rng(8).standard_normal(days)
    weather = np.convolve(noise, 0.8 ** np.arange(20), mode="same") * 2.0
    mean = 9.0 - 13.0 * np.cos(2 * np.pi * (np.arange(days) - 20) / 365.25) + weather
    if not hours:
        low, high = (np.round(mean + side, 1).tolist() for side in (-5.5, 5.5))
        return {"daily_records": {"first_day": "1960-01-01", "tmin_c": low, "tmax_c": high}}
    course = -5.5 * np.cos(2 * np.pi * (np.arange(24) - 3) / 24)
    by_hour = np.round(mean[:, None] + course, 1).ravel().tolist()
    return {"hourly_records": {"first_day": "1960-01-01", "temperature_c": by_hour}}


def calls(client: Any, names: list[str]) -> dict[str, Call]:
    """What each case asks; a new site is a little further north each time."""
    steps: Iterator[float] = (n / 1000 for n in itertools.count(1))

    def ask(address: str, body: Body | bytes, coded: str = "identity") -> bytes:
        """What is answered. Coding and decoding it are asked for by themselves: older checkouts code nothing."""
        content = body if isinstance(body, bytes) else json.dumps(body).encode()
        headers = {"content-type": "application/json", "accept-encoding": coded}
        answer = client.post(address, content=content, headers=headers)
        if answer.status_code != 200:
            raise SystemExit(f"{address} answers {answer.status_code}: {answer.text[:300]}")
        return bytes(answer.content)

    def place(step: float) -> Body:
        return PLACE | {"latitude": round(PLACE["latitude"] + step, 4)}

    def new(kind: str) -> Body:
        here = place(next(steps))
        return NEW_SITES[kind] | ({"latitude": here["latitude"]} if kind == "figures" else here)

    def suitabilities(site: Body, **more: Any) -> bytes:
        return ask(SUITABILITIES, {"site": site, **more})

    def at_new_site(kind: str) -> bytes:
        return suitabilities(new(kind))

    def other(number: float) -> Body:
        return {"crop": 1.0, "quality": round(0.5 + number, 4)}

    days, hours = records(30, 0), json.dumps(records(60, 24))

    def of_hours() -> bytes:
        where = json.dumps(place(next(steps)))
        return ask(SUITABILITIES, f'{{"site": {where[:-1]}, {hours[1:]}}}'.encode())

    def dates() -> Body:
        day = 1 + int(1000 * next(steps)) % 28
        seen = {"cultivar": "Golden Delicious", "event": "full_bloom", "date": f"2021-05-{day:02d}"}
        return PLACE | {"observed_dates": [seen, seen | {"date": f"2022-05-{29 - day:02d}"}]}

    lists: Body = {"site": PLACE, "lists": 3, "wanted": {"uses": ["dessert", "cooking"]}}
    return {
        **{f"new site by {kind}": partial(at_new_site, kind) for kind in NEW_SITES},
        "new site by thirty years of days": lambda: suitabilities(place(next(steps)) | days),
        "new site by sixty years of hours": of_hours,
        "new site by pin, the best twenty": lambda: suitabilities(new("pin"), limit=20),
        "new pin and two degrees warmer": lambda: suitabilities(new("pin"), warmer_by_c=2),
        "known site": lambda: suitabilities(PLACE),
        "known site, other weights": lambda: suitabilities(PLACE, weights=other(next(steps))),
        "known site, other ground": lambda: suitabilities(PLACE | {"ground": {"ph": round(5 + next(steps), 3)}}),
        "known site, other hours of sun": lambda: suitabilities(
            PLACE | {"ground": {"sun_hours": round(4 + next(steps), 3)}}
        ),
        "known site, coded for the way": lambda: ask(SUITABILITIES, {"site": PLACE}, coded="zstd"),
        "known site, other dates seen": lambda: suitabilities(dates()),
        "known site, other dates seen, the best twenty": lambda: suitabilities(dates(), limit=20),
        "known site, warmer": lambda: suitabilities(PLACE | {"warming_c": round(1 + next(steps), 3)}),
        "calendar of one at a known site": lambda: ask("/v1/season-calendars", {"site": PLACE, "cultivars": names[:1]}),
        "calendar at a new site": lambda: ask("/v1/season-calendars", {"site": new("pin"), "cultivars": names[:1]}),
        "climate at a known site": lambda: ask("/v1/site-climates", {"site": PLACE}),
        "pairs of sixty, no site": lambda: ask("/v1/pollination-pairs", {"cultivars": names[:60]}),
        "pairs of sixty at a known site": lambda: ask(
            "/v1/pollination-pairs", {"cultivars": names[:60], "site": PLACE}
        ),
        "three lists of twelve at a known site": lambda: ask(
            "/v1/planting-lists", lists | {"space": {"tree_count": 12}}
        ),
        "three lists of forty at a known site": lambda: ask(
            "/v1/planting-lists", lists | {"space": {"tree_count": 40}}
        ),
    }


def main() -> None:
    """Answer each line of standard input with the processor seconds of the case that it names."""
    import litestar.testing  # noqa: PLC0415 - loading is told apart
    import numpy as np  # noqa: PLC0415 - loading is told apart

    from api import application  # noqa: PLC0415 - loading is told apart

    loaded = time.process_time() - START
    app: Any = application.create_app()
    ready = time.process_time() - START

    from domain.tables.loading import load  # noqa: PLC0415 - the one of the checkout
    from domain.traits.catalogue import Catalogue  # noqa: PLC0415 - the one of the checkout
    from domain.weather.chill import chill_portions  # noqa: PLC0415 - the one of the checkout
    from domain.weather.normals import MonthlyNormals  # noqa: PLC0415 - the one of the checkout
    from domain.weather.seasons import seasons  # noqa: PLC0415 - the one of the checkout
    from domain.weather.weather_generator import simulate  # noqa: PLC0415 - the one of the checkout

    names = [cultivar.name for cultivar in Catalogue(load()).advised.cultivars]
    told = np.random.default_rng(5).normal(6.0, 6.0, (365 * 24, 200))
    simulated = simulate(MonthlyNormals(**NORMALS["monthly_normals"]), PLACE["latitude"])
    with litestar.testing.TestClient(app) as client:
        asked = calls(client, names)
        asked["chill portions of 200 winters"] = lambda: chill_portions(told[: 243 * 24])
        asked["portions of 200 simulated winters"] = lambda: seasons(simulated).chill_portions_by_day
        asked["sine"] = lambda: np.sin(told)
        print(json.dumps({"loaded": loaded, "ready": ready}), flush=True)
        for line in sys.stdin:
            call = asked[line.strip()]
            start = time.process_time()
            call()
            print(time.process_time() - start, flush=True)


if __name__ == "__main__":
    main()
