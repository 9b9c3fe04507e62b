"""An answer of lists without the parts that its caller does not show: their arrays are left empty, no field is lost."""

from collections.abc import Collection

from msgspec.structs import replace

from domain.planting_list.list_answer import PlantingList, PlantingLists
from domain.planting_list.list_request import Part

_NOT_IN_STOCK = ("available_leaves_out", "available_leaves_out_more")


def without(answer: PlantingLists, parts: Collection[Part]) -> PlantingLists:
    """The answer with the arrays of some parts empty, wherever they stand in it."""
    if not parts:
        return answer
    return replace(
        answer,
        planting_lists=tuple(_list_without(one, parts) for one in answer.planting_lists),
        advised_against=() if "advised_against" in parts else answer.advised_against,
        worth_finding_out=() if "worth_finding_out" in parts else answer.worth_finding_out,
        to_mind=() if "to_mind" in parts else answer.to_mind,
        limits=tuple(one for one in answer.limits if "not_in_stock" not in parts or one.code not in _NOT_IN_STOCK),
    )


def _list_without(one: PlantingList, parts: Collection[Part]) -> PlantingList:
    return replace(
        one,
        trees=tuple(
            replace(
                tree,
                pollination_partners=() if "pollination_partners" in parts else tree.pollination_partners,
                training=() if "training" in parts else tree.training,
            )
            for tree in one.trees
        ),
        established=() if "established" in parts else one.established,
        to_mind=() if "to_mind" in parts else one.to_mind,
    )
