"""What no site can be: figures impossible by themselves or in their own order, found all at once.

A figure that is possible but disagrees with another figure is not looked at here: that is a warning of the answer.
"""

import datetime as dt
import math
from typing import get_args

import msgspec

from domain.common.faults import ContentFault, pointer
from domain.common.season_days import day_of_year
from domain.site_climate.site import (
    BloomField,
    ChillMeasure,
    DailyRecords,
    FirstAutumnFrost,
    HourlyRecords,
    LastSpringFrost,
    Site,
    WinterChill,
    WinterMinimum,
)
from domain.weather.normals import MonthlyNormals

CHILL_LIMITS: dict[ChillMeasure, tuple[float, float, str]] = {
    "hours_below_7_2c": (0.0, 8760.0, "a year has 8,760 hours"),
    "hours_0_to_7_2c": (0.0, 6000.0, "no winter has more than 6,000 hours from 0 to 7.2 C"),
    "utah_units": (-5000.0, 6000.0, "a winter gives at most about 4,000 Utah units"),
    "chill_portions": (0.0, 250.0, "a winter gives at most about 170 chill portions"),
}
"""Lowest and highest thinkable figure of each measure, and why."""

TROPIC = 23.5
CANADIAN_ZONES = tuple(f"{zone}{half}" for zone in range(10) for half in ("", "a", "b"))
USDA_ZONES = tuple(f"{zone}{half}" for zone in range(1, 14) for half in ("", "a", "b"))


def _month_day(fault_at: str, value: str | None) -> list[ContentFault]:
    if value is None:
        return []
    try:
        day_of_year(value)
    except ValueError:
        return [ContentFault(fault_at, f"No year has a {value}; expected a date MM-DD such as 04-20.")]
    return []


def _chill(at: tuple[str, ...], chill: WinterChill) -> list[ContentFault]:
    low, high, why = CHILL_LIMITS[chill.measure]
    faults = []
    for name in ("mean", "tenth_percentile", "ninetieth_percentile"):
        value = getattr(chill, name)
        if value is not None and not low <= value <= high:
            detail = f"Expected {chill.measure} from {low:,.0f} to {high:,.0f}, since {why}; got {value:,.6g}."
            faults.append(ContentFault(pointer(*at, name), detail))
    if not faults:
        tenth = -math.inf if chill.tenth_percentile is None else chill.tenth_percentile
        ninetieth = math.inf if chill.ninetieth_percentile is None else chill.ninetieth_percentile
        if tenth > ninetieth:
            detail = "The tenth percentile (the poor winters) cannot be above the ninetieth."
            faults.append(ContentFault(pointer(*at, "tenth_percentile"), detail))
        elif not tenth <= chill.mean <= ninetieth:
            detail = "The mean must lie between the tenth and the ninetieth percentile."
            faults.append(ContentFault(pointer(*at, "mean"), detail))
    for name in ("counted_from", "counted_to"):
        faults += _month_day(pointer(*at, name), getattr(chill, name))
    if (chill.counted_from is None) != (chill.counted_to is None):
        missing = "counted_from" if chill.counted_from is None else "counted_to"
        faults.append(ContentFault(pointer(*at, missing), "Give both counted_from and counted_to, or neither."))
    return faults


def _frost(at: tuple[str, ...], frost: LastSpringFrost | FirstAutumnFrost, extreme: str) -> list[ContentFault]:
    dates = [name for name in ("median", extreme) if getattr(frost, name) is not None]
    if frost.frost_free and dates:
        return [ContentFault(pointer(*at), "Give dates or frost_free, not both.")]
    if not frost.frost_free and frost.median is None:
        return [ContentFault(pointer(*at, "median"), "Give the median date, or frost_free: true.")]
    faults = [fault for name in dates for fault in _month_day(pointer(*at, name), getattr(frost, name))]
    if not faults and len(dates) == 2:
        days = (day_of_year(getattr(frost, extreme)) - day_of_year(str(frost.median))) % 365
        later = days if extreme.startswith("later") else (-days) % 365
        if later > 182:
            words = "later" if extreme.startswith("later") else "earlier"
            faults.append(ContentFault(pointer(*at, extreme), f"Expected a date {words} than the median."))
    return faults


