"""Full bloom and first picking at every dated place, foretold from its pin without it: by place and by climate.

``python -m tests.published.seasons`` prints the measure and keeps it in seasons.csv. All that is read of a place, and
of places within `NEAR_DEGREES` of it, is taken out of adoption; the cultivars are then foretold as the program would
answer for the pin with its height (from memory). A place counts once: its error is the median over its rows, those of
lists in service and those of commerce apart. Only places with a height of their own count; how many rows stand
elsewhere is printed. The shared figures of `tree_year` were fitted on all places together, and the places of lists that
adoption expects are computed with them: what is left out here is what a place says of the cultivars, not its part in
those few figures.
"""

import csv
import subprocess
import sys
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import msgspec
import numpy as np

from domain.adoption import bloom_positions, ripening_positions, steps
from domain.adoption.place_seasons import PlaceKey, place_heights
from domain.adoption.reading import marked
from domain.adoption.ripening_positions import picking_events
from domain.adoption.steps import Evidence
from domain.adoption.timing_lists import HALF_YEAR_DAYS
from domain.common.arrays import UNREACHED
from domain.common.season_days import season_day
from domain.tables.cultivars import Cultivar
from domain.tables.loading import Tables, load
from domain.tables.observations import Observation
from domain.traits.trait_table import trait_table
from domain.tree_year.bloom import full_bloom
from domain.tree_year.clock import SiteClock
from domain.tree_year.ripening import first_ripe_day, ripening_days
from tests import shared

RESULTS = Path(__file__).with_name("seasons.csv")
FOLDS = 12
"""Every twelfth place, from south to north by name, is left out with its like; each once."""
NEAR_DEGREES = 0.3
"""Places this close in latitude and longitude are left out together: they are one place under several names."""
SERVICE = frozenset({"extension", "paper", "collection", "handbook", "patent", "data"})
"""Kinds of documents that say when fruit is ripe; others (growers, nurseries, press) when it is sold or picked."""
BEYOND_DAYS = 21.0
EVENTS = ("bloom", "picking")
BLOOM_BEFORE_FULL_DAYS = 3.0
"""First bloom comes so many days before full bloom, as the program takes it at the least."""


@dataclass(frozen=True)
class DatedRow:
    """One published date at a place: day of the year of full bloom or of first picking (southern ones moved by half a
    year), and whether a service says it."""

    place: str
    latitude: float
    longitude: float
    event: str
    cultivar_id: str
    day: float
    service: bool

    @property
    def key(self) -> PlaceKey:
        """The place it stands for."""
        return PlaceKey(self.place, self.latitude, self.longitude)


@dataclass(frozen=True)
class Judged:
    """A dated row, the day foretold for it without its place (NaN where nothing is known or reached), its climate."""

    row: DatedRow
    foretold: float
    climate: str
    warm: bool

    @property
    def late(self) -> float:
        """Days that the foretold day lies after the published one."""
        return (self.foretold - self.row.day + HALF_YEAR_DAYS) % 365.0 - HALF_YEAR_DAYS


def dated_rows(tables: Tables) -> list[DatedRow]:
    """Every date of full bloom and picking that has coordinates, but of trees whose rest a chemical broke."""
    rows: list[DatedRow] = []
    for topic, event in (("bloom", "bloom"), ("ripening", "picking")):
        for o in tables.by_topic[topic]:
            day = _day(o)
            if day is None or o.latitude is None or o.longitude is None or o.unit != "day_of_year":
                continue
            if marked(o, "rest_broken"):
                continue
            if o.latitude < 0.0:
                day -= HALF_YEAR_DAYS
            service = tables.sources[o.source_id].kind in SERVICE
            rows.append(DatedRow(o.place, o.latitude, o.longitude, event, o.cultivar_id, day, service))
    return rows


def _day(o: Observation) -> float | None:
    """The day of full bloom or of first picking that a date means; None where it means neither."""
    if o.low is None or o.high is None:
        return None
    if o.trait == "first_bloom":
        return 0.5 * (o.low + o.high) + BLOOM_BEFORE_FULL_DAYS
    if o.trait == "full_bloom":
        return 0.5 * (o.low + o.high)
    if o.trait in ("harvest_window", "maturity_window"):
        return o.low
    if o.trait in picking_events():
        return 0.5 * (o.low + o.high) + picking_events()[o.trait] - picking_events()["harvest_start"]
    return None


