"""How a tree is held and what its stock and form ask, as codes with their values."""

from typing import Literal

from msgspec.structs import asdict

from domain.tables.words import Sentence, Value, say

TrainingCode = Literal[
    "as_near_as_can_be",
    "not_on_a_fence",
    "not_in_a_pot",
    "held_by_pruning",
    "summer_cuts_along_fence",
    "no_hard_heading",
    "renew_old_spurs",
    "columnar_needs_thinning",
    "bears_on_tips",
    "left_to_grow",
    "stock_stands_hazards",
    "stock_stands_in_part",
    "stock_not_for_replanting",
    "stock_suffers_in_wet_ground",
    "stock_not_known_hardy",
    "stock_takes_fire_blight",
    "stock_takes_woolly_aphid",
    "stock_wants_water",
    "stock_suffers_in_lime",
    "stock_suffers_in_heat",
    "stock_leans_in_wind",
    "stock_suffers_in_salt",
    "stock_union_breaks",
    "stock_union_unsure",
    "stock_wants_tested_wood",
    "stock_needs_rich_soil",
    "stock_stays_weak",
    "pot_and_water",
]


class Training(Sentence, frozen=True, kw_only=True):
    """How a tree is held, or what care its stock, form or pot asks."""

    code: TrainingCode


def train(code: TrainingCode, **values: Value) -> Training:
    """What is to be done, in words. Raises as `say` does."""
    return Training(**asdict(say(code, **values)))
