"""Which gardens of an order are judged by the climate of another, where there are too many climates for one order.

A new climate is what an order costs. Where all of them are more than may be worked out in one, gardens of which nothing
but the place is told are judged by the nearest garden whose months are about alike, the heaviest gardens by their own:
alike enough to be few enough, and no more. Each that is judged so is told by whom and how far apart their months are.
Gardens of which more is told stand for themselves.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np

from domain.common.assumptions import Assumption
from domain.common.faults import ContentFault, ContentFaults, collecting, pointer
from domain.site_climate.site import Site
from domain.site_climate.site_checks import has_figure
from domain.site_climate.site_years import what_makes_the_years
from domain.stock_orders.order_request import OrderSite
from domain.tables.parameters import figures
from domain.tables.words import assume
from domain.weather.climatology import PlaceClimate, place_climate

MOST_SHARES = 16
"""Work of one order in shares of a new climate by its place; what is spent on them is bounded by this alone."""
SHARES_OF_FIGURES = 2
"""A climate fitted to figures costs about half as much again as one of a place, or less than two."""
SHARES_OF_DATES = 1
"""Dates seen are laid on the climate without them."""
STEP_C = 0.1


class LikeClimateFigures(msgspec.Struct, frozen=True):
    """How far apart the climates of two places are that may be judged as one."""

    most_apart_c: float
    most_rain_apart: float
    most_latitude_apart_deg: float


FIGURES = figures("planting_list", "like_climates", LikeClimateFigures)


@dataclass(frozen=True)
class JudgedBy:
    """Of each garden the one by whose climate it is judged, mostly itself, and how far apart (C) their months are."""

    garden: tuple[int, ...]
    apart_c: tuple[float, ...]

    def sites(self, gardens: Sequence[OrderSite]) -> list[Site]:
        """The site whose conditions are those of each garden, on the garden's own ground."""
        return [
            one.site if by == n else msgspec.structs.replace(gardens[by].site, ground=one.site.ground)
            for n, (one, by) in enumerate(zip(gardens, self.garden, strict=True))
        ]

    def told(self, gardens: Sequence[OrderSite], n: int) -> tuple[Assumption, ...]:
        """What is taken for granted of a garden that is judged by another."""
        by = self.garden[n]
        if by == n:
            return ()
        other = gardens[by].id
        return (assume("site", "judged_by_like_climate", other, other=other, apart_c=self.apart_c[n]),)


def judged_by(gardens: Sequence[OrderSite]) -> JudgedBy:
    """By whose climate each garden is judged. Raises ContentFaults where there are too many climates for one order."""
    own = JudgedBy(tuple(range(len(gardens))), (0.0,) * len(gardens))
    if _shares(gardens, own.garden) <= MOST_SHARES:
        return own
    places = [_place(one.site) for one in gardens]
    order = sorted(range(len(gardens)), key=lambda n: (-gardens[n].weight, n))
    for within_c in np.arange(STEP_C, FIGURES.most_apart_c + STEP_C / 2, STEP_C).tolist():
        found = _led(gardens, places, order, within_c)
        if _shares(gardens, found.garden) <= MOST_SHARES:
            return found
    least = _shares(gardens, _led(gardens, places, order, FIGURES.most_apart_c).garden)
    detail = (
        f"These are {least} shares of work, after gardens are joined whose months are within "
        f"{FIGURES.most_apart_c:g} C; expected at most {MOST_SHARES} in one order: a climate by its place counts 1, "
        f"one with figures {SHARES_OF_FIGURES}, dates seen {SHARES_OF_DATES} more, equal sites once. Send several "
        "orders."
    )
    raise ContentFaults([ContentFault(pointer("sites"), detail)])


def _shares(gardens: Sequence[OrderSite], judged: Sequence[int]) -> int:
    """Work of the climates that the gardens are judged by, each once."""
    sites = [gardens[n].site for n in sorted(set(judged))]
    once = {msgspec.json.encode(what_makes_the_years(site)): site for site in sites}
    return sum(_share(site) for site in once.values())


def _share(site: Site) -> int:
    share = SHARES_OF_FIGURES if has_figure(site) else 1
    return share + (SHARES_OF_DATES if site.observed_dates else 0)


def _place(site: Site) -> PlaceClimate | None:
    """The months of a garden of which nothing but the place is told; None of another one."""
    if site.latitude is None or site.longitude is None:
        return None
    bare = Site(latitude=site.latitude, longitude=site.longitude, elevation_m=site.elevation_m)
    if what_makes_the_years(site) != bare:
        return None
    with collecting([]):
        return place_climate(site.latitude, site.longitude, site.elevation_m)
    return None


def _led(
    gardens: Sequence[OrderSite], places: Sequence[PlaceClimate | None], order: Sequence[int], within_c: float
) -> JudgedBy:
    """Gardens in their order: each is judged by the nearest before it that stands for itself, or stands for itself."""
    leaders: list[int] = []
    judged, apart = list(range(len(gardens))), [0.0] * len(gardens)
    for n in order:
        here = places[n]
        if here is None:
            continue
        near = [
            (_apart_c(here, there), other)
            for other in leaders
            if (there := places[other]) is not None and _alike(gardens[n].site, here, gardens[other].site, there)
        ]
        distance_c, by = min(near, default=(np.inf, n))
        if distance_c <= within_c:
            judged[n], apart[n] = by, distance_c
        else:
            leaders.append(n)
    return JudgedBy(tuple(judged), tuple(apart))


def _apart_c(one: PlaceClimate, other: PlaceClimate) -> float:
    """The widest difference of a month's mean, C."""
    return float(np.abs(one.tmean_c - other.tmean_c).max())


def _alike(site: Site, one: PlaceClimate, other_site: Site, other: PlaceClimate) -> bool:
    """Whether two places lie at about one latitude and get about as much rain."""
    if abs((site.latitude or 0.0) - (other_site.latitude or 0.0)) > FIGURES.most_latitude_apart_deg:
        return False
    apart = float(np.abs(one.rain_mm - other.rain_mm).sum())
    return apart <= FIGURES.most_rain_apart * max(float(one.rain_mm.sum()), float(other.rain_mm.sum()))
