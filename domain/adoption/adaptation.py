"""Groups of cultivars by the winters they were bred or kept in: the prior of chill requirement and hardiness.

A cultivar that nobody measured is not average: it was selected where it had to crop and survive. The group is read
from the place of origin as published; it says how much winter the place has, not what the cultivar needs, so both
priors are wide. Means and spreads are common practice, no source, ordered as published cases are (low-chill cultivars
of Israel and Brazil, forcing and fits of European ones, winters survived in Minnesota, Saskatchewan and Orel).
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from domain.adoption.weighing import basis_of, by_cultivar, source_ids
from domain.tables.cultivars import Estimate, Finding
from domain.tables.observations import Observation


@dataclass(frozen=True)
class Group:
    """Prior means and spreads of a group: chill portions for half a crop, and hardiness in C (see `growth`)."""

    chill_portions: tuple[float, float]
    hardiness_c: tuple[float, float]


GROUPS: Mapping[str, Group] = {
    "subtropical": Group((28.0, 10.0), (-23.0, 4.0)),
    "mild_southern": Group((38.0, 9.0), (-25.5, 3.0)),
    "mild_oceanic": Group((46.0, 9.0), (-26.5, 3.0)),
    "mediterranean": Group((42.0, 9.0), (-25.5, 3.5)),
    "warm_temperate": Group((43.0, 9.0), (-28.0, 3.0)),
    "temperate": Group((47.0, 9.0), (-29.5, 3.5)),
    "maritime": Group((51.0, 9.0), (-28.5, 3.5)),
    "american": Group((47.0, 9.5), (-30.5, 4.5)),
    "cold_temperate": Group((53.0, 9.0), (-33.0, 4.0)),
    "cold_continental": Group((55.0, 10.0), (-38.0, 3.5)),
    "siberian_crab": Group((52.0, 11.0), (-41.0, 3.0)),
    "crab": Group((50.0, 11.0), (-34.0, 4.5)),
    "unknown": Group((47.0, 11.0), (-30.0, 5.0)),
}

COLD_CONTINENTAL = (
    "minnesota", "north dakota", "south dakota", "dakota", "saskatchewan", "manitoba", "alberta", "wyoming", "montana",
    "russia", "soviet", "siberia", "kazakhstan", "belarus", "orel", "alaska", "mandan", "morden",
)  # fmt: skip
COLD_TEMPERATE = (
    "canada", "ontario", "quebec", "nova scotia", "new brunswick", "ottawa", "kentville", "maine", "vermont",
    "new hampshire", "wisconsin", "poland", "sweden", "finland", "norway", "estonia", "latvia", "lithuania", "ukraine",
)  # fmt: skip
MARITIME = (
    "united kingdom", "england", "scotland", "wales", "ireland", "netherlands", "belgium", "denmark", "devon",
    "somerset", "herefordshire", "kent", "worcestershire", "gloucestershire", "normandy", "brittany", "rhineland",
)  # fmt: skip
WARM_TEMPERATE = (
    "georgia, united states", "north carolina", "south carolina", "virginia", "tennessee", "arkansas", "texas",
    "alabama", "mississippi", "kentucky", "louisiana", "oklahoma", "california", "west virginia", "uzbekistan",
    "turkmenistan", "pakistan", "iran", "syria",
)  # fmt: skip
MEDITERRANEAN = (
    "spain", "portugal", "italy", "greece", "algeria", "macedonia", "turkey", "asturias", "basque", "morocco",
    "lebanon",
)  # fmt: skip
MILD_SOUTHERN = (
    "australia", "south africa", "chile", "argentina", "uruguay", "zimbabwe", "madeira",
)  # fmt: skip
MILD_OCEANIC = ("new zealand", "tasmania")
SUBTROPICAL = ("israel", "brazil", "egypt", "florida", "bahamas", "mexico", "india", "indonesia", "jordan", "ethiopia")

PLACES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("subtropical", SUBTROPICAL),
    ("mild_oceanic", MILD_OCEANIC),
    ("mild_southern", MILD_SOUTHERN),
    ("mediterranean", MEDITERRANEAN),
    ("cold_continental", COLD_CONTINENTAL),
    ("warm_temperate", WARM_TEMPERATE),
    ("cold_temperate", COLD_TEMPERATE),
    ("maritime", MARITIME),
)
"""Words of a place, looked for in this order: a narrower place stands before a wider one that contains its name."""

WHOLE_COUNTRY = {"united states": "american"}
"""A country of many winters, printed without its state."""

_PATTERNS = tuple((group, re.compile(r"\b(?:" + "|".join(words) + r")\b")) for group, words in PLACES)

ORIGIN = frozenset({"origin_place", "origin_country"})


def group_of_place(place: str) -> str:
    """The group of a place as printed; places that are in no list are temperate."""
    text = place.lower()
    return WHOLE_COUNTRY.get(text) or next((group for group, words in _PATTERNS if words.search(text)), "temperate")


def narrowest(printed: Iterable[Observation]) -> Observation:
    """The longest of the places printed: it names the province beside the country; ties by the alphabet."""
    return max(sorted(printed, key=lambda one: one.published), key=lambda one: len(one.published))


def _crab_group(cultivar_id: str) -> str:
    return "siberian_crab" if any(word in cultivar_id for word in ("baccata", "dolgo", "columbia")) else "crab"


def adopt(
    observations: Iterable[Observation], cultivar_ids: Iterable[str], crab_apples: frozenset[str] = frozenset()
) -> dict[tuple[str, str], Finding]:
    """(cultivar, ``adaptation``) -> group, for cultivars with a published origin and for crab apples.

    Several printed origins are read from the narrowest: the longest text names the province beside the country.
    """
    origins = by_cultivar(observations, ORIGIN)
    found: dict[tuple[str, str], Finding] = {}
    for cultivar_id in cultivar_ids:
        printed = origins.get(cultivar_id, [])
        if not printed and cultivar_id not in crab_apples:
            continue
        crab = cultivar_id in crab_apples
        group = _crab_group(cultivar_id) if crab else group_of_place(narrowest(printed).published)
        agreeing = [observation for observation in printed if group_of_place(observation.published) == group]
        sources = source_ids(agreeing or printed)
        found[cultivar_id, "adaptation"] = Finding(
            value=group,
            agreement=0.6,
            basis=basis_of(sources, "computed"),
            observations=len(printed),
            sources=sources,
        )
    return found


def groups(adopted: Mapping[tuple[str, str], Finding], cultivar_ids: Iterable[str]) -> dict[str, str]:
    """Cultivar -> group, ``unknown`` where no origin is published."""
    return {
        cultivar_id: adopted[cultivar_id, "adaptation"].value if (cultivar_id, "adaptation") in adopted else "unknown"
        for cultivar_id in cultivar_ids
    }


LOW_CHILL_PORTIONS = 28.0


def with_low_chill(
    adopted: Mapping[tuple[str, str], Finding], chill: Mapping[tuple[str, str], Estimate]
) -> dict[tuple[str, str], Finding]:
    """The groups again; ``low_chill`` for cultivars that evidence of their own, not their origin, shows to be so."""
    named = dict(adopted)
    for (cultivar_id, _), need in chill.items():
        if need.basis != "imputed" and need.value < LOW_CHILL_PORTIONS:
            named[cultivar_id, "adaptation"] = Finding(
                value="low_chill", agreement=0.8, basis="computed", observations=need.observations, sources=need.sources
            )
    return named
