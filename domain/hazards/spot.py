"""What the light, the soil, the wind and the sea take at a spot, where the caller tells them.

Light: see `spot_light`.

Soil. Wet ground furthers crown rot and canker. A pH above 7.5 brings yellow leaves and a smaller crop, one below 5.5
pale and small fruit. Ground where apple or pear grew yields less. Where nobody waters, the crop goes with the water
that rain and soil give (`soil_water`); in soil shallower than any that is called suited it goes with the depth.

Wind. Shelter in bloom raises the set by a fifth to three tenths (Smith and Lewis 1972); ground that gales strike stands
to open ground as that to shelter. Salt that the sea blows in kills flower buds before anything else (Hofstra, Hall,
Lumis 1979); no figure of a crop was found, and what is taken is own judgement.
"""

import math
from dataclasses import dataclass, field
from typing import Literal

import msgspec

from domain.hazards.soil_water import FIGURES as SOIL
from domain.hazards.soil_water import thin_soil, unwatered_share
from domain.hazards.spot_light import enough_hours, light_share, sky_share
from domain.site_climate.site import Ground
from domain.site_climate.site_years import SiteYears
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say

Cause = Literal["salt_spray", "dry_soil", "shallow_soil", "limy_soil", "old_orchard"]
"""What of the ground takes a part of the crop."""


class SpotFigures(msgspec.Struct, frozen=True):
    """See parameters/hazards.csv, subject spot."""

    half_crop_slope: float
    too_dark_crop_chance: float
    lost_to_shade: float
    shade_diseases: tuple[str, ...]
    shade_power: float
    wet_disease: str
    wet_power: float
    crown_rot_deaths_a_year: float
    limy_ph: float
    very_limy_ph: float
    lost_to_lime: float
    sour_ph: float
    very_sour_ph: float
    lost_to_sourness: float
    lost_to_replant: float
    judged_causes: tuple[Cause, ...]
    sheltered_set: float
    exposed_set: float
    salt_in_shelter: float
    salt_in_the_open: float
    salt_in_gales: float
    dry_told_below: float
    steep_deg: float


FIGURES = figures("hazards", "spot", SpotFigures)


@dataclass(frozen=True)
class Spot:
    """What a spot leaves, against open, well drained ground.

    sun_hours: as told, where they are short. crop_chance: chance in a year of half a normal crop by the light alone.
    quality: share of eating quality and colour kept. powers: disease -> power to which its pressure (0 to 1) is raised.
    deaths_a_year: chance that wet ground takes the tree. set_share: visits of bees against those of open ground.
    crop_shares: cause in the ground -> share of a crop that it leaves, of those that take some.
    """

    sun_hours: float | None = None
    crop_chance: float = 1.0
    quality: float = 1.0
    powers: dict[str, float] = field(default_factory=dict)
    deaths_a_year: float = 0.0
    set_share: float = 1.0
    crop_shares: dict[Cause, float] = field(default_factory=dict)

    @property
    def ground_crop_chance(self) -> float:
        """Chance in a year of half a normal crop by what the ground leaves of it."""
        return _half_crop(math.prod(self.crop_shares.values())) / _half_crop(1.0)

    @property
    def judged_share(self) -> float:
        """The part of `ground_crop_chance` that `judged_causes` leave: own judgement alone, which may refuse nobody."""
        sourced = math.prod(share for cause, share in self.crop_shares.items() if cause not in FIGURES.judged_causes)
        return self.ground_crop_chance * _half_crop(1.0) / _half_crop(sourced)

    @property
    def changes_nothing(self) -> bool:
        """Whether it leaves all that open, well drained ground does."""
        return self == OPEN


OPEN = Spot()
"""Open, well drained ground, or ground of which nothing is told."""


def spot(ground: Ground | None, years: SiteYears | None = None) -> Spot:
    """What the ground as told takes in the climate of its years; nothing where it is not told."""
    if ground is None:
        return OPEN
    powers: dict[str, float] = {}
    light = _light(ground, years)
    if light < 1.0:
        powers |= dict.fromkeys(FIGURES.shade_diseases, 1.0 - (1.0 - FIGURES.shade_power) * (1.0 - light))
    wet = ground.drainage == "poor"
    if wet:
        powers[FIGURES.wet_disease] = FIGURES.wet_power
    sour = 0.0 if ground.ph is None else _between(ground.ph, FIGURES.sour_ph, FIGURES.very_sour_ph)
    return Spot(
        sun_hours=ground.sun_hours if light < 1.0 else None,
        crop_chance=_half_crop(light) / _half_crop(1.0),
        quality=(1.0 - FIGURES.lost_to_shade * (1.0 - light)) * (1.0 - FIGURES.lost_to_sourness * sour),
        powers=powers,
        deaths_a_year=FIGURES.crown_rot_deaths_a_year if wet else 0.0,
        set_share={"sheltered": FIGURES.sheltered_set, "exposed": FIGURES.exposed_set}.get(ground.wind or "open", 1.0),
        crop_shares=_crop_shares(ground, years),
    )


def _light(ground: Ground, years: SiteYears | None) -> float:
    """Light as `light_share` has it; 1 where no hours are told."""
    if ground.sun_hours is None:
        return 1.0
    return light_share(ground.sun_hours, 0.0 if years is None else round(sky_share(years), 2))


