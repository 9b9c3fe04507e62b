"""The scales on which texts rate susceptibility, each read by its own meaning: 0 immune .. 1 very susceptible.

A scheme is one text's (or one service's) way of rating. Its classes are mapped by what its legend says has to be done
or was seen, never by a word that another scheme uses for something else: "MR" of a fire-blight table means control
only under high pressure, "resistant" in a list of scab-resistant cultivars means no spraying, "robust" in a list of
robust ones only better than most. Abstracts that name only the extremes of their trial get wide errors. The numbers
are common practice, no source; agreement between sources is measured when they are weighed (see `tolerances`).
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Scheme:
    """Classes as printed (lower case) -> susceptibility, and the error of a class of this scheme."""

    name: str
    opening: tuple[str, ...]
    """How the scheme's text begins; the first scheme that fits an observation is taken."""
    classes: Mapping[str, float]
    error: float


CONTROL_LETTERS = {"vr": 0.05, "r": 0.2, "mr": 0.35, "s": 0.65, "hs": 0.9}
"""Letters of the control a grower needs: none, under high pressure, with susceptible stocks, usually, always."""

WORDS: Mapping[str, float] = {
    "immune": 0.02,
    "field immune": 0.04,
    "entirely resistant": 0.05,
    "total resistance": 0.05,
    "no infection where vf cultivars were infected": 0.05,
    "no scab": 0.08,
    "none": 0.08,
    "free": 0.1,
    "very resistant": 0.08,
    "highly resistant": 0.1,
    "high resistance": 0.12,
    "most resistant": 0.12,
    "highest tolerance": 0.15,
    "highly tolerant": 0.15,
    "resistant (vf gene)": 0.1,
    "resistant": 0.18,
    "tolerant": 0.3,
    "trace": 0.2,
    "good resistance": 0.2,
    "broad resistance": 0.22,
    "firm against scab": 0.22,
    "quite resistant": 0.25,
    "fairly resistant": 0.28,
    "highly or moderately resistant": 0.22,
    "resistant or moderately resistant": 0.25,
    "resistant to moderately resistant": 0.25,
    "above-average resistance": 0.3,
    "moderate to good resistance": 0.28,
    "good tolerance": 0.25,
    "decent resistance, not immune": 0.28,
    "resistant or partially resistant": 0.25,
    "moderately resistant": 0.35,
    "moderate resistance": 0.35,
    "moderately tolerant": 0.4,
    "some resistance": 0.38,
    "slightly resistant": 0.45,
    "hardly susceptible": 0.22,
    "very little susceptible": 0.22,
    "no known susceptibility": 0.25,
    "little susceptible": 0.28,
    "little attacked": 0.28,
    "little scab": 0.28,
    "least susceptible": 0.25,
    "low susceptibility": 0.28,
    "weakly susceptible": 0.32,
    "less susceptible": 0.35,
    "less affected than gala": 0.4,
    "less susceptible than bramley": 0.45,
    "slightly susceptible": 0.42,
    "some lesions": 0.4,
    "some scab": 0.45,
    "occasionally attacked": 0.45,
    "attack possible": 0.5,
    "resistance broken": 0.5,
    "fruit scab seen for the first time in 2010": 0.25,
    "possible problem": 0.55,
    "on wet sites": 0.6,
    "on heavy soils": 0.6,
    "on wet heavy soils": 0.6,
    "on heavy cold soils": 0.6,
    "susceptible on poor sites": 0.6,
    "susceptible on warm dry sites": 0.6,
    "some possible": 0.45,
    "slightly to moderately susceptible": 0.5,
    "named as pest": 0.65,
    "medium susceptibility": 0.55,
    "moderately susceptible": 0.58,
    "moderately affected": 0.55,
    "watch late blossoms": 0.6,
    "less resistant than two epagri selections": 0.6,
    "more susceptible than cox": 0.65,
    "needs protection": 0.7,
    "prone": 0.75,
    "subject": 0.75,
    "not subject": 0.25,
    "subject (on unfavourable soil, stock or with age, see entry)": 0.6,
    "susceptible": 0.72,
    "medium to highly susceptible": 0.75,
    "recorded as attacked": 0.65,
    "more common on": 0.65,
    "high susceptibility": 0.88,
    "highly susceptible": 0.9,
    "particularly susceptible": 0.88,
    "very susceptible": 0.92,
    "very subject": 0.9,
    "most susceptible": 0.9,
}

