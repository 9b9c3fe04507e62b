"""What growers complain of, and what may lie behind it, with the odds before anything is told of the tree."""

from typing import Literal

from domain.fruit.diseases import DISEASE_BY_ID
from domain.fruit.insects import INSECTS
from domain.fruit.reading import Grounds, table
from domain.tables.loading import TableError

Complaint = Literal[
    "no_bloom",
    "bloom_but_no_fruit",
    "fruit_drops_young",
    "crops_every_other_year",
    "small_fruit",
    "wormy",
    "spotted",
    "leaves_drop",
    "ailing_leaves",
    "dieback",
    "damaged_bark",
    "fruit_rots",
    "outgrew_its_place",
    "ripens_too_late",
    "not_the_cultivar_on_the_label",
]

PlainCause = Literal[
    "no_partner",
    "partner_blooms_apart",
    "sterile_or_same_pollen",
    "frost_took_the_bloom",
    "too_little_chill",
    "too_young",
    "old_age",
    "too_vigorous",
    "pruned_wrongly",
    "too_shaded",
    "biennial",
    "needs_thinning",
    "natural_drop",
    "drought",
    "wet_soil",
    "salt_spray",
    "nutrition",
    "herbicide",
    "transplant_shock",
    "hail",
    "animals",
    "rootstock_shoots",
    "mislabelled",
    "bees_weather",
    "winter_injury",
    "too_late_for_the_season",
    "planted_too_close",
    "stock_too_strong",
    "aphids",
    "borers",
    "leaf_eaters",
    "brown_rot",
    "core_rot",
    "leaf_blotch",
    "leaf_mottle",
    "crown_rot",
    "sunburn",
    "grass_over_roots",
    "planted_too_deep",
    "wounds",
    "autumn",
    "seedling",
    "picked_unripe",
]
"""Causes beside diseases and insects whose pressure is reckoned: disease:<disease> and insect:<insect>."""


class ComplaintCause(Grounds, frozen=True, kw_only=True):
    """One possible cause of a complaint; weight: its odds beside the others' of the same complaint."""

    complaint: Complaint
    cause: str
    weight: float


def _causes() -> dict[str, tuple[ComplaintCause, ...]]:
    found: dict[str, list[ComplaintCause]] = {}
    for row in table("complaint_causes", ComplaintCause):
        kind, _, what = row.cause.partition(":")
        if (kind == "disease" and what not in DISEASE_BY_ID) or (kind == "insect" and what not in INSECTS):
            raise TableError(f"complaint_causes.csv: {row.cause!r} is no {kind} of the tables")
        found.setdefault(row.complaint, []).append(row)
    return {complaint: tuple(rows) for complaint, rows in found.items()}


CAUSES_OF = _causes()
"""Complaint -> its possible causes."""
