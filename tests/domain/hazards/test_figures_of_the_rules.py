"""The figures of disease and insect models are those of the rows of the rule table that they name.

These compare a figure with its own source and hold against a slip of the pen: no check from outside.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from domain.hazards import scab
from domain.hazards.codling_moth import FIGURES as MOTH
from domain.hazards.fire_blight import BlossomFigures
from domain.hazards.fruit_diseases import SummerWetFigures, WetHourFigures
from domain.hazards.leaf_diseases import SpringWetFigures
from domain.tables.parameters import figures
from tests.published.test_insect_heat_sums import from_biofix_c

SCAB = figures("fruit", "scab", scab.ScabFigures)
RULES = Path(__file__).parents[3] / "reference_tables" / "rules" / "disease_pressure.csv"


def rules(disease: str, words: str) -> list[dict[str, str]]:
    with RULES.open(encoding="utf-8") as file:
        return [row for row in csv.DictReader(file) if row["disease"] == disease and words in row["rule"]]


def value(disease: str, words: str) -> float:
    (row,) = rules(disease, words)
    return float(row["value"])


def test_the_revised_mills_table() -> None:
    """Biggs A. R., Table 1, Mills table, West Virginia University, after MacHardy and Gadoury 1989: every row."""
    rows = rules("apple scab", "minimum continuous leaf wetness for ascospore infection of leaves at mean temperature")
    assert len(rows) == 17
    for row in rows:
        fahrenheit = float(row["rule"].split("temperature ")[1].split()[0])
        needed = scab.mills_hours(np.array([(fahrenheit - 32.0) / 1.8]), SCAB)[0]
        assert needed == pytest.approx(float(row["value"]), abs=0.01), row["rule"]
    assert value("apple scab", "61-75 F") == scab.mills_hours(np.array([20.0]), SCAB)[0]
    assert value("apple scab", "conidial infection needs more") == SCAB.conidia_more_h


def test_the_criteria_of_blossom_infection() -> None:
    """A maker's manual with the conditions of Steiner and Lightner, and the fire blight key of UMass, 2003 (in F)."""
    blight = figures("fruit", "fire_blight", BlossomFigures)
    assert value("fire blight", "2: degree hours above 18.3 C needed") == blight.degree_hours
    assert value("fire blight", "2: window for the degree hours") == blight.window_dd
    assert value("fire blight", "4: mean daily temperature") == blight.least_mean_c
    assert value("fire blight", "degree hours above 65 F") / 1.8 == pytest.approx(blight.degree_hours)
    assert value("fire blight", "blossom blight") / 1.8 == pytest.approx(blight.window_dd, abs=0.5)


def test_the_wetness_that_rust_and_rots_need() -> None:
    """Aldwinckle et al. 1980, Arauz and Sutton 1989, Brown and Sutton 1995, abstracts."""
    rust = figures("fruit", "cedar_apple_rust", SpringWetFigures)
    black_rot = figures("fruit", "black_rot", SummerWetFigures)
    sooty = figures("fruit", "sooty_blotch_flyspeck", WetHourFigures)
    assert rust.wetness_h[0] == value("cedar-apple rust", "needed at 2 C")
    assert rust.wetness_h[-1] == value("cedar-apple rust", "needed at 24 C")
    assert value("black rot", "light leaf infection model") == black_rot.light_h_c2
    light, severe = (value("black rot", f"{word} leaf infection at the optimum") for word in ("light", "severe"))
    assert severe / light == black_rot.severe_h / black_rot.light_h
    low, high = (float(part) for part in rules("sooty blotch and flyspeck", "begin protection")[0]["value"].split(".."))
    assert low <= sooty.threshold_h <= high


@pytest.mark.parametrize(
    ("brood", "level", "words"),
    [
        (0, "hatch_begins", "egg hatch begins, after biofix"),
        (0, "hatch_peaks", "greatest egg hatch, 1st"),
        (0, "hatch_ends", "egg hatch ends, 1st"),
        (1, "hatch_begins", "egg hatch begins, 2nd"),
        (1, "hatch_peaks", "greatest egg hatch, 2nd"),
        (1, "hatch_ends", "egg hatch ends, 2nd"),
        (2, "hatch_begins", "egg hatch begins, 3rd"),
    ],
)
def test_the_timeline_of_the_broods(brood: int, level: str, words: str) -> None:
    """Intermountain Fruit (Utah, Colorado, Idaho extension), Pest monitoring timeline, degree days above 50 F."""
    low, high = from_biofix_c(words, "intermountain-timeline")
    assert low - 1.0 <= getattr(MOTH, f"{level}_dd")[brood] - MOTH.flight_dd[0] <= high + 1.0
