"""Bars of cultivars where there is no winter: a row for each day on which their leaves are stripped by hand."""

from api.season_bars import Bar
from domain.suitability.factors import Verdict
from domain.suitability.without_winter import StrippedTree

UNLESS_STRIPPED = "not_here_unless_stripped"
"""The sentence of a cultivar that is refused only since no days of stripping were told."""


def stripped_bars(name: str, verdict: Verdict, stripped: StrippedTree | None) -> list[Bar]:
    """The cycles of a cultivar; none where it is refused even so, or where no day of stripping was told."""
    if stripped is None or verdict == "not_here":
        return []
    return [
        Bar(
            name,
            bloom=(cycle.bloom.from_day, None, cycle.bloom.to_day),
            picking=(cycle.picking.from_day, cycle.picking.to_day),
        )
        for cycle in stripped.cycles
    ]
