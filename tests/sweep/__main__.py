"""Move each figure of the trade and print how far the advice at ten standard sites moves, the largest first.

``python -m tests.sweep`` sets each figure to its low and to its high. ``--stretched`` also moves those without low and
high by a fifth either way, marked ``+-20 %``: a comparison, not a statement of what is known. ``--room`` keeps to one
room, ``--sites`` to so many of the standard sites, ``--no-lists`` leaves planting lists out (half of the time), and
``--minutes`` bounds the run: what was not reached by then is counted at the end.
"""

import argparse
import sys
import time

from tests.sweep.advice import MOVES_ONLY_LISTS, NOT_ASKED, STANDARD, Change, Sites, change
from tests.sweep.moving import ORDER, Move, moved, moves


def sweep(sites: Sites, tried: list[Move], until_s: float) -> tuple[list[tuple[Move, Change | str]], int]:
    """The change that each move makes, or what fails with it; and how many were not reached in time."""
    before = sites.advice()
    found: list[tuple[Move, Change | str]] = []
    for n, move in enumerate(tried):
        if time.monotonic() > until_s:
            return found, len(tried) - n
        try:
            with moved(move):
                found.append((move, change(before, sites.advice(move.figure.room))))
        except (ValueError, ArithmeticError, LookupError) as fault:
            found.append((move, f"fails: {fault}"))
    return found, 0


def main() -> int:
    """Sweep and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    swept = [room for room in ORDER if room not in NOT_ASKED]
    parser.add_argument("--room", choices=swept)
    parser.add_argument("--sites", type=int, default=len(STANDARD))
    parser.add_argument("--stretched", action="store_true")
    parser.add_argument("--no-lists", action="store_true")
    parser.add_argument("--minutes", type=float, default=30.0)
    asked = parser.parse_args()
    tried = moves([asked.room] if asked.room else swept, asked.stretched)
    if asked.no_lists:
        tried = [move for move in tried if move.figure.room not in MOVES_ONLY_LISTS]
    until_s = time.monotonic() + 60.0 * asked.minutes
    sites = Sites(STANDARD[: asked.sites], trees=0 if asked.no_lists else 4)
    found, left = sweep(sites, tried, until_s)
    found.sort(key=lambda one: -one[1].size if isinstance(one[1], Change) else -2.0)
    print("pairs   top 25  verdicts trees   figure")
    for move, told in found:
        shares = told
        if isinstance(told, Change):
            shares = f"{told.pairs:6.2%}  {told.top:6.2%}  {told.verdicts:6.2%}  {told.trees:6.2%}"
        how = "" if move.known else "  +-20 %"
        now = move.figure.value
        print(f"{shares}  {move.figure.id}  {now} -> {_short(move.value)} {move.figure.unit}{how}")
    print(f"{len(found)} values tried at {asked.sites} sites; {left} not reached in {asked.minutes:g} minutes.")
    return 0


def _short(value: object) -> str:
    if isinstance(value, tuple):
        return ";".join(_short(one) for one in value)
    return f"{value:.4g}" if isinstance(value, float) else str(value)


if __name__ == "__main__":
    sys.exit(main())
