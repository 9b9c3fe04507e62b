"""Every cultivar at one site in numbers: its factors, the crop year by year, and how sure we are of each.

Two kinds of not-sure stay apart. Over the years of the site (weather) each factor of the crop is a chance per season.
What we do not know of a cultivar or of the site's climate moves a whole factor up or down: each doubtful figure is set
to its 20th and 80th percentile in turn, and the changes of the ten-year crop are added as independent errors.
"""

import functools
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import Floats
from domain.common.season_days import SEASON_DAYS
from domain.orchard_site.conditions import SiteConditions
from domain.suitability.crop_factors import CropFactors, crop_factors
from domain.suitability.doubts import Unknown, unknown_years
from domain.suitability.factors import Factor, FactorCode, Outcome, Rows
from domain.suitability.fruit_factors import (
    fruit_factors,
    health_here,
    left_by_heat,
    left_by_warmth,
    unspoilt_resistant,
    years_alive_share,
)
from domain.suitability.proven import proven_here
from domain.suitability.spot_factors import spot_factors
from domain.tables.cultivars import Cultivar
from domain.traits.trait_table import TraitTable
from domain.tree_year.bloom import BloomDays


@dataclass(frozen=True, eq=False)
class Range:
    """An outcome (n,), 0 to 1: its middle, and about the 20th and 80th percentile of what is known."""

    likely: Floats
    low: Floats
    high: Floats

    def of(self, rows: Rows) -> "Range":
        """The outcome of some rows."""
        return Range(self.likely[rows], self.low[rows], self.high[rows])


@dataclass(frozen=True, eq=False)
class SiteFit:
    """Numbers of n cultivars over the seasons of one site. Season days count from midsummer; NaN is unknown.

    factors: everything that holds them back; outcomes: what they leave together, the crop with the tree's own
    survival; thinned_crop: the crop of a tree that bears every year, as thinning makes it; low by what is not known
    of the cultivar alone, since what is not known of the site moves all of them. crop_chance: (n, seasons) chance of
    a worthwhile crop given pollen. ready: (n, seasons) day of first ripe fruit; harvest_first: its median. alive:
    (n,) share of ten years in which the tree lives. own_range: (n,) how many years low and high would lie apart if
    only the cultivar were doubtful. site_frost: share of springs that frost leaves to a late-blooming one;
    site_chill: share of winters with chill enough for the one that needs least. sharp: (n,) what too little warmth
    leaves of the quality, heat_leaves: (n,) heat to one picked the same day that stands it best. chill_suffices: (n,)
    whether witnesses in like climates grow it with no more chill. passed_over: (n,) how far those who speak of this
    part of the world do not know it; known_here: (n,) who is known there. unspoilt: (n,) share of the fruit that
    diseases leave unsprayed; unspoilt_resistant: to a resistant cultivar. judged_share: what causes in the ground
    without a published figure leave of the crop of all alike. crop_by_figure: figure of the site -> (2, n) cropping
    share where that figure is at its 20th and 80th percentile.
    """

    cultivars: tuple[Cultivar, ...]
    factors: tuple[Factor, ...]
    outcomes: dict[Outcome, Range]
    thinned_crop: Range
    crop_chance: Floats
    bloom: BloomDays
    bloom_spread_days: Floats
    ready: Floats
    harvest_first: Floats
    harvest_last: Floats
    harvest_spread_days: Floats
    storage_weeks: Floats
    alive: Floats
    own_range: Floats
    crop_by_figure: dict[str, Floats]
    site_frost: float
    site_chill: float
    sharp: Floats
    heat_leaves: Floats
    chill_suffices: NDArray[np.bool_]
    passed_over: Floats
    known_here: NDArray[np.bool_]
    unspoilt: Floats
    unspoilt_resistant: float
    judged_share: float
    south: bool

    def factor(self, code: FactorCode) -> Factor:
        """The factor of a code."""
        return next(factor for factor in self.factors if factor.code == code)

    @property
    def site_leaves(self) -> float:
        """Share of years that frost and the winter leave to a late-blooming cultivar that needs little chill."""
        return self.site_frost * self.site_chill

    @property
    def likely_years(self) -> Floats:
        """Cropping years of ten (n,), as likely."""
        years: Floats = 10.0 * self.outcomes["crop"].likely
        return years

    def years(self, row: int) -> tuple[float, float, float]:
        """Likely, low and high cropping years of ten of a cultivar."""
        crop = self.outcomes["crop"]
        return 10.0 * float(crop.likely[row]), 10.0 * float(crop.low[row]), 10.0 * float(crop.high[row])

    def crop_at_best(self, rows: Rows) -> Floats:
        """Share of years (rows,) that would crop if what no source gives were as favourable as it is anywhere."""
        chance = np.ones((rows.size, self.crop_chance.shape[1]), dtype=np.float32)
        for factor in self.factors:
            if factor.by_season is not None:
                # What is alike in all years is taken once.
                years = slice(0, 1) if factor.by_season.strides[1] == 0 else slice(None)
                weak, left = factor.weak[rows], factor.by_season[:, years][rows]
                if weak.any():
                    left[weak] = factor.at_best(rows[weak])[:, years]
                chance *= left
        share: Floats = chance.mean(axis=1)
        return share


