"""Cultivars that are to hold now and in a warmer climate: of the two judgements the worse one counts."""

import msgspec

from domain.common.assumptions import Assumption
from domain.suitability.factors import Verdict
from domain.suitability.order import in_order
from domain.suitability.suitability_answer import IfWarmer, Suitability
from domain.suitability.verdicts import BEST_FIRST
from domain.tables.words import assume


def assumed_warmer(by_c: float) -> Assumption:
    """What such an answer takes for granted."""
    return assume("warmer_by_c", "judged_warmer_too", by_c, warmer_by_c=by_c)


def worse_verdict(one: Verdict, other: Verdict) -> Verdict:
    """The worse of two verdicts; nothing is worse than not to know."""
    return "not_known" if "not_known" in {one, other} else max(one, other, key=BEST_FIRST.index)


def holding(now: tuple[Suitability, ...], then: tuple[Suitability, ...], by_c: float) -> tuple[Suitability, ...]:
    """The judgements of today with the rank, the verdict and its words of the worse of the two, ranked anew.

    then: of the same cultivars in the warmer climate, in any order.
    """
    warm = {judged.id: judged for judged in then}
    held = [_worse(judged, warm[judged.id], by_c) for judged in now]
    return in_order(held)


def _worse(now: Suitability, then: Suitability, by_c: float) -> Suitability:
    worse = then if (then.rank_value or 0.0) < (now.rank_value or 0.0) else now
    verdict = worse_verdict(now.verdict, then.verdict)
    if worse.verdict != verdict:
        worse = now if now.verdict == verdict else then
    ranks = [judged.rank_value for judged in (now, then) if judged.rank_value is not None]
    return msgspec.structs.replace(
        now,
        verdict=verdict,
        code=worse.code,
        values=worse.values,
        words=worse.words,
        limiting=worse.limiting,
        rank_value=min(ranks) if len(ranks) == 2 else None,
        if_warmer=IfWarmer(
            warmer_by_c=by_c,
            verdict=then.verdict,
            code=then.code,
            values=then.values,
            words=then.words,
            rank_value=then.rank_value,
            cropping_years_in_ten=then.cropping_years_in_ten,
            limiting=then.limiting,
            bloom=then.bloom,
            harvest=then.harvest,
        ),
    )
