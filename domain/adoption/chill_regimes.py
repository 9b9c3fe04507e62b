"""How much chill places have, in portions, and what an hour or a unit counted there is worth.

One portion is 9 hours below 7.2 C in a mild wet winter and 29 in a cold one, so a published "hours needed" only means
something with the winters in which it was found. The table was computed: the Dynamic Model, the hours and the positive
daily Utah units of `domain.weather.chill` over 1 October to 31 May (1 April to 30 November in the south), forty winters
of daily means scattered about the ERA5 monthly means of 2000-2025 at the place's height (standard deviation 1 to 6 C by
region, day-to-day correlation 0.7, one degree from year to year) with a sinusoid of the day. Its figures agree with
measured pairs where there are some: the San Joaquin valley on 11 January 2023 16 to 19 h a portion (part of a winter),
Los Lunas, New Mexico, 17 and Farmington 15 Utah units a portion (Djaman K. et al., Sustainability 13:2524, 2021).
Southern California stands for Irvine, Riverside and Santa Barbara, 38 to 48 portions by `domain.climate` there.
"""

from dataclasses import dataclass

HOURS_ERROR = 0.22
UNITS_ERROR = 0.20
"""Relative error of a conversion within a regime: years, sites and bands differ."""


@dataclass(frozen=True)
class Regime:
    """Winters of a region: mean portions of the whole dormant season, and hours and units that make one portion.

    error is the standard deviation of what "crops there" or "fails there" says: years, sites within the region, care.
    """

    portions: float
    error: float
    hours_per_portion: float
    units_per_portion: float


REGIMES: dict[str, Regime] = {
    "central florida": Regime(8.0, 10.0, 13.0, 17.5),
    "north florida": Regime(37.0, 8.0, 15.5, 18.0),
    "florida": Regime(32.0, 9.0, 15.5, 18.0),
    "texas gulf": Regime(35.0, 8.0, 13.5, 19.0),
    "south louisiana": Regime(44.0, 8.0, 14.0, 19.0),
    "south georgia": Regime(48.0, 8.0, 16.0, 18.0),
    "upper georgia": Regime(78.0, 8.0, 18.0, 18.0),
    "north texas": Regime(63.0, 8.0, 17.5, 18.0),
    "east texas": Regime(60.0, 8.0, 17.5, 18.0),
    "san joaquin valley": Regime(62.0, 9.0, 14.0, 18.5),
    "southern california": Regime(43.0, 11.0, 5.0, 18.0),
    "santa catarina highland": Regime(85.0, 12.0, 12.0, 19.0),
    "santa catarina": Regime(47.0, 9.0, 11.0, 18.0),
    "parana": Regime(25.0, 12.0, 9.5, 18.0),
    "sao paulo": Regime(4.0, 6.0, 8.5, 17.0),
    "punjab": Regime(18.0, 8.0, 15.0, 16.5),
    "himalayan foothills": Regime(31.0, 12.0, 15.0, 17.0),
    "brahmaputra valley": Regime(3.0, 15.0, 15.0, 17.0),
    "israel": Regime(40.0, 20.0, 12.0, 19.0),
    "tropical highland": Regime(8.0, 14.0, 9.0, 15.0),
    "tropical, defoliated": Regime(0.0, 30.0, 9.0, 15.0),
    "southern african highland": Regime(28.0, 18.0, 13.0, 17.0),
    "moroccan highland": Regime(95.0, 15.0, 15.0, 19.0),
    "asturias": Regime(87.0, 12.0, 9.3, 19.0),
    "british columbia": Regime(120.0, 12.0, 24.0, 17.0),
    "low countries": Regime(140.0, 12.0, 19.0, 20.5),
    "cold winter": Regime(120.0, 12.0, 29.0, 15.5),
}

UNSTATED = Regime(60.0, 20.0, 16.0, 17.5)
"""A figure of no place: hours of the trade, as handed on in lists and catalogues (14 to 18 h a portion)."""

HOURS_OF_CONSTANT_COLD = {3.0: 36.5, 4.0: 33.5}
"""Hours a portion takes at a constant temperature (C), by the Dynamic Model."""

PLACES: tuple[tuple[str, str], ...] = (
    ("highlands county", "central florida"),
    ("central florida", "central florida"),
    ("north florida", "north florida"),
    ("florida", "florida"),
    ("texas gulf", "texas gulf"),
    ("north central texas", "north texas"),
    ("east texas", "east texas"),
    ("southern louisiana", "south louisiana"),
    ("louisiana", "south louisiana"),
    ("south georgia", "south georgia"),
    ("thirds of georgia", "upper georgia"),
    ("bakersfield", "san joaquin valley"),
    ("southern california", "southern california"),
    ("below 1200 m", "santa catarina"),
    ("less cold meio-oeste", "santa catarina"),
    ("papanduva", "santa catarina"),
    ("santa catarina", "santa catarina"),
    ("parana", "parana"),
    ("jundiai", "sao paulo"),
    ("petrolina", "tropical, defoliated"),
    ("java", "tropical, defoliated"),
    ("southern brazil", "santa catarina"),
    ("punjab", "punjab"),
    ("pasighat", "brahmaputra valley"),
    ("himachal", "himalayan foothills"),
    ("himalaya", "himalayan foothills"),
    ("israel", "israel"),
    ("costa rica", "tropical highland"),
    ("colombia", "tropical highland"),
    ("uganda", "tropical highland"),
    ("kenya", "tropical highland"),
    ("tigray", "tropical highland"),
    ("ethiopia", "tropical highland"),
    ("zimbabwe", "southern african highland"),
    ("morocco", "moroccan highland"),
    ("asturias", "asturias"),
    ("belgium", "low countries"),
    ("british columbia", "british columbia"),
)
"""Words of a place -> regime, the first that a text contains."""


def regime_name(text: str) -> str | None:
    """The regime whose place a text names, None if it names none."""
    lower = text.lower()
    return next((regime for words, regime in PLACES if words in lower), None)
