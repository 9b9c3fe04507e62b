"""Tree sizes, crops and spacings against published trials and tables that the size model was not fitted to.

Trial: W. Autio et al., 2010 NC-140 Honeycrisp Apple Rootstock Trial, first five years, Journal of the American
Pomological Society, July 2017, Table 5 (height, spread and yield in the fifth year, ten sites). Its trunk areas enter
the sizes of the stocks; its heights and yields enter nothing, its mean ratio of spread to height the width of spindles.
"""

import math
from statistics import median

import pytest

from domain.ground.spacing import in_row_spacing_m, least_row_spacing_m
from domain.tables.rootstocks import rootstocks
from domain.tables.tree_forms import tree_forms
from domain.trees.tree_size import FIGURES, ScionGrowth, bearing_share, full_crop_kg, tree_size

HONEYCRISP = ScionGrowth(vigour=2.0)
"""Low vigour: University of Maine, Growing Fruit Trees in Maine."""

YEAR_5 = {
    "b-64-194": (3.16, 1.84, 10.7), "b-67-5-32": (3.11, 1.63, 7.9), "b-7-20-21": (2.96, 1.70, 11.8),
    "b-7-3-150": (3.11, 1.71, 11.7), "b-70-20-20": (3.66, 2.22, 12.0), "b-70-6-8": (3.00, 1.66, 11.0),
    "b-71-7-22": (1.49, 0.58, 1.6), "bud-10": (2.56, 1.43, 8.5), "bud-9": (2.16, 1.10, 5.8),
    "cg-2034": (2.49, 1.23, 6.2), "cg-4003": (2.47, 1.28, 8.7), "cg-4013": (2.84, 1.69, 7.9),
    "cg-4814": (2.80, 1.82, 13.0), "g-11": (2.67, 1.55, 10.5), "g-214": (2.99, 1.71, 10.3),
    "g-41": (2.72, 1.55, 9.25),
}  # fmt: skip
"""Height m, spread m, yield kg; G.41 is the mean of its two sources of plants."""


def test_heights_of_trial_trees_in_their_fifth_year() -> None:
    errors, covered = [], 0
    for stock, (height, _, _) in YEAR_5.items():
        told = tree_size(HONEYCRISP, rootstocks()[stock], tree_forms()["tall-spindle"], age_years=5).height_m
        errors.append(abs(math.log(told.likely / height)))
        covered += told.low <= height <= told.high
    assert median(errors) < 0.12
    assert max(errors) < 0.35
    assert covered >= 9  # of 16, where 60 % are expected between the 20th and the 80th percentile


def test_crops_of_trial_trees_from_their_measured_crowns() -> None:
    errors = []
    for stock, (height, spread, crop) in YEAR_5.items():
        first = FIGURES.led_up_crops_sooner * rootstocks()[stock].numbers["years_to_first_crop"].value
        told = full_crop_kg(height, spread) * bearing_share(5, first)
        errors.append(abs(math.log(told / crop)))
    assert median(errors) < 0.2
    assert max(errors) < 0.5


@pytest.mark.parametrize(
    ("stock", "form", "low", "high"),
    [
        ("m-27", "dwarf-bush", 0.9, 1.8),  # 0.9-1.2 m (J. Cushnie, BBC Northern Ireland 2008), 1.5 m (Kenilworth)
        ("m-26", "bush", 2.4, 3.7),  # 2.4 m (Kenilworth), 2.4-3.7 m (STAA Hungerhill)
        ("mm-106", "bush", 3.0, 4.6),  # 3-4 m (Gardeners' World 2017), 3.7-4.6 m (STAA Hungerhill)
        ("m-25", "standard", 4.0, 7.6),  # 4-5 m (Gardeners' World 2017), 6.1-7.6 m (STAA Hungerhill)
        ("seedling", "standard", 4.9, 6.0),  # 4.9-5.5 m, well pruned (Extension Foundation, summary on seedling)
        ("mm-111", "standard", 4.5, 6.0),  # 5-6 m (J. Cushnie, BBC Northern Ireland 2008)
    ],
)
def test_heights_of_garden_trees(stock: str, form: str, low: float, high: float) -> None:
    """These heights are among those that set the scale: a check of the arithmetic, not of foresight."""
    told = tree_size(ScionGrowth(vigour=3.0), rootstocks()[stock], tree_forms()[form])
    assert low <= told.height_m.likely <= high


