"""What a call costs, in processor time of the whole process, as a ratio to a yardstick measured in the same run.

The yardsticks scale with the machine as the program does: ``numpy.sin`` over the hours of 200 seasons (plain arithmetic
on arrays), and the encoding of an answer (plain work on objects). ``numpy.exp`` does not: some processors do it many
times faster than others, by instructions that the rest of the program cannot use. Processor time is counted, not time
on the wall, so that a busy machine does not fail a check; the calls are taken in turn, so that a busy moment meets all.
"""

import time
from collections.abc import Callable
from statistics import median

import numpy as np

Call = Callable[[], object]

HOURS = np.random.default_rng(5).normal(6.0, 6.0, (365 * 24, 200))


def sine() -> object:
    """The yardstick of arithmetic: the sine of 1.75 million hours."""
    return np.sin(HOURS)


def cpu_seconds(*calls: Call, rounds: int = 7) -> list[float]:
    """Median processor seconds of each call, the calls taken in turn."""
    spent: list[list[float]] = [[] for _ in calls]
    for _ in range(rounds):
        for call, times in zip(calls, spent, strict=True):
            start = time.process_time()
            call()
            times.append(time.process_time() - start)
    return [median(times) for times in spent]


class Ratio(float):
    """The median of the ratios of several rounds, which prints with the quarters about it."""

    low: float
    high: float

    @classmethod
    def of(cls, rounds: list[float]) -> "Ratio":
        low, middle, high = np.quantile(rounds, [0.25, 0.5, 0.75]).tolist()
        made = cls(middle)
        made.low, made.high = low, high
        return made

    def __format__(self, format_spec: str) -> str:
        low, high = (format(end, format_spec) for end in (self.low, self.high))
        return f"{super().__format__(format_spec)} ({low} to {high})"


def ratio(call: Call, yardstick: Call, rounds: int = 7, times: int = 1) -> Ratio:
    """How many times the yardstick a call costs, round by round; a short yardstick is taken so many times at once."""

    def several() -> None:
        for _ in range(times):
            yardstick()

    found = []
    for _ in range(rounds):
        whole, base = cpu_seconds(call, several, rounds=1)
        found.append(whole * times / base)
    return Ratio.of(found)


def in_sines(call: Call, rounds: int = 7) -> Ratio:
    """How many sines of the hours of 200 seasons a call costs."""
    return ratio(call, sine, rounds)
