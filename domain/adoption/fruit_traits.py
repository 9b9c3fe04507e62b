"""What the fruit is and whence the cultivar came: uses, flavour, skin, keeping, weight, origin.

Storage life is in weeks of ordinary cold store (about 0 to 2 C, moist). Days are taken as printed; "until March" counts
from the first of October, when late apples go into store; a cellar keeps about four fifths as long as a cold store and
a fruit room of the nineteenth century two thirds (common practice, no source). Weight from a diameter is that of a
sphere a little flattened, of density 0.85.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from statistics import median

from domain.adoption.adaptation import narrowest
from domain.adoption.weighing import basis_of, by_cultivar, elected, estimate, pooled, source_ids
from domain.tables.cultivars import Estimate, Finding
from domain.tables.observations import Observation

USES = {
    "dessert": "dessert",
    "fresh": "dessert",
    "salad": "dessert",
    "cooking": "cooking",
    "sauce": "cooking",
    "pie": "cooking",
    "baking": "cooking",
    "cider": "cider",
    "juice": "juice",
    "drying": "drying",
}
MERGED_USE = "dessert here includes cooking"
"""A survey that files cooking apples under dessert: it counts only where no text tells the use."""

FLAVOUR_WORDS = (
    ("bittersweet", "bittersweet"),
    ("bittersharp", "bittersharp"),
    ("low acid", "sweet"),
    ("slightly acid", "sweet"),
    ("subacid", "subacid"),
    ("semi-acid", "subacid"),
    ("sharp", "sharp"),
    ("acid", "sharp"),
    ("sweet", "sweet"),
)
"""Words of flavour, the first that the text contains; words of quality alone say nothing of it."""
CIDER_CLASSES = frozenset({"bittersweet", "bittersharp"})

SKINS = frozenset({"red", "bicolour", "yellow", "green", "russet"})
OLD_CATALOGUES = ("Hogg", "Warder")

MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
STORE_FROM_MONTH = 10.0
WEEKS_A_MONTH = 365.25 / 12.0 / 7.0
CELLAR, FRUIT_ROOM = 1.25, 1.5
"""Cold-store weeks for one week in a cellar, in a fruit room of the nineteenth century."""
KEEPING_WORDS = {
    "hardly any": (0.0, 2.0),
    "short": (1.0, 4.0),
    "short in warmer regions": (2.0, 8.0),
    "does not store": (0.0, 2.0),
    "does not store well": (1.0, 4.0),
    "stores well": (14.0, 24.0),
    "long": (18.0, 28.0),
    "stores poorly": (1.0, 4.0),
    "poor keeper": (1.0, 4.0),
    "less good": (2.0, 6.0),
    "several weeks": (3.0, 7.0),
    "high cold-storage capacity": (20.0, 30.0),
    "high storage capacity": (20.0, 30.0),
    "longer than golden delicious and jonagold": (22.0, 32.0),
}
GRAMS_PER_CUBIC_MM = 0.85e-3 * 3.1416 / 6.0 * 0.9

Adopted = dict[tuple[str, str], Estimate | Finding]


def uses(observations: Iterable[Observation]) -> dict[tuple[str, str], Finding]:
    """(cultivar, ``uses``) -> the uses that texts name, space separated in alphabetic order."""
    found: dict[tuple[str, str], Finding] = {}
    told = by_cultivar(observations, frozenset({"use", "flavour"}))
    for cultivar_id, every in told.items():
        named = [one for one in every if one.trait == "use"]
        texts = [one for one in named if not one.scheme.startswith(MERGED_USE)] or named
        words = {use for one in texts for word in re.split(r"[,;]\s*", one.published) if (use := USES.get(word))}
        ciders = [one for one in every if one.trait == "flavour" and one.published in CIDER_CLASSES]
        if ciders:
            words.add("cider")
        used = [*texts, *ciders]
        if words:
            found[cultivar_id, "uses"] = Finding(
                value=" ".join(sorted(words)),
                agreement=1.0,
                basis=basis_of(one.source_id for one in used),
                observations=len(used),
                sources=source_ids(used),
            )
    return found


def _flavour(text: str) -> str | None:
    lower = text.lower()
    return next((flavour for word, flavour in FLAVOUR_WORDS if word in lower), None)


def _elected(observations: Iterable[Observation], trait: str) -> dict[tuple[str, str], Finding]:
    found: dict[tuple[str, str], Finding] = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({trait})).items():
        votes: defaultdict[str, float] = defaultdict(float)
        used = []
        for one in told:
            name = _flavour(one.published) if trait == "flavour" else one.published if one.published in SKINS else None
            if name:
                votes[name] += 0.4 if one.scheme.startswith(OLD_CATALOGUES) else 1.0
                used.append(one)
        if votes:
            found[cultivar_id, trait] = elected(votes, used)
    return found


def _months_after_store(month: float) -> float:
    """Months from the first of October to the middle of a month; a month before October is of the next year."""
    return (month - STORE_FROM_MONTH) % 12.0 + 0.5


def keeping_weeks(observation: Observation) -> tuple[float, float] | None:
    """(low, high) weeks in a cold store that an observation of storage life means, None for words without length."""
    text = observation.published.lower()
    if observation.unit in ("days", "weeks") and (observation.low is not None or observation.high is not None):
        days = 1.0 if observation.unit == "weeks" else 7.0
        low = observation.low if observation.low else observation.high or 0.0
        high = observation.high if observation.high is not None else low * 1.15
        return low / days * (0.75 if low == high else 1.0), high / days
    if observation.unit == "month" and observation.high is not None:
        return _fruit_room(observation.high)
    if text in KEEPING_WORDS:
        return KEEPING_WORDS[text]
    named = [float(index + 1) for index, month in enumerate(MONTHS) if month in text.replace("christmas", "december")]
    if not named or text.startswith("similar"):
        return None
    last = max(named, key=_months_after_store)
    if _months_after_store(last) > 10.0:
        return None
    store = 1.0 if "cold store" in text or "refrigerat" in text or " c" in text[-5:] else CELLAR
    weeks = _months_after_store(last) * WEEKS_A_MONTH * store
    return 0.6 * weeks, weeks


def _fruit_room(month: float) -> tuple[float, float]:
    """Weeks from the last month in which a catalogue of 1851 has the fruit in use: summer apples keep a few weeks."""
    in_year = (month - 1.0) % 12.0 + 1.0
    if in_year in (8.0, 9.0):
        return 1.0, 2.0 + 2.0 * (in_year - 8.0)
    weeks = min(_months_after_store(in_year) * WEEKS_A_MONTH * FRUIT_ROOM, 36.0)
    return 0.6 * weeks, weeks


def storage(observations: Iterable[Observation]) -> dict[tuple[str, str], Estimate]:
    """(cultivar, ``storage_weeks_low`` and ``..._high``) -> weeks in cold store."""
    found: dict[tuple[str, str], Estimate] = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({"storage_life"})).items():
        ranges = [(weeks, one) for one in told if (weeks := keeping_weeks(one)) is not None]
        for name, end in (("storage_weeks_low", 0), ("storage_weeks_high", 1)):
            values = [weeks[end] for weeks, _ in ranges]
            if values:
                errors = [max(1.5, 0.3 * value) * (1.6 if one.unit == "month" else 1.0)
                          for value, (_, one) in zip(values, ranges, strict=True)]  # fmt: skip
                value, spread = pooled(values, errors, 0.5)
                used = [one for _, one in ranges]
                found[cultivar_id, name] = estimate(value, spread, "weeks", used, basis_of(o.source_id for o in used))
    return found


def weights(observations: Iterable[Observation]) -> dict[tuple[str, str], Estimate]:
    """(cultivar, ``fruit_weight_g``) -> grams, from weights or else from diameters (`computed`)."""
    found: dict[tuple[str, str], Estimate] = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({"fruit_weight_g", "fruit_size_mm"})).items():
        grams, sizes = [], []
        for one in told:
            ends = [end for end in (one.low, one.high) if end is not None]
            if ends:
                middle = sum(ends) / len(ends)
                if one.trait == "fruit_weight_g":
                    grams.append((middle, one))
                else:
                    sizes.append((GRAMS_PER_CUBIC_MM * middle**3, one))
        values = grams or sizes
        if values:
            share = 0.15 if grams else 0.22
            value, spread = pooled([v for v, _ in values], [max(15.0, share * v) for v, _ in values], 5.0)
            used = [one for _, one in values]
            basis = basis_of((one.source_id for one in used), "published" if grams else "computed")
            found[cultivar_id, "fruit_weight_g"] = estimate(value, spread, "g", used, basis)
    return found


def origins(observations: Sequence[Observation]) -> dict[tuple[str, str], Finding]:
    """(cultivar, ``origin_country``, ``origin_place``, ``origin_year``): the narrowest place, the middle year."""
    found: dict[tuple[str, str], Finding] = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({"origin_place", "origin_country"})).items():
        texts = [one for one in told if one.source_id != "from-memory"]
        place = narrowest(texts or told)
        country = place.published.rsplit(", ", maxsplit=1)[-1]
        votes: defaultdict[str, float] = defaultdict(float)
        for one in texts or told:
            votes[one.published.rsplit(", ", maxsplit=1)[-1]] += 1.0
        found[cultivar_id, "origin_country"] = elected(votes, texts or told)
        if place.published != country:
            found[cultivar_id, "origin_place"] = elected({place.published: 1.0}, [place])
    for cultivar_id, told in by_cultivar(observations, frozenset({"origin_year"})).items():
        years = [one.low for one in told if one.low is not None]
        if years:
            found[cultivar_id, "origin_year"] = elected({str(round(median(years))): 1.0}, told)
    return found


def adopt(observations: Sequence[Observation]) -> Adopted:
    """Every trait of the fruit and the cultivar's origin that some text gives."""
    return {
        **uses(observations),
        **_elected(observations, "flavour"),
        **_elected(observations, "skin"),
        **storage(observations),
        **weights(observations),
        **origins(observations),
    }
