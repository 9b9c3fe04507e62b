"""All that a site holds for every cultivar alike, worked out once a site: clocks, frost, winters, disease, insects."""

from dataclasses import dataclass, field, replace

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.common.kept import Kept
from domain.common.season_days import ONE_YEAR, WARM_HALF
from domain.hazards.bee_weather import foraging_days, set_by_full_bloom
from domain.hazards.frost_at_bloom import FrostTable
from domain.hazards.insects import FruitInsect
from domain.hazards.site_health import SiteHealth, site_health
from domain.hazards.spot import OPEN, Spot, spot
from domain.site_climate.site import Ground
from domain.site_climate.site_years import SiteYears
from domain.tables.parameters import figures
from domain.tree_year.clock import SiteClock, site_clock
from domain.tree_year.dates_seen import Shifts
from domain.tree_year.winter_hardening import WinterExposure, winter_exposure


class ConditionsFigures(msgspec.Struct, frozen=True):
    """Which days of a summer count as very hot."""

    very_hot_c: float


FIGURES = figures("orchard_site", "conditions", ConditionsFigures)
QUARTER_DAYS = 91
GROWING_SEASON_DAYS = 183.0


@dataclass(frozen=True)
class Observed:
    """What dates seen at the site move: bloom, and first ripe fruit beyond what its bloom moves it."""

    bloom: Shifts
    ripe: Shifts


@dataclass(frozen=True)
class Extremes:
    """Mean of the warmest quarter and mean yearly minimum, C."""

    summer_c: float
    winter_minimum_c: float


@dataclass(frozen=True, eq=False)
class SiteConditions:
    """The site's years and what follows from them.

    frost_chance: what frost leaves of bloom and crop, by season and day of full bloom. foraging: full foraging
    days of bees up to each season day (seasons, days). set_chance: chance that bees set a crop, by season and day of
    full bloom (seasons, days), where pollen is there. winter_minimum_c: (seasons,), as measured; winters: as
    buds and wood feel them. mean_by_day_c: (days,) mean temperature of each season day over all seasons. very_hot_days:
    a year. kept: what was computed of cultivars at this site; it goes with the site. kept_alike: what of it turns
    neither on the spot nor on the dates seen, or is kept by what of the spot it turns on; the site has it in common
    with the same years on other ground and with other dates, so nothing in it may hold on to the conditions of one.
    """

    years: SiteYears
    clock: SiteClock
    frost_chance: FrostTable
    foraging: Floats
    set_chance: Floats
    winter_minimum_c: Floats
    winters: WinterExposure
    mean_by_day_c: Floats
    very_hot_days: float
    health: SiteHealth
    summer: Extremes
    observed: Observed | None = None
    spot: Spot = OPEN
    """What light and soil of the spot take, as far as they were told."""
    kept_alike: Kept = field(default_factory=Kept, repr=False)
    kept: Kept = field(default_factory=Kept, init=False, repr=False)

    @property
    def pressure(self) -> dict[str, float]:
        """Pressure by disease, 0 to 1."""
        return self.health.pressure

    @property
    def insects(self) -> tuple[FruitInsect, ...]:
        """Insects of the fruit to reckon with, worst first."""
        return self.health.insects


def on_ground(conditions: SiteConditions, ground: Ground | None) -> SiteConditions:
    """The conditions on the ground as told: the same, where it takes nothing; kept with them."""
    here = spot(ground, conditions.years)
    if here.changes_nothing:
        return conditions
    key = repr(here)

    def made() -> SiteConditions:
        lit = replace(conditions, spot=here, health=replace(conditions.health, powers=here.powers))
        if here.set_share == 1.0:
            return lit
        foraging = conditions.foraging * np.float32(here.set_share)
        return replace(lit, foraging=foraging, set_chance=set_by_full_bloom(foraging))

    return conditions.kept.get("on_ground", key, made)


def site_conditions(years: SiteYears) -> SiteConditions:
    """Work out a site's conditions from its years."""
    clock = site_clock(years.seasons, years.bloom_shift_days)
    weather = years.seasons.weather
    mean_by_day = clock.mean_c.mean(axis=0)
    coldest = years.seasons.winter_minimum_c
    quarter = np.convolve(mean_by_day[WARM_HALF], np.ones(QUARTER_DAYS) / QUARTER_DAYS, mode="valid")
    foraging = foraging_days(weather, years.rain_days_growing_season / GROWING_SEASON_DAYS)
    return SiteConditions(
        years=years,
        clock=clock,
        foraging=foraging,
        set_chance=set_by_full_bloom(foraging),
        frost_chance=FrostTable(clock),
        winter_minimum_c=coldest,
        winters=winter_exposure(weather, clock.chill.by_day),
        mean_by_day_c=mean_by_day.astype(np.float32),
        very_hot_days=float((weather.tmax_c[:, ONE_YEAR] > FIGURES.very_hot_c).sum(axis=1).mean()),
        health=site_health(years, clock),
        summer=Extremes(summer_c=float(quarter.max()), winter_minimum_c=float(coldest.mean())),
    )
