"""Ripening positions against documents left out, and against the order that every grower knows.

Sources: every dated list of reference_tables/observations/ripening.csv, each named by its source_id in sources.csv,
left out in turn by its address. The order of `KNOWN_ORDER` is common practice, no source.
"""

from collections import defaultdict

import numpy as np
import pytest

from domain.adoption import steps as adoption
from domain.adoption.ordered_classes import Floats
from domain.adoption.timing_report import (
    KNOWN_ORDER,
    RIPENING_LIST_ERROR,
    LeftOut,
    pooled_median,
    ripening_documents,
    small,
)
from domain.tables import loading as tables


@pytest.fixture(scope="module")
def left_out(evidence: adoption.Evidence) -> list[LeftOut]:
    return ripening_documents(evidence, tables.load().sources)


def test_dated_lists_left_out_are_foretold_within_six_days(left_out: list[LeftOut]) -> None:
    dated = [one for one in small(left_out) if one.by_day]
    assert len(dated) >= 20
    assert pooled_median(dated) <= 6.0
    assert pooled_median(dated) <= 0.6 * pooled_median(dated, constant=True)


SERVICES = frozenset({"extension", "collection", "handbook", "paper"})
"""Kinds of source that print normal picking dates: services, collections, handbooks and papers; no shop or press. Only
days and short windows are judged (`timing_report.LONGEST_WINDOW_DAYS`)."""
LEAST_NAMES_OF_A_COUNTRY = 5


@pytest.fixture(scope="module")
def by_country(left_out: list[LeftOut]) -> dict[str, list[LeftOut]]:
    """Country -> dated lists of its services, each foretold without its document."""
    sources = tables.load().sources
    found: defaultdict[str, list[LeftOut]] = defaultdict(list)
    for one in small(left_out):
        if one.by_day and one.country and sources[one.source_id].kind in SERVICES:
            found[one.country].append(one)
    return {
        name: lists
        for name, lists in found.items()
        if sum(len(one.cultivars) for one in lists) >= LEAST_NAMES_OF_A_COUNTRY
    }


def latest_ten(lists: list[LeftOut]) -> list[tuple[str, float, float]]:
    """(cultivar, foretold position, error) of the ten cultivars that ripen last; of several errors their middle."""
    told: defaultdict[str, list[tuple[float, float]]] = defaultdict(list)
    for one in lists:
        for cultivar_id, foretold, error in zip(one.cultivars, one.foretold, one.errors, strict=True):
            told[cultivar_id].append((float(foretold), float(error)))
    middle = [
        (cultivar_id, float(np.median([f for f, _ in several])), float(np.median([e for _, e in several])))
        for cultivar_id, several in told.items()
    ]
    return sorted(middle, key=lambda one: -one[1])[:10]


@pytest.fixture(scope="module")
def country_errors(by_country: dict[str, list[LeftOut]]) -> dict[str, Floats]:
    """Country -> errors of its services' dates, each list after its own shift; printed one by one."""
    errors = {name: np.concatenate([one.errors for one in lists]) for name, lists in by_country.items()}
    for name, found in sorted(errors.items()):
        lists, worst = len(by_country[name]), np.quantile(found, 0.9)
        print(f"{name}: {len(found)} names in {lists} lists, median {np.median(found):.1f} d, 90 % {worst:.0f} d")
    return errors


def test_services_of_three_countries_are_foretold_within_five_days(country_errors: dict[str, Floats]) -> None:
    held = {name: len(found) for name, found in country_errors.items() if np.median(found) <= 5.0}
    print(f"median error of five days and less: {held}")
    assert {"United States", "Germany", "Japan"} <= set(held)
    assert sum(held.values()) >= 100


@pytest.mark.xfail(strict=True, reason="three hold; Belgium 5.1 d, the United Kingdom 5.3, Poland and Russia 5.9")
def test_services_of_five_countries_are_foretold_within_five_days(country_errors: dict[str, Floats]) -> None:
    """Every country stands for itself: none is hidden by the names of another."""
    held = {name: len(found) for name, found in country_errors.items() if np.median(found) <= 5.0}
    assert len(held) >= 5
    assert sum(held.values()) >= 100


