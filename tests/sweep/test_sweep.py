"""The sweep moves what it should, and leaves every figure as it was."""

import pytest

from domain.tables.parameters import READ, all_parameters
from tests.sweep.advice import Advice, Sites, change
from tests.sweep.moving import Move, moved, moves, read_all


@pytest.fixture(scope="module")
def sites() -> Sites:
    return Sites(("pin-gulf-coast",), trees=0)


def _move(figure_id: str, value: object) -> Move:
    read_all()
    (figure,) = [one for one in all_parameters() if one.id == figure_id]
    return Move(figure, value, known=False)


def test_a_figure_that_matters_moves_the_advice_and_is_restored(sites: Sites) -> None:
    move = _move("tree_year.bloom.reference_heat_gdh", 9000.0)
    figures = READ["tree_year", "bloom"]
    before = sites.advice("tree_year")
    with moved(move):
        found = change(before, sites.advice("tree_year"))
        assert figures.reference_heat_gdh == 9000.0  # type: ignore[attr-defined]  # READ holds any struct
    assert found.pairs > 0.0
    assert figures.reference_heat_gdh == float(move.figure.value)  # type: ignore[attr-defined]  # READ holds any struct
    assert sites.advice("tree_year") == before


def test_a_figure_is_restored_where_the_computation_fails() -> None:
    move = _move("pollination.pairs.effective_chance", 0.8)
    with pytest.raises(RuntimeError, match="on the way"), moved(move):
        raise RuntimeError("on the way")
    assert READ["pollination", "pairs"].effective_chance == 0.75  # type: ignore[attr-defined]  # READ holds any struct


def test_only_figures_with_a_range_are_moved_unless_asked() -> None:
    assert all(move.known for move in moves())
    assert {one.value for one in moves() if one.figure.id == "trees.tree_size.bush_width"} == {0.73, 1.0}
    assert len(moves(["pollination"], stretched=True)) > len(moves(["pollination"]))


def test_change_counts_pairs_verdicts_and_trees() -> None:
    one = Advice(("a", "b", "c"), {"a": "plant", "b": "plant", "c": "not_here"}, (("a", "m-9", "bush"),))
    other = Advice(("b", "a", "c"), {"a": "plant", "b": "plant", "c": "plant"}, (("b", "m-9", "bush"),))
    found = change([one], [other])
    assert (found.pairs, found.top, found.verdicts, found.trees) == pytest.approx((1 / 3, 0.0, 1 / 3, 1.0))
    assert change([one], [one]).size == 0.0
