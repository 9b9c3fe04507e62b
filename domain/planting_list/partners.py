"""A pollen source of a tree as a list tells it: a pair of cultivars, and what its distance leaves of it."""

from domain.planting_list.list_answer import PollinationPartner, Stands
from domain.pollination.pair_reasons import reason
from domain.pollination.pairs import FIGURES as PAIRS
from domain.pollination.pairs import distance_share
from domain.pollination.pairs_in_words import PollinationPair


def partner(pair: PollinationPair, stands: Stands, distance_m: float | None) -> PollinationPartner:
    """A source as the list tells it: a pair, and what its distance leaves of it."""
    probability, verdict, reasons = pair.probability, pair.verdict, pair.reasons
    if distance_m is not None and probability is not None:
        share = distance_share(distance_m)
        probability = round(probability * share, 2)
        if verdict == "effective" and probability < PAIRS.effective_chance:
            verdict = "partial"
        if verdict == "partial" and probability < PAIRS.ineffective_chance:
            verdict = "ineffective"
        if share < 1.0:
            near = share >= PAIRS.effective_chance
            reasons = (*reasons, reason("near_enough" if near else "far_for_bees", distance_m=distance_m))
    return PollinationPartner(
        cultivar=pair.pollen_from,
        id=pair.pollen_from_id,
        stands=stands,
        distance_m=distance_m,
        overlap_days=pair.overlap_days,
        compatibility=pair.compatibility,
        pollen=pair.pollen,
        verdict=verdict,
        probability=probability,
        reasons=reasons,
    )
