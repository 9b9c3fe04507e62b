"""The figures of disease and insect models are those of the rows of the rule table that they name.

These compare a figure with its own source and hold against a slip of the pen: no check from outside.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from domain.hazards import fire_blight, fruit_diseases, leaf_diseases, scab
from domain.hazards.codling_moth import BROODS, FIRST_FLIGHT_DD
from tests.published.test_insect_heat_sums import from_biofix_c

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
        needed = scab.mills_hours(np.array([(fahrenheit - 32.0) / 1.8]))[0]
        assert needed == pytest.approx(float(row["value"]), abs=0.01), row["rule"]
    assert value("apple scab", "61-75 F") == scab.mills_hours(np.array([20.0]))[0]
    assert value("apple scab", "conidial infection needs more") == scab.CONIDIA_MORE_H


def test_the_criteria_of_blossom_infection() -> None:
    """A maker's manual with the conditions of Steiner and Lightner, and the fire blight key of UMass, 2003 (in F)."""
    assert value("fire blight", "2: degree hours above 18.3 C needed") == fire_blight.DEGREE_HOURS_NEEDED
    assert value("fire blight", "2: window for the degree hours") == fire_blight.WINDOW_DEGREE_DAYS
    assert value("fire blight", "4: mean daily temperature") == fire_blight.LEAST_MEAN_C
    assert value("fire blight", "degree hours above 65 F") / 1.8 == pytest.approx(fire_blight.DEGREE_HOURS_NEEDED)
    assert value("fire blight", "blossom blight") / 1.8 == pytest.approx(fire_blight.WINDOW_DEGREE_DAYS, abs=0.5)


def test_the_wetness_that_rust_and_rots_need() -> None:
    """Aldwinckle et al. 1980, Arauz and Sutton 1989, Brown and Sutton 1995, abstracts."""
    assert leaf_diseases.RUST_H[0] == value("cedar-apple rust", "needed at 2 C")
    assert leaf_diseases.RUST_H[-1] == value("cedar-apple rust", "needed at 24 C")
    assert value("black rot", "light leaf infection model") == fruit_diseases.BLACK_ROT_LIGHT_H_C2
    light, severe = (value("black rot", f"{word} leaf infection at the optimum") for word in ("light", "severe"))
    assert severe / light == fruit_diseases.BLACK_ROT_SEVERE
    low, high = (float(part) for part in rules("sooty blotch and flyspeck", "begin protection")[0]["value"].split(".."))
    assert low <= fruit_diseases.SOOTY_THRESHOLD_H <= high


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
    assert low - 1.0 <= getattr(BROODS[brood], level) - FIRST_FLIGHT_DD <= high + 1.0