SCHEMES: tuple[Scheme, ...] = (
    Scheme("control needed", ("MR/S/HS", "VR/R/MR/S/HS", "VR/R/S/HS", "R/S/HS"), CONTROL_LETTERS, 0.12),
    Scheme(
        "six letters",
        ("VR = very resistant; R = resistant; MR = moderately resistant; MS",),
        {"vr": 0.05, "r": 0.2, "mr": 0.38, "ms": 0.55, "s": 0.75, "vs": 0.95},
        0.12,
    ),
    Scheme("three letters", ("R / M / S as printed",), {"r": 0.2, "r-m": 0.35, "m": 0.5, "s": 0.78}, 0.15),
    Scheme(
        "very low to very high",
        ("vl l m h vh",),
        {"vl": 0.12, "l": 0.28, "m": 0.5, "h": 0.72, "vh": 0.92},
        0.13,
    ),
    Scheme(
        "rot groups",
        ("three relative groups",),
        {"least susceptible": 0.28, "moderately susceptible": 0.52, "most susceptible": 0.82},
        0.15,
    ),
    Scheme(
        "niab groups",
        ("very susceptible / moderately susceptible",),
        {"very low": 0.12, "low susceptibility": 0.25, "moderately susceptible": 0.55, "very susceptible": 0.88},
        0.13,
    ),
    Scheme(
        "rated as scab-resistant or not",
        ("listed as scab-resistant", "listed as not scab-resistant", "Rvi6 cultivars", "scab-resistant (Rvi6)",
         "studied as scab-resistant", "threefold resistant", "hardly ever attacked"),
        {"resistant": 0.12, "not resistant": 0.68},
        0.15,
    ),
    Scheme(
        "beside McIntosh",
        ("incidence relative to the standard McIntosh",),
        {"susceptible standard": 0.85, "as susceptible as mcintosh": 0.82, "relatively low levels": 0.45},
        0.15,
    ),
    Scheme(
        "field reaction",
        ("field reaction types",),
        {"resistant": 0.1, "fewer symptoms than prima": 0.25},
        0.15,
    ),
    Scheme(
        "extremes of a trial",
        ("scab index 0-4", "ranked list", "relative incidence among", "incidence groups", "relative among",
         "lesion growth", "controlled inoculation", "fire blight score"),
        {
            "most resistant at alnarp": 0.12, "best at balsgård": 0.15, "most susceptible of the planting": 0.85,
            "highest incidence": 0.85, "among the most affected": 0.78, "among the lowest incidence": 0.25,
            "most susceptible": 0.85, "most susceptible on fruit": 0.85, "lowest incidence": 0.25,
            "smallest lesions": 0.3, "most resistant": 0.25, "most susceptible of ten": 0.85,
            "most resistant of ten": 0.22, "most tolerant of 25": 0.25, "greatest resistance of ten": 0.25,
        },
        0.2,
    ),
    Scheme(
        "inoculated shoots",
        ("shoot inoculation class",),
        {"highly resistant": 0.1, "most resistant": 0.15, "low susceptible": 0.3, "very susceptible": 0.9},
        0.15,
    ),
    Scheme(
        "most susceptible or resistant, as answered",
        ("most susceptible / moderately resistant",),
        {"most susceptible": 0.88, "moderately resistant": 0.38, "highly resistant": 0.1},
        0.15,
    ),
    Scheme("listed as robust", ("listed as fire-blight-robust",), {"robust": 0.32}, 0.2),
    Scheme(
        "robust or highly susceptible",
        ("robust / highly susceptible",),
        {"robust": 0.3, "highly susceptible": 0.9},
        0.15,
    ),
    Scheme("a letter of weakness", ("letter in column other susceptibility",), {"susceptible": 0.75}, 0.18),
    Scheme("source of resistance", ("named as sources for resistance",), {"polygenic resistance source": 0.22}, 0.18),
    Scheme(
        "crab apple chart",
        ("excellent / good / fair / poor",),
        {"excellent": 0.08, "good": 0.25, "fair": 0.5, "poor": 0.85},
        0.15,
    ),
    Scheme(
        "beside other cultivars",
        ("relative",),
        {
            "more susceptible than james grieve, wealthy and antonovka": 0.7, "susceptible": 0.65,
            "lower tolerance than a 68-173 and pinova": 0.6,
        },
        0.2,
    ),
    Scheme(
        "aphid classes",
        ("immune / resistant / moderately resistant",),
        {
            "immune": 0.03, "resistant": 0.18, "moderately resistant": 0.35, "moderately susceptible": 0.55,
            "susceptible": 0.75, "highly susceptible": 0.92,
        },
        0.15,
    ),
    Scheme(
        "egg laying in the laboratory",
        ("oviposition preference",),
        {"preferred": 0.68, "least preferred": 0.38},
        0.22,
    ),
    Scheme("words", ("words", "classes derived", ""), WORDS, 0.18),
)  # fmt: skip
"""Every scheme of the evidence. The last one takes words of single texts, each with a meaning close to the trade's."""


def linear(value: float, unit: str, scheme: str) -> float | None:
    """Susceptibility of a numeric rating: trees killed of a hundred, or a field score that starts at 0 for none."""
    if "tree mortality" in scheme:
        return 0.15 + 0.8 * value / 100.0
    if scheme.startswith("mean rating of natural infection"):
        return min(0.95, 0.2 + 0.25 * value)  # none seen in one outbreak is not immunity
    return None


NUMERIC_ERROR = 0.16


def scheme_of(text: str) -> Scheme:
    """The scheme whose opening the text has."""
    return next(scheme for scheme in SCHEMES if text.startswith(scheme.opening))


def rating(published: str, scheme_text: str) -> tuple[float, float] | None:
    """(susceptibility, error) of a printed class, None for a class its scheme does not have."""
    scheme = scheme_of(scheme_text)
    value = scheme.classes.get(published.strip().lower())
    return None if value is None else (value, scheme.error)