@pytest.mark.xfail(strict=True, reason="Poland and Russia 5.9 d, United Kingdom 5.3, Belgium 5.1")
def test_services_of_every_country_are_foretold_within_five_days(country_errors: dict[str, Floats]) -> None:
    """Why not: what is printed in thirds of a month misses by thirds (of eleven names that the north of England and the
    national collection in Kent both date so, five lie one or two thirds off after the shift), and names that stand in
    one or two other lists (Ariwa, Ecolette, Svatava) are foretold no better than those. New Zealand has one list of
    days left, of four names (8.9 d: there Braeburn and Fuji are picked four to five weeks after Gala, elsewhere seven);
    its industry prints months.
    """
    missed = {name: round(float(np.median(found)), 1) for name, found in country_errors.items()}
    assert {name: median for name, median in missed.items() if median > 5.0} == {}


def test_the_latest_ten_of_services_are_foretold_within_ten_days(by_country: dict[str, list[LeftOut]]) -> None:
    ten = latest_ten([one for lists in by_country.values() for one in lists])
    print("; ".join(f"{name} {foretold:+.0f} off {error:.1f} d" for name, foretold, error in ten))
    assert len(ten) == 10
    assert [name for name, _, error in ten if error > 10.0] == []


def test_order_of_dated_lists_of_nine_names_and_more_is_foretold(left_out: list[LeftOut]) -> None:
    correlations = [one.rank_correlation for one in small(left_out) if one.by_day and len(one.published) >= 9]
    assert len(correlations) >= 8
    assert np.median(correlations) >= 0.85


def test_collections_of_single_trees_are_foretold_better_than_by_a_constant(left_out: list[LeftOut]) -> None:
    noisy = [one for one in left_out if one.name.startswith("ca-ns-kentville")]
    assert len(noisy) == 2
    assert pooled_median(noisy) <= 0.8 * pooled_median(noisy, constant=True)
    assert all(one.rank_correlation >= 0.35 for one in noisy)


def test_spread_covers_about_two_in_three_errors(left_out: list[LeftOut]) -> None:
    lists = small(left_out)
    inside = np.concatenate([one.errors <= np.hypot(one.spread, RIPENING_LIST_ERROR) for one in lists])
    assert 0.6 <= np.mean(inside) <= 0.8


def test_the_first_the_middle_and_the_last_stand_in_the_order_growers_know(evidence: adoption.Evidence) -> None:
    adopted = evidence.ripening
    first, middle, last = ([adopted[name, "ripening_offset_days"].value for name in group] for group in KNOWN_ORDER)
    assert max(first) < min(middle) - 14
    assert max(middle) < min(last) - 7


def test_a_trap_of_plain_medians_is_passed(evidence: adoption.Evidence) -> None:
    """Days from Golden Delicious of the earliest and the latest in trade (common practice, no source)."""
    adopted = evidence.ripening
    assert adopted["golden-delicious", "ripening_offset_days"].value == 0.0
    for name, low, high in (
        ("lodi", -80, -50), ("gala", -32, -14), ("granny-smith", 12, 38), ("cripps-pink", 15, 45),
    ):  # fmt: skip
        assert low <= adopted[name, "ripening_offset_days"].value <= high, name


def test_minnewashta_and_delicious_are_one_cultivar_each(evidence: adoption.Evidence) -> None:
    assert evidence.resolve("Zestar!") == evidence.resolve("Minnewashta") == "minnewashta"
    assert evidence.resolve("Red Delicious") == evidence.resolve("Delicious") == "delicious"
    adopted = evidence.ripening
    assert adopted["minnewashta", "ripening_offset_days"].value < adopted["gala", "ripening_offset_days"].value
    assert adopted["delicious", "ripening_offset_days"].observations >= 5