def judged(tables: Tables, rows: Sequence[DatedRow]) -> list[Judged]:
    """Every row at a place of known height, foretold without its place; `FOLDS` places in a row are left out apart."""
    evidence = steps.evidence_of(tables)
    heights = place_heights()
    of_place: defaultdict[PlaceKey, list[DatedRow]] = defaultdict(list)
    for row in rows:
        if row.key in heights:
            of_place[row.key].append(row)
    adopted = _steady(tables, evidence)
    places = sorted(of_place)
    found: list[Judged] = []
    for fold in range(FOLDS):
        left_out = places[fold::FOLDS]
        cultivars = adopted(without_places(evidence, left_out))
        for place in left_out:
            own = of_place[place]
            clock = shared.clock(shared.site(latitude=place[1], longitude=place[2], elevation_m=heights[place]))
            days = foretold(clock, [cultivars[row.cultivar_id] for row in {r.cultivar_id: r for r in own}.values()])
            climate, warm = climate_of(clock, place[1])
            for row in own:
                found.append(Judged(row, days[row.event].get(row.cultivar_id, np.nan), climate, warm))
    return found


def without_places(evidence: Evidence, places: Sequence[PlaceKey]) -> Evidence:
    """The evidence without what was noted at some places or near them."""
    at = np.array([place[1:] for place in places])

    def elsewhere(o: Observation) -> bool:
        if o.latitude is None or o.longitude is None:
            return True
        return not (np.abs(at - (o.latitude, o.longitude)).max(axis=1) <= NEAR_DEGREES).any()

    kept = {topic: tuple(filter(elsewhere, evidence.by_topic[topic])) for topic in ("bloom", "ripening")}
    return replace(evidence, by_topic={**evidence.by_topic, **kept})


def _steady(tables: Tables, evidence: Evidence) -> Callable[[Evidence], dict[str, Cultivar]]:
    """Adoption of bloom and ripening anew, the other traits as all documents give them; cultivars by id."""
    numbers, findings = steps.adopt(evidence)
    timed = (bloom_positions.TRAIT, ripening_positions.TRAIT)
    steady = {key: value for key, value in numbers.items() if key[1] not in timed}

    def adopted(left: Evidence) -> dict[str, Cultivar]:
        fresh, _ = steps.adopt(left, steps.TIMING)
        both = steady | {key: value for key, value in fresh.items() if key[1] in timed}
        return {c.id: c for c in steps.with_adopted(tables.cultivars, both, findings)}

    return adopted


def foretold(clock: SiteClock, cultivars: Sequence[Cultivar]) -> dict[str, dict[str, float]]:
    """Event -> cultivar -> day of the year in the middle season, where its position was adopted."""
    traits = trait_table(list(cultivars))
    value = traits.value
    bloom, _ = full_bloom(clock, value["chill_portions"], value["bloom_offset_days"])
    days = ripening_days(value["ripening_offset_days"], value["bloom_offset_days"])
    ready = first_ripe_day(clock, bloom, np.nan_to_num(days, nan=0.0))
    new_year = season_day("01-01", south=False)
    found: dict[str, dict[str, float]] = {event: {} for event in EVENTS}
    for event, trait, all_days in (
        ("bloom", bloom_positions.TRAIT, bloom),
        ("picking", ripening_positions.TRAIT, ready),
    ):
        for cultivar, own in zip(cultivars, all_days, strict=True):
            if trait in cultivar.numbers and np.median(own) < UNREACHED:
                found[event][cultivar.id] = float(np.median(own)) - new_year + 1.0
    return found


def climate_of(clock: SiteClock, latitude: float) -> tuple[str, bool]:
    """(climate of a place as the program sees it, whether it is warm or southern)."""
    months = np.array([clock.mean_c[:, 30 * k : 30 * k + 30].mean() for k in range(12)])
    if float(np.median(clock.chill_total)) < 50.0:
        climate = "mild winter"
    elif months.max() >= 23.5:
        climate = "hot summer"
    elif months.min() <= -8.0:
        climate = "cold winter"
    elif months.max() < 17.0:
        climate = "cool summer"
    else:
        climate = "temperate"
    return climate, climate in ("mild winter", "hot summer") or latitude < 0.0