def _crop_shares(ground: Ground, years: SiteYears | None) -> dict[Cause, float]:
    """Share of a crop that each trouble of the ground leaves; those that take nothing are not in it."""
    shares: dict[Cause, float] = {}
    if ground.salt_spray:
        by_wind = {"sheltered": FIGURES.salt_in_shelter, "exposed": FIGURES.salt_in_gales}
        shares["salt_spray"] = by_wind.get(ground.wind or "open", FIGURES.salt_in_the_open)
    if ground.irrigated is False and years is not None:
        shares["dry_soil"] = _rounded(unwatered_share(years, ground))
    if ground.soil_depth_m is not None:
        shares["shallow_soil"] = min(ground.soil_depth_m / SOIL.least_depth_m, 1.0)
        if "dry_soil" in shares:  # a shallow soil is dry for its depth: it is counted once, as what takes more
            del shares[max(("dry_soil", "shallow_soil"), key=lambda cause: shares[cause])]
    if ground.ph is not None:
        lime = _between(ground.ph, FIGURES.limy_ph, FIGURES.very_limy_ph)
        shares["limy_soil"] = 1.0 - FIGURES.lost_to_lime * lime
    if ground.old_orchard:
        shares["old_orchard"] = 1.0 - FIGURES.lost_to_replant
    return {cause: share for cause, share in shares.items() if share < 1.0}


def _between(ph: float, nothing: float, all_of_it: float) -> float:
    """Where a pH lies from one that does nothing (0) to one that does all it can (1)."""
    return min(max((ph - nothing) / (all_of_it - nothing), 0.0), 1.0)


def _rounded(share: float | None) -> float:
    """A share of water to whole percent, 1 where it is not known: more than that nobody knows of a soil."""
    return 1.0 if share is None else round(share, 2)


def water_where_told(ground: Ground | None, years: SiteYears) -> float | None:
    """Share of its water that a tree gets unwatered; None where nothing of watering or of what holds water is told.

    None too where rain is unknown.
    """
    if ground is None or (ground.texture is None and ground.soil_depth_m is None and ground.irrigated is not False):
        return None
    return unwatered_share(years, ground)


def short_of_water(ground: Ground | None, years: SiteYears) -> float | None:
    """Share of its water that a tree gets unwatered, where that is so little that dryness is told; else None."""
    share = _rounded(unwatered_share(years, ground))
    return share if share < FIGURES.dry_told_below else None


def _half_crop(share: float) -> float:
    """Chance that a tree with this share of its crop, as years differ, bears half of a normal one."""
    return 1.0 / (1.0 + math.exp(-(share - 0.5) / FIGURES.half_crop_slope))


def spot_warnings(ground: Ground | None, years: SiteYears | None = None) -> tuple[Sentence, ...]:
    """What is to be known of the ground as told, before anything is planted on it."""
    if ground is None:
        return ()
    told = []
    light = _light(ground, years)
    if ground.sun_hours is not None and light < 1.0:
        dark = _half_crop(light) / _half_crop(1.0) < FIGURES.too_dark_crop_chance
        code: Literal["spot_too_dark", "spot_short_of_sun"] = "spot_too_dark" if dark else "spot_short_of_sun"
        told.append(say(code, hours=ground.sun_hours, enough=enough_hours()))
    if ground.drainage in ("moderate", "poor"):
        told.append(say("spot_wet" if ground.drainage == "poor" else "spot_drains_slowly"))
    elif ground.drainage is None and ground.texture == "clayey":
        told.append(say("spot_clay"))
    if ground.ph is not None and ground.ph >= FIGURES.limy_ph:
        told.append(say("spot_limy", ph=ground.ph))
    if ground.ph is not None and ground.ph < FIGURES.sour_ph:
        told.append(say("spot_sour", ph=ground.ph))
    if ground.old_orchard:
        told.append(say("spot_old_orchard"))
    return (*told, *_of_depth_and_water(ground, years), *_of_slope_and_wind(ground))


def _of_depth_and_water(ground: Ground, years: SiteYears | None) -> list[Sentence]:
    told = []
    if ground.soil_depth_m is not None and ground.soil_depth_m < SOIL.deep_enough_m:
        told.append(say("spot_shallow", depth_m=ground.soil_depth_m, enough_m=SOIL.deep_enough_m))
    elif thin_soil(ground):
        told.append(say("spot_sandy"))
    share = 1.0 if years is None else _rounded(water_where_told(ground, years))
    if share < FIGURES.dry_told_below and ground.irrigated is not True:
        told.append(say("spot_dry" if ground.irrigated is False else "spot_dry_unless_watered", share=share))
    return told


def _of_slope_and_wind(ground: Ground) -> list[Sentence]:
    told = []
    if ground.slope is not None and ground.slope.steepness_deg > FIGURES.steep_deg:
        told.append(say("spot_steep", percent=100.0 * ground.slope.fall))
    elif ground.lie == "slope" and ground.slope is None:
        told.append(say("spot_slope_not_reckoned"))
    if ground.wind == "exposed":
        told.append(say("spot_exposed", lost=1.0 - FIGURES.exposed_set))
    if ground.salt_spray:
        told.append(say("spot_salt"))
    return told
