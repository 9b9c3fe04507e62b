"""Bars along the year: where the year is cut, and what is drawn of a span that lies over the cut."""

from xml.etree import ElementTree

import pytest

from api.season_bars import Bar, Mark, season_bars


def spans(bars: list[Bar], stroke: str) -> list[tuple[float, float]]:
    """From where to where each bar of a colour stands, px."""
    root = ElementTree.fromstring(f"<g>{season_bars(bars)[0].drawn}</g>")
    found = [one.attrib for one in root.iter("rect") if one.get("stroke") == stroke]
    return [(float(one["x"]), float(one["x"]) + float(one["width"])) for one in found]


BLOOM, PICKING, KEEPS = "#8c2f55", "#7b430d", "#a67c45"


def test_a_frost_without_bars_is_no_season() -> None:
    (heading,) = season_bars([], [Mark("05-06", "last frost")])
    assert "Nothing blooms or ripens here" in heading.drawn
    (heading,) = season_bars([Bar("Anna")], [Mark("05-06", "last frost")])
    assert "Nothing blooms or ripens here" in heading.drawn


def test_the_year_is_not_cut_in_a_time_of_keeping() -> None:
    """Half a year in store is half of the width, after the picking and in one piece."""
    bars = [Bar("Granny Smith", ("04-25", "05-01", "05-08"), picking=("10-10", "10-22"), use_until="04-19")]
    (keeps,), (picking,), (bloom,) = (spans(bars, one) for one in (KEEPS, PICKING, BLOOM))
    assert keeps[0] == pytest.approx(picking[1], abs=0.1)
    assert keeps[1] - keeps[0] == pytest.approx((picking[1] - picking[0]) * 179 / 12, rel=0.01)
    assert picking[0] < keeps[1] < bloom[0] < bloom[1], "the year begins after the longest time without anything"


def test_a_span_over_the_cut_is_drawn_in_two() -> None:
    """Where something stands on every day of the year, the year is cut where the least does."""
    bars = [
        Bar("Early", picking=("07-01", "07-20"), use_until="01-31"),
        Bar("Late", picking=("10-01", "10-20"), use_until="07-30"),
    ]
    early, *late = sorted(spans(bars, KEEPS), key=lambda one: one[0] - one[1])
    assert early[1] > early[0] + 100
    total = sum(end - begin for begin, end in (early, *late))
    picking = spans(bars, PICKING)
    a_day = (picking[0][1] - picking[0][0]) / 19
    assert total == pytest.approx((195 + 283) * a_day, rel=0.02)