def _winter_minimum(at: tuple[str, ...], minimum: WinterMinimum) -> list[ContentFault]:
    if (minimum.hardiness_zone is None) == (minimum.mean_annual_minimum_c is None):
        return [ContentFault(pointer(*at), "Give either hardiness_zone or mean_annual_minimum_c.")]
    if minimum.hardiness_zone is None:
        return []
    zone = minimum.hardiness_zone.strip().lower()
    if minimum.scheme == "usda" and zone not in USDA_ZONES:
        detail = f"No USDA zone is called “{minimum.hardiness_zone}”; they run from 1a to 13b; write 7b alone."
        return [ContentFault(pointer(*at, "hardiness_zone"), detail)]
    if minimum.scheme == "canada" and zone not in CANADIAN_ZONES:
        detail = f"No Canadian zone is called “{minimum.hardiness_zone}”; they run from 0a to 9b; write 5a alone."
        return [ContentFault(pointer(*at, "hardiness_zone"), detail)]
    return []


def _normals(at: tuple[str, ...], normals: MonthlyNormals) -> list[ContentFault]:
    faults = []
    for month, (low, high) in enumerate(zip(normals.tmin_c, normals.tmax_c, strict=True)):
        if low > high:
            detail = f"The minimum of month {month + 1} ({low:g} C) is above its maximum ({high:g} C)."
            faults.append(ContentFault(pointer(*at, "tmin_c", month), detail))
        elif high - low > 35.0:
            detail = f"No month has a mean daily range of {high - low:g} C; expected at most 35."
            faults.append(ContentFault(pointer(*at, "tmax_c", month), detail))
    warmest = max((a + b) / 2 for a, b in zip(normals.tmin_c, normals.tmax_c, strict=True))
    if warmest > 45.0 and not faults:
        detail = f"A month's mean of {warmest:.0f} C is hotter than any on earth: are the figures in Fahrenheit?"
        faults.append(ContentFault(pointer(*at, "tmax_c"), detail))
    return faults


def _wrong_hemisphere(at: tuple[str, ...], site: Site) -> list[ContentFault]:
    """Normals whose warm months are the cold ones of their latitude."""
    if site.monthly_normals is None or site.latitude is None or abs(site.latitude) < TROPIC:
        return []
    mean = [(a + b) / 2 for a, b in zip(site.monthly_normals.tmin_c, site.monthly_normals.tmax_c, strict=True)]
    july_over_january = sum(mean[5:8]) / 3 - (mean[0] + mean[1] + mean[11]) / 3
    if july_over_january * (1 if site.latitude > 0 else -1) > -2.0:
        return []
    where = "south" if site.latitude < 0 else "north"
    detail = (
        f"These months are in the order of the other hemisphere for a latitude in the {where}. January comes first "
        "everywhere; check the order of the months and the sign of the latitude."
    )
    return [ContentFault(pointer(*at, "monthly_normals"), detail)]


def _day(at: str, value: str) -> list[ContentFault]:
    try:
        day = dt.date.fromisoformat(value)
    except ValueError:
        return [ContentFault(at, f"No calendar has a {value}; expected YYYY-MM-DD.")]
    return [] if day.year >= 1700 else [ContentFault(at, "Expected a year from 1700 on.")]


def _records_shape(at: tuple[str, ...], records: DailyRecords | HourlyRecords) -> list[ContentFault]:
    faults = _day(pointer(*at, "first_day"), records.first_day)
    if isinstance(records, HourlyRecords):
        days, unit = len(records.temperature_c) / 24.0, "temperature_c"
    else:
        days, unit = float(len(records.tmin_c)), "tmin_c"
        for name in ("tmax_c", "rain_mm"):
            series = getattr(records, name)
            if series is not None and len(series) != len(records.tmin_c):
                detail = f"Expected as many values as in tmin_c ({len(records.tmin_c)}); got {len(series)}."
                faults.append(ContentFault(pointer(*at, name), detail))
    if days < 365:
        detail = f"Records need at least one whole year (365 days); got {days:.0f} days. Give monthly normals instead."
        faults.append(ContentFault(pointer(*at, unit), detail))
    return faults


def has_figure(site: Site) -> bool:
    """Whether the site tells anything of its climate apart from the place."""
    return any(
        value is not None
        for value in (
            site.winter_chill,
            site.last_spring_frost,
            site.first_autumn_frost,
            site.winter_minimum,
            site.coldest_month_mean_c,
            site.warmest_month_mean_c,
            site.bloom_date,
            site.monthly_normals,
            site.daily_records,
            site.hourly_records,
        )
    )


