"""What sources tell of cultivars near a place: planted for sale, recommended, kept for generations, grown at all."""

from collections.abc import Iterable, Mapping
from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.tables.parameters import figures
from domain.tables.witnesses import Witness
from domain.traits.witnesses import Witnesses

ToldNearBy = Literal["planted_for_sale", "recommended", "traditional", "grown"]


class NearByFigures(msgspec.Struct, frozen=True):
    """How near is near by."""

    near_km: float
    heard_km: float
    heard_far_km: float
    heard_votes: float
    speaking_votes: float
    own_name_share: float


FIGURES = figures("traits", "told_near_by", NearByFigures)

_TOLD: dict[str, ToldNearBy] = {
    "commercial_main": "planted_for_sale",
    "commercial_minor": "planted_for_sale",
    "recommended": "recommended",
    "garden_recommended": "recommended",
    "traditional": "traditional",
}
"""What each kind of witness says, beside that the cultivar is grown there."""


def told_near_by(
    witnesses: Iterable[Witness], places: Witnesses, km: NDArray[np.float64]
) -> Mapping[str, frozenset[ToldNearBy]]:
    """Cultivar id -> what is told of it within `near_km`, of those of which anything is. km: (p,) of the places."""
    near = {place.place_id for place, far in zip(places.places, km.tolist(), strict=True) if far <= FIGURES.near_km}
    found: dict[str, set[ToldNearBy]] = {}
    for one in witnesses:
        if one.says == "does_well" and one.place_id in near:
            found.setdefault(one.cultivar_id, {"grown"}).add(_TOLD.get(one.kind, "grown"))
    return {cultivar_id: frozenset(told) for cultivar_id, told in found.items()}


def passed_over(witnesses: Witnesses, km: NDArray[np.float64], *, however_early: bool = False) -> NDArray[np.float64]:
    """How far those who speak of this part of the world pass each cultivar (c,) over: 0 where several name it, to 1.

    Witnesses count by their nearness alone, whatever their climate: where a cultivar is grown, nurseries have it. For
    an original each of its sports speaks in full; for a sport its family in part only, since nurseries have one of a
    family, not all. Where few speak, those of the wider part of the world are heard for the rest: what nobody there
    names is no more to be had. Who says that it fails takes back what another says for it, since being ill spoken of
    shall not put it before what nobody names. That none names it means little only where next to nobody speaks, as in
    mid-ocean, or nobody so late that he could know it: such a one may be as good as what is known. however_early: for
    what can be had: those who spoke too early are heard too, since what nobody had yet is not had more than what was
    left out, and what is spoken ill of is had no less. km: (p,) of the places; where it is not known how far they lie
    nothing is passed over.
    """
    near, speak_near = _passed_over_within(witnesses, km, FIGURES.heard_km, however_early)
    far, _ = _passed_over_within(witnesses, km, FIGURES.heard_far_km, however_early)
    return near + (1.0 - speak_near) * far


def _passed_over_within(
    witnesses: Witnesses, km: NDArray[np.float64], heard_km: float, however_early: bool
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """How far each cultivar (c,) is passed over by those within about a distance, and how far those speak, 0 to 1."""
    nearness = np.nan_to_num(np.exp(-np.square(km / heard_km)))
    votes, late, of_all = witnesses.does_well.met(nearness)
    if not however_early:
        votes = np.maximum(votes - witnesses.fails.met(nearness)[0], 0.0)
    family = np.zeros(int(witnesses.family.max(initial=-1)) + 1)
    np.maximum.at(family, witnesses.family, votes)
    voices = np.full_like(late, of_all) if however_early else late
    speaking = voices / (voices + FIGURES.speaking_votes)
    silent = np.exp(-family[witnesses.family] / FIGURES.heard_votes)
    own = FIGURES.own_name_share * witnesses.sport
    over: NDArray[np.float64] = speaking * ((1.0 - own) * silent + own * np.exp(-votes / FIGURES.heard_votes))
    return over, speaking