def site_fit(conditions: SiteConditions, traits: TraitTable) -> SiteFit:
    """The fit of every cultivar of the table at the site; kept with the site."""
    return conditions.kept.get("fit", traits, lambda: _site_fit(conditions, traits))


@dataclass(frozen=True, eq=False)
class _OpenCrop:
    """The crop on open ground: its factors (their doubts are reckoned with, and gone), chance (n, seasons) and mean of
    the years (n,), and what is not known of it.
    """

    factors: CropFactors
    chance: Floats
    base: Floats
    unknown: Unknown


def _open_crop(conditions: SiteConditions, traits: TraitTable) -> _OpenCrop:
    crop = crop_factors(conditions, traits)
    chance: Floats = functools.reduce(np.multiply, [f.by_season for f in crop.factors if f.by_season is not None])
    base = chance.mean(axis=1)
    return _OpenCrop(replace(crop, doubts=()), chance, base, unknown_years(base, chance, crop.doubts))


def _crop(conditions: SiteConditions, traits: TraitTable) -> _OpenCrop:
    """The crop on the site's ground. What light and soil leave is alike for all cultivars and years, so that on other
    ground only that share changes; bees are not, nor are days of bloom and picking, which dates seen move.
    """
    if conditions.observed is None:
        key = (traits, conditions.spot.set_share)
        crop = conditions.kept_alike.get("open_crop", key, lambda: _open_crop(conditions, traits))
    else:
        crop = _open_crop(conditions, traits)
    here = spot_factors(conditions.spot, *crop.chance.shape)
    if not here:
        return crop
    factors = replace(crop.factors, factors=(*crop.factors.factors, *here))
    chance: Floats = functools.reduce(np.multiply, [one.likely[:1] for one in here], crop.chance)
    share = float(np.prod([one.likely[0] for one in here]))
    return _OpenCrop(factors, chance, chance.mean(axis=1), crop.unknown.of_share(share))


def _site_fit(conditions: SiteConditions, traits: TraitTable) -> SiteFit:
    here = _crop(conditions, traits)
    crop, chance, base, unknown = here.factors, here.chance, here.base, here.unknown
    harvest: Floats = crop.first_ripe.astype(np.float32)
    proven = proven_here(conditions, traits)
    beside = (*fruit_factors(conditions, traits, harvest), proven.factor)
    health = health_here(conditions, traits, harvest)
    disease = beside[0]
    alive = crop.cold.years_alive_share * years_alive_share(1.0 - disease.likely ** np.float32(0.1))
    unripe = np.isnan(traits.value["ripening_offset_days"]) | (harvest >= SEASON_DAYS)
    picked = np.where(unripe, np.nan, harvest)
    outcomes: dict[Outcome, Range] = {
        "crop": Range(
            base * alive,
            np.clip(base - unknown.loss(), 0.0, 1.0) * alive,
            np.clip(base + unknown.gain(), 0.0, 1.0) * alive,
        ),
        "tree_survival": Range(*(share * cold for share, cold in zip(_ends(disease), crop.survives_cold, strict=True))),
        **{factor.outcome: Range(*_ends(factor)) for factor in beside[1:]},
    }
    return SiteFit(
        cultivars=traits.cultivars,
        factors=(*crop.factors, *beside),
        outcomes=outcomes,
        thinned_crop=Range(
            *(
                np.clip(share / crop.annual, 0.0, 1.0) * alive
                for share in (base, base - unknown.own_loss("biennial"), base + unknown.gain("biennial"))
            )
        ),
        crop_chance=chance.astype(np.float32, copy=False),
        bloom=crop.bloom,
        bloom_spread_days=crop.bloom_spread_days,
        ready=crop.ready,
        harvest_first=picked,
        harvest_last=picked + traits.value["picking_days"],
        harvest_spread_days=crop.harvest_spread_days,
        storage_weeks=np.stack([traits.value["storage_weeks_low"], traits.value["storage_weeks_high"]], axis=1),
        alive=alive,
        own_range=10.0 * unknown.own_range * alive,
        crop_by_figure={figure: (base + np.stack(moved)) * alive for figure, moved in unknown.by_figure.items()},
        site_frost=crop.site_frost,
        site_chill=crop.site_chill,
        sharp=left_by_warmth(conditions, traits)[0],
        heat_leaves=left_by_heat(conditions, traits, harvest),
        chill_suffices=proven.chill_suffices,
        passed_over=proven.passed_over,
        known_here=proven.known_here,
        unspoilt=health.unspoilt,
        unspoilt_resistant=unspoilt_resistant(conditions.pressure),
        judged_share=conditions.spot.judged_share,
        south=conditions.years.seasons.weather.south,
    )


def _ends(factor: Factor) -> tuple[Floats, Floats, Floats]:
    return factor.likely, factor.low, factor.high