def check_site(site: Site, at: tuple[str, ...] = ("site",)) -> list[ContentFault]:
    """Every fault of content of a site, each with its JSON pointer below ``at``; an empty list if there is none."""
    faults: list[ContentFault] = []
    if (site.latitude is None) != (site.longitude is None) and site.latitude is None:
        faults.append(ContentFault(pointer(*at, "latitude"), "A longitude needs a latitude beside it."))
    if site.winter_chill is not None:
        faults += _chill((*at, "winter_chill"), site.winter_chill)
    if site.last_spring_frost is not None:
        faults += _frost((*at, "last_spring_frost"), site.last_spring_frost, "later_one_year_in_ten")
    if site.first_autumn_frost is not None:
        faults += _frost((*at, "first_autumn_frost"), site.first_autumn_frost, "earlier_one_year_in_ten")
    if site.winter_minimum is not None:
        faults += _winter_minimum((*at, "winter_minimum"), site.winter_minimum)
    coldest, warmest = site.coldest_month_mean_c, site.warmest_month_mean_c
    if coldest is not None and warmest is not None and coldest > warmest:
        detail = f"The coldest month ({coldest:g} C) cannot be warmer than the warmest ({warmest:g} C)."
        faults.append(ContentFault(pointer(*at, "coldest_month_mean_c"), detail))
    for name in get_args(BloomField):
        faults += _month_day(pointer(*at, name), getattr(site, name))
    if site.bloom_here is not None and site.apples_bloom_here is not None:
        detail = "bloom_here and apples_bloom_here are one field under two names; give bloom_here alone."
        faults.append(ContentFault(pointer(*at, "apples_bloom_here"), detail))
    if site.monthly_normals is not None:
        faults += _normals((*at, "monthly_normals"), site.monthly_normals)
        faults += _wrong_hemisphere(at, site)
    for name in ("daily_records", "hourly_records"):
        records = getattr(site, name)
        if records is not None:
            faults += _records_shape((*at, name), records)
    for number, seen in enumerate(site.observed_dates):
        faults += _day(pointer(*at, "observed_dates", number, "date"), seen.date)
    if site.as_of is not None:
        faults += _day(pointer(*at, "as_of"), site.as_of)
    faults += _not_a_number(at, site)
    deep = site.monthly_normals is not None or site.daily_records is not None or site.hourly_records is not None
    if not faults and not has_figure(site) and site.longitude is None:
        detail = (
            "Give a place (latitude and longitude) or at least one figure of the climate: winter_chill, "
            "last_spring_frost, first_autumn_frost, winter_minimum, coldest_month_mean_c, warmest_month_mean_c, "
            "bloom_here, monthly_normals or records."
        )
        faults.append(ContentFault(pointer(*at), detail))
    if not faults and deep and site.latitude is None:
        detail = "Normals and records need the latitude, for the length of the days and the hemisphere."
        faults.append(ContentFault(pointer(*at, "latitude"), detail))
    return faults


def _not_a_number(at: tuple[str, ...], site: Site) -> list[ContentFault]:
    """Infinite or undefined numbers, which JSON cannot carry but a caller of the domain can."""
    faults = []
    for name in site.__struct_fields__:
        value = getattr(site, name)
        if isinstance(value, float) and not math.isfinite(value):
            faults.append(ContentFault(pointer(*at, name), "Expected a finite number."))
        elif isinstance(value, WinterChill | LastSpringFrost | FirstAutumnFrost | WinterMinimum):
            for inner in value.__struct_fields__:
                number = getattr(value, inner)
                if isinstance(number, float) and not math.isfinite(number):
                    faults.append(ContentFault(pointer(*at, name, inner), "Expected a finite number."))
        elif isinstance(value, MonthlyNormals):
            for inner in value.__struct_fields__:
                faults += [
                    ContentFault(pointer(*at, name, inner, month), "Expected a finite number.")
                    for month, number in enumerate(getattr(value, inner) or ())
                    if not math.isfinite(number)
                ]
    return faults


def encoded(site: Site) -> bytes:
    """A key for caches: equal sites give equal bytes."""
    return msgspec.json.encode(site)
