"""The map of a country: its cells, the figures that compare it with the harvest, and the picture."""

import json
from xml.etree import ElementTree

import numpy as np
import pytest
from scipy import stats

from domain.many_sites.site_numbers import Asked, site_numbers
from domain.site_climate.site import Site
from domain.suitability.verdicts import BEST_FIRST
from domain.traits.catalogue import Catalogue
from domain.weather.climatology import place_climate
from examples.orchard_map import CULTIVARS, WARMER_C
from examples.orchard_map.agreement import GROWS_APPLES_T, agreement, rank_correlation, told_apart
from examples.orchard_map.cells import HERE, Cell, cell_of, cells, harvest_t, names
from examples.orchard_map.picture import COLOURS, EAST, NORTH, SOUTH, WEST, picture

SVG = "{http://www.w3.org/2000/svg}"


def test_every_prefecture_has_cells_and_every_cell_a_climate() -> None:
    made = cells()
    assert {cell.prefecture for cell in made} == set(names())
    assert len(names()) == 47
    assert len({cell.mark for cell in made}) == len(made) > 140
    assert [cell_of(cell.mark) for cell in made] == made
    for cell in made:
        assert place_climate(cell.latitude, cell.longitude).tmean_c.max() > 10.0


def test_the_harvest_adds_up_to_what_is_published() -> None:
    """763,300 t in all (Crop Statistics 2020), rounded to hundreds; three prefectures are withheld."""
    harvest = harvest_t()
    assert sum(harvest.values()) == pytest.approx(763_300, abs=50)
    assert len(harvest) == 44
    assert sum(tonnes >= GROWS_APPLES_T for tonnes in harvest.values()) == 14


@pytest.mark.parametrize("seed", range(5))
def test_the_figures_are_those_of_statistics(seed: int) -> None:
    """Spearman's rank correlation and the statistic of Mann and Whitney, as scipy computes them, with ties."""
    draw = np.random.default_rng(seed)
    a, b = draw.integers(0, 8, 40).astype(float), draw.normal(size=40)
    assert rank_correlation(a, b) == pytest.approx(stats.spearmanr(a, b).statistic)
    ours = told_apart(a[:15], a[15:])
    assert ours == pytest.approx(stats.mannwhitneyu(a[:15], a[15:]).statistic / (15 * 25))


def test_a_map_that_knows_the_harvest_agrees_wholly_and_its_opposite_not_at_all() -> None:
    harvest = harvest_t()
    grows = {p: harvest.get(p, 0.0) >= GROWS_APPLES_T for p in names()}
    right = {(c, "Fuji"): "plant" if grows[c.prefecture] else "not_here" for c in cells()}
    wrong = {key: "plant" if verdict == "not_here" else "not_here" for key, verdict in right.items()}
    assert agreement(right).told_apart == 1.0
    assert agreement(wrong).told_apart == 0.0
    assert agreement(right).harvest_on_good_land > 0.99
    assert agreement(right).rank_correlation > 0.7 > -0.7 > agreement(wrong).rank_correlation


def test_the_picture_shows_every_cell_of_every_cultivar_once_in_each_climate() -> None:
    shown = [Cell("JP-20", 36.25, 138.25), Cell("JP-02", 40.75, 140.75), Cell("JP-47", 26.75, 128.25)]
    now = {(cell, name): "plant" for cell in shown for name in CULTIVARS}
    warmer = dict.fromkeys(now, "not_here")
    drawn = ElementTree.fromstring(picture(now, warmer, {"program": "1.0", "tables": "2.0"}))
    inside = sum(WEST < cell.longitude < EAST and SOUTH < cell.latitude < NORTH for cell in shown)
    for verdict, count in (("plant", inside), ("not_here", inside), ("worth_trying", 0)):
        paths = [path for path in drawn.iter(f"{SVG}path") if path.get("fill") == COLOURS[verdict]]
        assert sum(path.get("d", "").count("M") for path in paths) == count * len(CULTIVARS)
    texts = [text.text or "" for text in drawn.iter(f"{SVG}text")]
    for name in CULTIVARS:
        assert f"{name}, now" in texts
        assert f"{name}, 2 C warmer" in texts


ONE_OF_NINE = [cell.mark for cell in cells()][::9]
"""Of all parts of the country: three cells stood still once while 45 others moved."""


@pytest.mark.parametrize("mark", ONE_OF_NINE)
def test_the_map_that_is_kept_is_what_the_tables_say_now(mark: str, catalogue: Catalogue) -> None:
    """Where this fails after a change that is meant: the three commands of the package make the map anew (minutes)."""
    kept = json.loads((HERE / "cells.geojson").read_text(encoding="utf-8"))["features"]
    (told,) = (feature["properties"] for feature in kept if feature["id"] == mark)
    ids = [catalogue.tables.names.resolve(name) or "" for name in CULTIVARS]
    traits = catalogue.choose([catalogue.tables.by_id[one] for one in ids])
    cell = cell_of(mark)
    site = Site(latitude=cell.latitude, longitude=cell.longitude)
    climates = site_numbers(site, catalogue, Asked(traits, (0.0, WARMER_C)))
    for when, numbers in zip(("now", "2_c_warmer"), climates, strict=True):
        verdicts = [BEST_FIRST[place] for place in numbers.judged.verdict]
        assert [told[name][when][0] for name in CULTIVARS] == verdicts