class Row(msgspec.Struct, frozen=True):
    """One figure of the measure."""

    event: str
    kind: str
    group: str
    places: int
    rows: int
    median_late_days: float
    median_error_days: float
    beyond_three_weeks: float
    spread_days: float


def measure(found: Iterable[Judged]) -> list[Row]:
    """Figures by event and kind of row, of all places, of each climate, and of each place.

    Of a group: median over its places of the places' median days late and of their errors without sign, the share of
    rows beyond three weeks (each place counting once), and the median distance of rows from their place's median.
    """
    groups: defaultdict[tuple[str, str, str], list[Judged]] = defaultdict(list)
    for one in found:
        if np.isnan(one.foretold):
            continue
        kind = "service" if one.row.service else "commerce"
        names = ["all", f"climate: {one.climate}", f"place: {one.row.place}"]
        for name in [*names, *(["warm or southern"] if one.warm else ["neither"])]:
            groups[one.row.event, kind, name].append(one)
            if not name.startswith("place"):
                groups[one.row.event, "both", name].append(one)
    return [_figures(*key, of_group) for key, of_group in sorted(groups.items())]


def _figures(event: str, kind: str, group: str, of_group: Sequence[Judged]) -> Row:
    late: defaultdict[tuple[str, float, float], list[float]] = defaultdict(list)
    for one in of_group:
        late[one.row.place, one.row.latitude, one.row.longitude].append(one.late)
    middles = np.array([np.median(days) for days in late.values()])
    beyond = np.array([np.mean(np.abs(days) > BEYOND_DAYS) for days in late.values()])
    several = [np.array(days) for days in late.values() if len(days) >= 3]
    spread = float(np.median([np.median(np.abs(days - np.median(days))) for days in several])) if several else np.nan
    return Row(
        event,
        kind,
        group,
        len(late),
        sum(map(len, late.values())),
        round(float(np.median(middles)), 1),
        round(float(np.median(np.abs(middles))), 1),
        round(float(beyond.mean()), 3),
        round(spread, 1),
    )


def state_of_tree() -> tuple[str, str]:
    """Date and short name of the commit measured, with a + where files were changed since."""

    def git(*arguments: str) -> str:
        return subprocess.run(["git", *arguments], capture_output=True, text=True, check=True).stdout.strip()

    changed = [line for line in git("status", "--porcelain").splitlines() if RESULTS.name not in line]
    return git("log", "-1", "--format=%cs"), git("rev-parse", "--short", "HEAD") + ("+" if changed else "")


def keep(path: Path, rows: Sequence[msgspec.Struct], state: tuple[str, str]) -> None:
    """Add the rows of one struct to the results of a file, in the place of those of the same commit."""
    columns = ("date", "commit", *rows[0].__struct_fields__)
    standing: list[Mapping[str, object]] = []
    if path.exists():
        with path.open(encoding="utf-8", newline="") as lines:
            standing = [row for row in csv.DictReader(lines) if row["commit"] != state[1]]
    fresh = [dict(zip(columns, (*state, *msgspec.structs.astuple(row)), strict=True)) for row in rows]
    with path.open("w", encoding="utf-8", newline="") as lines:
        writer = csv.DictWriter(lines, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows([*standing, *fresh])


def table(rows: Iterable[Row], *, places: bool) -> str:
    """The rows as text, those of single places on wish."""
    lines = [
        f"{'event':9}{'kind':10}{'group':52}{'places':>7}{'rows':>6}{'late':>7}{'error':>7}{'>3 wk':>7}{'spread':>8}"
    ]
    lines += [
        f"{r.event:9}{r.kind:10}{r.group[:51]:52}{r.places:>7}{r.rows:>6}{r.median_late_days:>7}{r.median_error_days:>7}"
        f"{r.beyond_three_weeks:>7}{r.spread_days:>8}"
        for r in rows
        if places or not r.group.startswith("place")
    ]
    return "\n".join(lines)


def main() -> None:
    """Print the measure and keep it; with --places also print every place."""
    tables = load()
    rows = dated_rows(tables)
    found = measure(judged(tables, rows))
    without = sum(row.key not in place_heights() for row in rows)
    print(table(found, places="--places" in sys.argv))
    print(f"without_height: {without} of {len(rows)} rows stand at places without a height of their own")
    keep(RESULTS, found, state_of_tree())


if __name__ == "__main__":
    main()
