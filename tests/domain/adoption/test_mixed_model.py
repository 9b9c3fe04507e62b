"""The mixed model recovers what simulated lists were made of, and does not let small or gross ones mislead it."""

import numpy as np

from domain.adoption.mixed_model import Expectations, Fit, Readings, Series, rescaled
from domain.adoption.mixed_model_fit import fit
from domain.adoption.timing_lists import sports_prior

EXPECTED = Expectations(
    spread=10.0,
    residual={"dates": 4.0, "class": 6.0},
    shift_sd={"dates": 10.0, "class": 1.0},
    coefficient_mean=(100.0,),
    coefficient_sd=(10.0,),
)
CULTIVARS = 120


def readings(cultivar: list[int], series: list[int], value: list[float], censored: list[int] | None = None) -> Readings:
    n = len(value)
    return Readings(
        cultivar=np.array(cultivar, dtype=np.int64),
        series=np.array(series, dtype=np.int64),
        value=np.array(value, dtype=np.float64),
        extra_variance=np.zeros(n),
        share=np.ones(n),
        censored=np.array(censored or [0] * n, dtype=np.int64),
    )


def dates(*names: str) -> tuple[Series, ...]:
    return tuple(Series(name, "dates", name, (1.0,)) for name in names)


def simulated(gross: int = 0) -> tuple[np.ndarray, Readings, tuple[Series, ...]]:
    """Four lists of slopes 1, 1, 0.8 and 1.2, errors of 2, 2, 6 and 2 days; `gross` errors of 60 days in the first."""
    rng = np.random.default_rng(3)
    true = rng.normal(0.0, 10.0, CULTIVARS)
    rows: tuple[list[int], list[int], list[float]] = ([], [], [])
    for j, (shift, slope, error) in enumerate([(100, 1.0, 2), (110, 1.0, 2), (95, 0.8, 6), (105, 1.2, 2)]):
        for i in np.flatnonzero(rng.random(CULTIVARS) < 0.7):
            rows[0].append(int(i))
            rows[1].append(j)
            rows[2].append(float(shift + slope * true[i] + rng.normal(0.0, error)))
    for k in range(gross):
        rows[2][7 * k] += 60.0
    return true, readings(*rows), dates("a", "b", "c", "d")


def correlation(result: Fit, true: np.ndarray, known: np.ndarray) -> float:
    return float(np.corrcoef(result.position[known], true[known])[0, 1])


def test_positions_slopes_and_errors_are_recovered() -> None:
    true, data, series = simulated()
    result = fit(data, series, EXPECTED, CULTIVARS)
    known = np.bincount(data.cultivar, minlength=CULTIVARS) > 0
    assert correlation(result, true, known) > 0.98
    assert result.slope[2] < result.slope[0] < result.slope[3]
    assert np.argmax(result.residual) == 2


def test_standard_deviations_are_honest() -> None:
    true, data, series = simulated()
    result = fit(data, series, EXPECTED, CULTIVARS)
    known = np.bincount(data.cultivar, minlength=CULTIVARS) > 0
    slope, origin = np.polyfit(true[known], result.position[known], 1)
    error = np.abs(result.position[known] - origin - slope * true[known]) / np.sqrt(result.variance[known])
    assert 0.55 <= np.mean(error <= 1.0) <= 0.85


def test_gross_errors_lose_their_weight() -> None:
    true, data, series = simulated(gross=6)
    result = fit(data, series, EXPECTED, CULTIVARS)
    known = np.bincount(data.cultivar, minlength=CULTIVARS) > 2
    assert correlation(result, true, known) > 0.97


def test_a_list_of_two_names_does_not_float_free() -> None:
    """Two late names alone in a list: their dates count as late, since the place foretells the shift."""
    _, data, series = simulated()
    both = readings(
        [*data.cultivar.tolist(), CULTIVARS, CULTIVARS + 1],
        [*data.series.tolist(), 4, 4],
        [*data.value.tolist(), 130.0, 131.0],
    )
    result = fit(both, (*series, *dates("e")), EXPECTED, CULTIVARS + 2)
    assert np.all(result.position[-2:] > 6.0)


