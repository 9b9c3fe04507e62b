"""What the light and the soil of a spot take, where the caller tells them: crop, colour, health and the tree.

Light. Where less than 30 % of full sun falls apples form no flowers, and good colour asks 30 to 50 % (D. Ferree and
D. Heinicke, as reported in Good Fruit Grower, 2006). Hours of direct sun are read as a share of those of open ground.

Soil. Wet ground furthers crown rot and canker; a pH above 7.5 brings yellow leaves, one below 5.5 wants lime.
"""

import math
from dataclasses import dataclass, field

import msgspec

from domain.site_climate.site import Ground
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say


class SpotFigures(msgspec.Struct, frozen=True):
    """See parameters/hazards.csv, subject spot."""

    open_ground_h: float
    no_flowers_share: float
    full_colour_share: float
    half_crop_slope: float
    lost_to_shade: float
    shade_diseases: tuple[str, ...]
    shade_power: float
    wet_disease: str
    wet_power: float
    crown_rot_deaths_a_year: float
    limy_ph: float
    sour_ph: float


FIGURES = figures("hazards", "spot", SpotFigures)


@dataclass(frozen=True)
class Spot:
    """What a spot leaves, against open, well drained ground.

    sun_hours: as told, where they are short. crop_chance: chance in a year of half a normal crop by the light alone.
    quality: share of eating quality and colour kept. powers: disease -> power to which its pressure (0 to 1) is raised.
    deaths_a_year: chance that wet ground takes the tree.
    """

    sun_hours: float | None = None
    crop_chance: float = 1.0
    quality: float = 1.0
    powers: dict[str, float] = field(default_factory=dict)
    deaths_a_year: float = 0.0

    @property
    def changes_nothing(self) -> bool:
        """Whether it is as open, well drained ground."""
        return self == OPEN


def light_share(sun_hours: float) -> float:
    """Where so many hours lie between those under which no flowers form (0) and those of good colour (1)."""
    share = sun_hours / FIGURES.open_ground_h
    span = FIGURES.full_colour_share - FIGURES.no_flowers_share
    return min(max((share - FIGURES.no_flowers_share) / span, 0.0), 1.0)


OPEN = Spot()
"""Open, well drained ground, or ground of which nothing is told."""


def spot(ground: Ground | None) -> Spot:
    """What the ground as told takes; nothing where it is not told."""
    if ground is None:
        return OPEN
    powers: dict[str, float] = {}
    light = 1.0 if ground.sun_hours is None else light_share(ground.sun_hours)
    if light < 1.0:
        powers |= dict.fromkeys(FIGURES.shade_diseases, 1.0 - (1.0 - FIGURES.shade_power) * (1.0 - light))
    wet = ground.drainage == "poor"
    if wet:
        powers[FIGURES.wet_disease] = FIGURES.wet_power
    return Spot(
        sun_hours=ground.sun_hours if light < 1.0 else None,
        crop_chance=_half_crop(light) / _half_crop(1.0),
        quality=1.0 - FIGURES.lost_to_shade * (1.0 - light),
        powers=powers,
        deaths_a_year=FIGURES.crown_rot_deaths_a_year if wet else 0.0,
    )


def _half_crop(share: float) -> float:
    """Chance that a tree with this share of its crop, as years differ, bears half of a normal one."""
    return 1.0 / (1.0 + math.exp(-(share - 0.5) / FIGURES.half_crop_slope))


def spot_warnings(ground: Ground | None) -> tuple[Sentence, ...]:
    """What is to be known of the ground as told, before anything is planted on it."""
    if ground is None:
        return ()
    told = []
    if ground.sun_hours is not None and light_share(ground.sun_hours) < 1.0:
        enough = FIGURES.full_colour_share * FIGURES.open_ground_h
        told.append(say("spot_short_of_sun", hours=ground.sun_hours, enough=enough))
    if ground.drainage in ("moderate", "poor"):
        told.append(say("spot_wet" if ground.drainage == "poor" else "spot_drains_slowly"))
    if ground.ph is not None and ground.ph >= FIGURES.limy_ph:
        told.append(say("spot_limy", ph=ground.ph))
    if ground.ph is not None and ground.ph < FIGURES.sour_ph:
        told.append(say("spot_sour", ph=ground.ph))
    if ground.lie == "slope":
        told.append(say("spot_slope_not_reckoned"))
    return tuple(told)
