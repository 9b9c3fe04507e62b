"""Signs that a grower may see of a tree and its year, and which causes of complaints each of them speaks for."""

from functools import cache
from typing import Literal, get_args

import msgspec

from domain.fruit.complaints import CAUSES_OF, Complaint
from domain.fruit.reading import Grounds, table
from domain.tables.loading import TableError

Sign = Literal[
    "olive_or_black_spots",
    "corky_scabs",
    "orange_spots",
    "white_powder",
    "tan_spots_with_purple_rim",
    "yellow_leaves_with_green_flecks",
    "curled_leaves",
    "sticky_leaves",
    "ants_on_the_trunk",
    "strap_shaped_leaves",
    "brown_leaf_edges",
    "yellow_between_veins",
    "eaten_leaves",
    "smudges_that_rub_off",
    "rot_in_rings",
    "rot_where_fruits_touch",
    "rot_at_the_core",
    "brown_flecks_in_flesh",
    "spots_came_in_store",
    "patches_on_the_sunny_side",
    "dents_on_one_side",
    "crescent_scars",
    "misshapen_fruit",
    "holes_in_fruit",
    "ribbon_scar",
    "tunnel_to_the_core",
    "winding_trails_in_flesh",
    "fruit_in_clusters",
    "hooked_black_shoots",
    "amber_ooze",
    "sunken_bark",
    "split_bark",
    "gnawed_bark",
    "holes_in_trunk",
    "white_wool",
    "dark_bark_at_the_ground",
    "late_tufted_leaves",
    "buds_that_never_opened",
    "brown_flower_centres",
    "frost_in_bloom",
    "cold_wet_bloom",
    "heavy_crop_last_year",
    "long_upright_shoots",
    "hardly_any_growth",
    "grass_to_the_trunk",
    "no_flare_at_the_ground",
    "dry_summer",
    "weed_killer_near",
    "struck_by_tools",
    "shoots_below_graft",
    "grown_from_pip",
    "withered_shoots",
    "no_leaves_in_spring",
    "spots_on_leaves",
    "spots_on_fruit",
    "yellow_leaves",
    "never_bloomed",
    "small_leaves",
    "one_limb_only",
    "withered_blossom",
    "rot_at_the_eye",
    "bark_hurt_on_the_sunny_side",
    "flaking_bark",
    "holes_in_even_rows",
    "brackets_on_the_trunk",
]

Speaks = Literal["mark", "hint"]
"""A mark is what its cause leaves and others hardly do; a hint makes a cause likelier and speaks against no other."""


Part = Literal["leaf", "fruit", "wood", "flower", "tree"]
"""What of a tree a sign is seen on; tree: the whole of it, or its year."""


class SignOfCause(Grounds, frozen=True, kw_only=True):
    """A sign and a cause that it speaks for."""

    sign: Sign
    cause: str
    part: Part
    speaks: Speaks


class SignTold(msgspec.Struct, frozen=True):
    """What one sign says. part: what it is seen on. causes: cause -> how it speaks for it."""

    part: Part
    causes: dict[str, Speaks]


PARTS_OF: dict[Complaint, frozenset[Part]] = {
    "no_bloom": frozenset({"flower", "wood", "tree"}),
    "bloom_but_no_fruit": frozenset({"flower", "tree"}),
    "fruit_drops_young": frozenset({"fruit", "flower", "tree"}),
    "crops_every_other_year": frozenset({"fruit", "flower", "tree"}),
    "small_fruit": frozenset({"fruit", "leaf", "wood", "tree"}),
    "wormy": frozenset({"fruit", "leaf"}),
    "spotted": frozenset({"fruit", "leaf", "tree"}),
    "leaves_drop": frozenset({"leaf", "wood", "tree"}),
    "ailing_leaves": frozenset({"leaf", "wood", "tree"}),
    "dieback": frozenset({"leaf", "flower", "wood", "tree"}),
    "damaged_bark": frozenset({"wood", "leaf", "tree"}),
    "fruit_rots": frozenset({"fruit", "tree"}),
    "outgrew_its_place": frozenset({"tree"}),
    "ripens_too_late": frozenset({"fruit", "tree"}),
    "not_the_cultivar_on_the_label": frozenset({"fruit", "tree"}),
}
"""Parts of the tree whose signs say anything of a complaint: pits in the flesh tell nothing of a tree without bloom."""


def _signs() -> dict[Sign, SignTold]:
    known = {row.cause for rows in CAUSES_OF.values() for row in rows}
    found: dict[Sign, SignTold] = {}
    for row in table("signs", SignOfCause):
        if row.cause not in known:
            raise TableError(f"signs.csv: {row.cause!r} is the cause of no complaint")
        told = found.setdefault(row.sign, SignTold(row.part, {}))
        if told.part != row.part:
            raise TableError(f"signs.csv: {row.sign!r} is seen on two parts")
        told.causes[row.cause] = row.speaks
    if missing := set(get_args(Sign)) - found.keys():
        raise TableError(f"signs.csv: no row of {sorted(missing)}")
    return found


SIGNS = _signs()
"""Sign -> what it says."""


def _how_it_speaks(sign: Sign, complaint: Complaint) -> frozenset[Speaks]:
    """How a sign speaks for causes that may lie behind a complaint; empty where it says nothing of any."""
    told = SIGNS[sign]
    if told.part not in PARTS_OF[complaint]:
        return frozenset()
    return frozenset(told.causes[row.cause] for row in CAUSES_OF[complaint] if row.cause in told.causes)


_SPEAKS = {(sign, complaint): _how_it_speaks(sign, complaint) for sign in SIGNS for complaint in PARTS_OF}


def speaks_of(sign: Sign, complaint: Complaint) -> bool:
    """Whether a sign says anything of what may lie behind a complaint."""
    return bool(_SPEAKS[sign, complaint])


def speaks_against_others(sign: Sign, complaint: Complaint) -> bool:
    """Whether a sign is the mark of something that may lie behind a complaint: the rest of it is then less likely.

    The mark of what never brings that complaint says nothing against what does.
    """
    return "mark" in _SPEAKS[sign, complaint]


@cache
def marks_of(cause: str, complaint: Complaint) -> tuple[Sign, ...]:
    """The signs that are marks of a cause, where that may lie behind a complaint."""
    parts = PARTS_OF[complaint]
    return tuple(sign for sign, told in SIGNS.items() if told.causes.get(cause) == "mark" and told.part in parts)