def test_censored_values_are_bounds() -> None:
    """A cultivar known late elsewhere is not pulled back by a list that was cut off before it ripened."""
    _, data, series = simulated()
    end = 108.0
    cut = np.minimum(data.value, np.where(data.series == 0, end, np.inf))
    marks = ((data.series == 0) & (cut == end)).astype(int).tolist()
    arguments = (data.cultivar.tolist(), data.series.tolist(), cut.tolist())
    bounded = fit(readings(*arguments, marks), series, EXPECTED, CULTIVARS)
    taken = fit(readings(*arguments), series, EXPECTED, CULTIVARS)
    whole = fit(data, series, EXPECTED, CULTIVARS)
    late = np.unique(data.cultivar[np.array(marks) == 1])

    def foretold(result: Fit) -> np.ndarray:
        return np.asarray(result.shift[0] + result.slope[0] * result.position[late])

    bias = [float(np.mean(foretold(result) - foretold(whole))) for result in (bounded, taken)]
    assert abs(bias[0]) < 0.5 * abs(bias[1])


def test_classes_tell_order_with_thresholds_of_their_own() -> None:
    true, data, series = simulated()
    fresh = 60
    rng = np.random.default_rng(4)
    hidden = rng.normal(0.0, 10.0, fresh)
    everything = np.concatenate([true, hidden])
    level = np.digitize(everything + rng.normal(0.0, 3.0, len(everything)), [-8.0, 2.0]).tolist()
    both = readings(
        [*data.cultivar.tolist(), *range(CULTIVARS + fresh)],
        [*data.series.tolist(), *[4] * (CULTIVARS + fresh)],
        [*data.value.tolist(), *level],
    )
    scheme = Series("classes", "class", "classes", (0.0,), levels=3)
    result = fit(both, (*series, scheme), EXPECTED, CULTIVARS + fresh)
    only_classed = np.arange(CULTIVARS + fresh) >= CULTIVARS
    assert correlation(result, everything, only_classed) > 0.8
    assert result.thresholds[4][0] < result.thresholds[4][1]
    assert abs(result.thresholds[4][1] - result.thresholds[4][0] - 10.0) < 4.0


def test_rescaling_leaves_predictions_as_they_are() -> None:
    _, data, series = simulated()
    result = fit(data, series, EXPECTED, CULTIVARS)
    other = rescaled(result, 1.7, 3.0)
    for one in (result, other):
        assert one.position.shape == (CULTIVARS,)
    before = result.shift[data.series] + result.slope[data.series] * result.position[data.cultivar]
    after = other.shift[data.series] + other.slope[data.series] * other.position[data.cultivar]
    np.testing.assert_allclose(before, after)


def test_a_sport_keeps_to_its_tree_unless_it_is_known_to_be_early() -> None:
    """A loose value 20 days late says little of a sport of colour; a good one 40 days early is a sport of its own."""
    names = ("tree", "red", "early", "unread", "other")
    none = np.zeros(len(names))
    first = Fit(
        position=np.array([-25.0, -8.0, -60.0, 0.0, 10.0]),
        variance=np.array([4.0, 100.0, 16.0, 400.0, 4.0]),
        shift=none, slope=none, residual=none, spread=20.0,
    )  # fmt: skip
    of_tree = {"red": "tree", "early": "tree", "unread": "tree", "other": "a tree that no list names"}
    mean, share = sports_prior(names, first, of_tree, deviation=4.0, share=0.8)
    assert mean.tolist() == [0.0, -25.0, 0.0, 0.0, 0.0]
    assert share.tolist() == [1.0, (16.0 + 4.0) / 400.0, 1.0, 1.0, 1.0]
