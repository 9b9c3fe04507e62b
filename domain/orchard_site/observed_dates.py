"""Dates that the caller saw move the bloom and the harvest of the answer; odd ones are questioned and left out.

Years are matched by date: where the site's own records hold the spring or the autumn of a date it is compared with that
one, else with the middle of the site's years and their spread.
"""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import msgspec
import numpy as np

from domain.common.arrays import UNREACHED, Floats
from domain.common.assumptions import Assumption
from domain.common.season_days import SEASON_DAYS, YEAR_DAYS, season_day
from domain.orchard_site.conditions import Observed, SiteConditions, site_conditions
from domain.site_climate.site import ObservedDate, ObservedEvent, Site
from domain.site_climate.site_years import site_years
from domain.tables.parameters import figures
from domain.tables.words import Sentence, Value, assume, say
from domain.traits.catalogue import Catalogue
from domain.traits.trait_table import TraitTable
from domain.tree_year.bloom import bloom_days
from domain.tree_year.dates_seen import Residual, Shifts, expected_spread, shifts
from domain.tree_year.ripening import first_ripe_day, ripening_days


class ObservedDatesFigures(msgspec.Struct, frozen=True):
    """How far dates seen may lie from those computed, and which are questioned."""

    least_site_bloom_days: float
    site_bloom_days: float
    site_harvest_days: float
    model_year_days: float
    eye_bloom_days: float
    eye_harvest_days: float
    odd: float
    least_odd_days: float
    least_bloom_to_ripe_days: int
    same_tree_days: int
    usual_ripening_days: float


FIGURES = figures("orchard_site", "observed_dates", ObservedDatesFigures)


QUARTILES_APART = 1.349
"""Standard deviations between the quartiles of a normal distribution."""


@dataclass(frozen=True)
class _Seen:
    """One date with its cultivar's row in the traits, and the fields that name it in a question."""

    place: int
    row: int
    cultivar: str
    id: str
    event: ObservedEvent
    date: dt.date

    def asked(self, code: str, other: "_Seen | None" = None, **values: Value) -> Sentence:
        """The question of a code about this date, and another one if it is about two."""
        about: dict[str, Value] = {
            "number": self.place,
            "event": self.event,
            "cultivar": self.cultivar,
            "id": self.id,
            "date": self.date.isoformat(),
        }
        if other is not None:  # of the same cultivar
            about |= {
                "other_number": other.place,
                "other_event": other.event,
                "other_date": other.date.isoformat(),
            }
        return say(code, **about, **values)


def conditions_of(site: Site) -> SiteConditions:
    """The conditions of a site, worked out from nothing."""
    return site_conditions(site_years(site))


def with_observed_dates(
    conditions: SiteConditions,
    site: Site,
    catalogue: Catalogue,
    conditions_at: Callable[[Site], SiteConditions] = conditions_of,
) -> SiteConditions:
    """The conditions with the shifts that the site's observed dates tell, and the questions that these raise.

    Names must be known and dates exist (checked before). conditions_at: what the site holds in the climate of today,
    asked where the conditions are of a warmer one: dates were seen in that of today.
    """
    if not site.observed_dates:
        return conditions
    warmed = conditions
    if site.warming_c:
        conditions = conditions_at(msgspec.structs.replace(site, warming_c=0.0, observed_dates=()))
    traits, seen = _read(site.observed_dates, catalogue)
    seen, questions = _contradictions(seen)
    bloom, full, asked = _bloom_shifts(conditions, traits, [s for s in seen if s.event == "full_bloom"])
    questions += asked
    ripe, asked = _ripe_shifts(conditions, traits, full, [s for s in seen if s.event == "first_ripe"])
    questions += asked
    years = warmed.years
    moved: tuple[tuple[Literal["bloom", "harvest"], Shifts], ...] = (("bloom", bloom), ("harvest", ripe))
    told = [_moved(event, found) for event, found in moved if found.own]
    return replace(
        warmed,
        observed=Observed(bloom, ripe),
        years=replace(years, assumptions=(*years.assumptions, *told), warnings=(*years.warnings, *questions)),
    )


def _moved(event: Literal["bloom", "harvest"], found: Shifts) -> Assumption:
    """What the dates seen moved, and how surely."""
    days = round(found.site.days)
    where = "as_computed" if days == 0 else "later" if days > 0 else "earlier"
    uncertainty = max(1, round(found.site.spread_days))
    return assume("observed_dates", f"seen_{event}_{where}", days=abs(days), uncertainty_days=uncertainty)


def _read(observed: Sequence[ObservedDate], catalogue: Catalogue) -> tuple[TraitTable, list[_Seen]]:
    ids = [catalogue.tables.names.resolve(one.cultivar) or "" for one in observed]
    distinct = sorted(set(ids))
    traits = catalogue.choose([catalogue.tables.by_id[cultivar_id] for cultivar_id in distinct])
    seen = [
        _Seen(
            place,
            row := distinct.index(cultivar_id),
            traits.cultivars[row].name,
            cultivar_id,
            one.event,
            _date(one.date),
        )
        for place, (one, cultivar_id) in enumerate(zip(observed, ids, strict=True))
    ]
    return traits, seen


