"""Orchard health at one site: infection weather, codling moth and the other insects, worked out once from its years."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from domain.hazards.codling_moth import CodlingMothYears, codling_moth
from domain.hazards.disease_weather import disease_weather, orchard
from domain.hazards.health_events import HealthEvent, health_events
from domain.hazards.infection_weather import InfectionWeather, Orchard
from domain.hazards.insects import FruitInsect, fruit_insects, unsure_insects
from domain.site_climate.site_years import SiteYears
from domain.tree_year.clock import SiteClock
from domain.tree_year.stages import TreeStages


@dataclass(frozen=True, eq=False)
class SiteHealth:
    """Disease weather by disease, codling moth by year, and the insects of the region."""

    orchard: Orchard
    diseases: dict[str, InfectionWeather]
    moth: CodlingMothYears
    insects: tuple[FruitInsect, ...]
    powers: Mapping[str, float] = field(default_factory=dict)
    """Disease -> power to which the spot raises its pressure."""
    unsure: tuple[str, ...] = ()
    """Insects of which nobody can say whether they live there, since the place is not told."""

    @cached_property
    def pressure(self) -> dict[str, float]:
        """Pressure by disease, 0 to 1."""
        return {
            disease: weather.pressure ** self.powers.get(disease, 1.0) for disease, weather in self.diseases.items()
        }

    def events(self, trees: TreeStages) -> tuple[HealthEvent, ...]:
        """The year's events of orchard health for trees of these stages, in the order of the year."""
        return health_events(self.orchard.of_trees(trees), self.diseases, self.moth, self.insects, self.unsure)


def site_health(years: SiteYears, clock: SiteClock) -> SiteHealth:
    """Work out the health of an orchard at a site from its years and clocks."""
    place = orchard(years, clock)
    moth = codling_moth(years.seasons.weather)
    return SiteHealth(
        orchard=place,
        diseases=disease_weather(place),
        moth=moth,
        insects=fruit_insects(moth, place.winter_mean_c, years.latitude, years.longitude),
        unsure=unsure_insects(years.latitude, years.longitude),
    )