def test_published_order_and_percent_of_seedling() -> None:
    """North Carolina Extension, Apple Rootstocks and Tree Spacing, Table 1; M. E. Garcia, University of Vermont."""
    size = {stock.id: 100 * stock.size for stock in rootstocks().values() if "size_percent" in stock.numbers}
    assert size["m-27"] < size["m-9"] < size["m-26"] < size["m-7"] < size["mm-111"] < size["seedling"]
    for stock, percent in (("m-26", 50), ("m-7", 70), ("mm-106", 80), ("mm-111", 85), ("mark", 50)):
        told = rootstocks()[stock].numbers["size_percent"]
        assert abs(told.value - percent) < 2.5 * told.spread
    assert size["mm-111"] == pytest.approx(82.5, abs=6)  # 80-85, Vermont


def test_spur_type_trees_are_smaller_by_the_published_ratio() -> None:
    """North Carolina Extension, Table 1: 80 for 100 on seedling, 70 for 80 on MM.106, 60 for 70 on M.7."""
    stock, form = rootstocks()["mm-106"], tree_forms()["untrained"]
    plain = tree_size(ScionGrowth(vigour=3.0), stock, form).height_m.likely
    spur = tree_size(ScionGrowth(vigour=3.0, spur=True), stock, form).height_m.likely
    assert 0.79 < spur / plain < 0.88


def test_spacing_formula_worked_example() -> None:
    """R. L. Perry et al., Michigan State University: Idared 2, M.26 2.5, sandy soil 1, drip 2, management 0; the sum
    is ours, 7.5 ft, since the printed total is cut off in the text read. Factors 0.7, 0.6 and 0.4 as printed.
    """
    codes = (2.0, 2.5, 1.0, 2.0, 0.0)
    assert in_row_spacing_m(codes) == pytest.approx(2.286)
    assert in_row_spacing_m(codes, "vertical_axis") == pytest.approx(1.600, abs=1e-3)
    assert in_row_spacing_m(codes, "slender_spindle") == pytest.approx(1.372, abs=1e-3)
    assert in_row_spacing_m(codes, "v_trellis") == pytest.approx(0.914, abs=1e-3)


@pytest.mark.parametrize(("bearing", "times"), [(0, 1.3), (180, 1.3), (90, 1.5), (270, 1.5), (30, 1.3)])
def test_row_width_by_height(bearing: float, times: float) -> None:
    """The same source: 1.3 times the height for rows north to south, 1.5 for rows east to west."""
    assert least_row_spacing_m(3.0, bearing) == pytest.approx(3.0 * times)


@pytest.mark.parametrize(
    ("stock", "form", "low", "high"),
    [
        ("m-27", "dwarf-bush", 3, 8),  # about 5 kg, Kenilworth Allotment Tenants Association
        ("mm-106", "bush", 25, 50),  # Appropedia, Fruit tree forms
        ("m-9", "dwarf-bush", 15, 25),  # Appropedia
        ("m-25", "standard", 60, 180),  # up to 180 kg, Gardeners' World 2017
    ],
)
def test_full_crops_of_garden_trees(stock: str, form: str, low: float, high: float) -> None:
    """The curve of crop by crown was fitted to these: a check of the arithmetic."""
    told = tree_size(ScionGrowth(vigour=3.0), rootstocks()[stock], tree_forms()[form])
    assert low <= told.yearly_crop_kg.likely <= high


def test_resistance_of_stocks_agrees_with_the_trials() -> None:
    """G. T. Browne and S. M. Mircetich, Phytopathology 83:744-749, 1993: MM.106 and Antonovka among the most
    susceptible to Phytophthora cactorum, M.9 and Mark among the most resistant.
    """
    rot = {name: rootstocks()[name].findings["crown_rot"].value for name in ("mm-106", "antonovka-313", "m-9", "mark")}
    assert rot["mm-106"] == "very_susceptible"
    assert "susceptible" in rot["antonovka-313"]
    assert rot["m-9"] == "resistant"
    assert rot["mark"] in {"resistant", "moderately_resistant"}