def _date(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def _contradictions(seen: list[_Seen]) -> tuple[list[_Seen], list[Sentence]]:
    """Dates that do not contradict each other, and a question for those that do."""
    left_out: set[int] = set()
    questions = []
    for n, one in enumerate(seen):
        for other in seen[n + 1 :]:
            if one.row != other.row:
                continue
            apart = (other.date - one.date).days
            if one.event == other.event and FIGURES.same_tree_days < abs(apart) < YEAR_DAYS / 2:
                question = one.asked("seen_apart", other, days=abs(apart))
            elif one.event != other.event and 0 < _wait(one, other) < FIGURES.least_bloom_to_ripe_days:
                question = one.asked("seen_ripe_too_soon", other, days=_wait(one, other))
            else:
                continue
            questions.append(question)
            left_out |= {one.place, other.place}
    return [one for one in seen if one.place not in left_out], questions


def _wait(one: _Seen, other: _Seen) -> int:
    bloom, ripe = (one, other) if one.event == "full_bloom" else (other, one)
    return (ripe.date - bloom.date).days


def _bloom_shifts(
    conditions: SiteConditions, traits: TraitTable, seen: list[_Seen]
) -> tuple[Shifts, Floats, list[Sentence]]:
    """Shifts of bloom, the days of full bloom (cultivars, seasons) with them, and questions."""
    value = traits.value
    full = bloom_days(
        conditions.clock, value["chill_portions"], value["bloom_offset_days"], value["bloom_length_days"]
    ).full
    site_spread = float(
        np.clip(conditions.years.spread.bloom_days, FIGURES.least_site_bloom_days, FIGURES.site_bloom_days)
    )
    event = _Event(full, site_spread, traits.spread["bloom_offset_days"], FIGURES.eye_bloom_days)
    found, questions = event.shifts(conditions, traits, seen)
    moved = found.days(cultivar.id for cultivar in traits.cultivars)
    return found, np.where(full < UNREACHED, full + moved[:, None], full), questions


def _ripe_shifts(
    conditions: SiteConditions, traits: TraitTable, full: Floats, seen: list[_Seen]
) -> tuple[Shifts, list[Sentence]]:
    value = traits.value
    known = [one for one in seen if not np.isnan(value["ripening_offset_days"][one.row])]
    questions = [one.asked("seen_ripening_unknown") for one in seen if one not in known]
    days = ripening_days(value["ripening_offset_days"], value["bloom_offset_days"])
    ready = first_ripe_day(conditions.clock, full, np.nan_to_num(days, nan=FIGURES.usual_ripening_days))
    event = _Event(ready, FIGURES.site_harvest_days, traits.spread["ripening_offset_days"], FIGURES.eye_harvest_days)
    found, asked = event.shifts(conditions, traits, known)
    return found, questions + asked


@dataclass(frozen=True)
class _Event:
    """One event as computed (cultivars, seasons), and the spreads (d) of the site, each cultivar and the eye."""

    computed: Floats
    site_spread: float
    own: Floats
    eye_spread: float

    def shifts(
        self, conditions: SiteConditions, traits: TraitTable, seen: list[_Seen]
    ) -> tuple[Shifts, list[Sentence]]:
        """Shifts from the dates that may well be so, and a question for every other."""
        residuals, questions = [], []
        own_spread = {cultivar.id: float(self.own[row]) for row, cultivar in enumerate(traits.cultivars)}
        for one in seen:
            cultivar_id = traits.cultivars[one.row].id
            compared = _compared(conditions, one, self.computed[one.row])
            if compared is None:
                questions.append(one.asked("seen_not_computed"))
                continue
            days, year_spread = compared
            residual = Residual(cultivar_id, one.date.year, days, year_spread)
            expected = expected_spread(residual, self.site_spread, own_spread[cultivar_id], self.eye_spread)
            if abs(days) > max(FIGURES.odd * expected, FIGURES.least_odd_days):
                code = "seen_too_late" if days > 0 else "seen_too_early"
                questions.append(one.asked(code, days=abs(round(days)), uncertainty_days=round(expected)))
                continue
            residuals.append(residual)
        return shifts(residuals, self.site_spread, own_spread, self.eye_spread), questions


def _compared(conditions: SiteConditions, one: _Seen, computed: Floats) -> tuple[float, float] | None:
    """Days that a date lies after the computed one, and the spread of the year's part; None where none is computed."""
    weather = conditions.years.seasons.weather
    reached = computed[computed < SEASON_DAYS]
    if reached.size < computed.size / 2:
        return None
    usual = float(np.median(reached))
    noted = season_day(one.date.strftime("%m-%d"), weather.south)
    noted = min((noted, noted + YEAR_DAYS), key=lambda day: abs(day - usual))
    season = _season_of(weather.first_years, one.date, noted)
    if season is not None and computed[season] < SEASON_DAYS:
        return noted - float(computed[season]), FIGURES.model_year_days
    quarter, three_quarters = np.percentile(reached, [25.0, 75.0])
    return noted - usual, max(float(three_quarters - quarter) / QUARTILES_APART, FIGURES.model_year_days)


def _season_of(first_years: tuple[int, ...] | None, date: dt.date, noted: int) -> int | None:
    """The season of a record whose day `noted` is this date; None where the record does not hold it."""
    if first_years is None:
        return None
    # Leap days put the counted midsummer a day or two before the first of its month.
    start = (date - dt.timedelta(days=noted - 10)).year
    return first_years.index(start) if start in first_years else None
