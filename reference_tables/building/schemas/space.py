"""Tables of rootstocks, trained forms and the space they take."""

from reference_tables.building.schemas.common import (
    BASIS,
    HIGH,
    ID,
    LOCATOR,
    LOW,
    NOTE,
    OBSERVATIONS,
    SCHEME,
    SOURCE,
    SOURCES,
    TRAIT,
    UNIT,
)
from reference_tables.building.schemas.description import Column, Table

ROOTSTOCKS = Table(
    "observations/rootstocks",
    "Rootstocks, trained forms and spacing as published",
    (
        Column("rootstock_id", "the rootstock or trained form", "m-9", required=True, pattern=ID),
        Column("name", "its name", "M.9", required=True),
        TRAIT,
        Column("published", "the value as printed", "85-90"),
        LOW,
        HIGH,
        UNIT,
        SCHEME,
        SOURCE,
        LOCATOR,
        NOTE,
    ),
)
_STOCK = Column("rootstock_id", "the rootstock", "m-9", required=True, refers_to="observations/rootstocks.rootstock_id")
_FORM = Column("form_id", "the trained form", "bush", required=True, refers_to="space/tree_forms.form_id")
_RANGE = (
    Column("low", "lower end of the range", "2.5", "number", required=True),
    Column("high", "upper end of the range", "5", "number", required=True),
    Column("unit", "unit of the range", "m", required=True),
)

TREE_FORMS = Table(
    "space/tree_forms",
    "Trained forms",
    (
        Column("form_id", "stable id of the form", "bush", required=True, pattern=ID),
        Column("name", "its name", "bush", required=True),
        Column("arrangement", "how trees of this form stand", "free_standing", required=True,
               enum=("free_standing", "row", "fence", "pot")),
        Column("support", "what holds the tree", "stake_early_years", required=True,
               enum=("none", "stake", "stake_early_years", "permanent_stake", "wires")),
        Column("pruning_times", "seasons in which it is pruned", "winter;summer", enum=("winter", "summer", "none"),
               separator=";"),
        Column("bearing_habits", "fruiting habits that suit it", "spur;partial_tip", separator=";",
               enum=("spur", "partial_tip", "tip")),
        Column("columnar", "whether it is the growth of cultivars that make one column by their nature", "false",
               required=True, enum=("true", "false")),
        Column("judged_as_kept_m", "height as which a tree kept lower is judged; a low arm takes up growth along its "
               "wire (own judgement)", "0.8", "number", "m", required=True, minimum=0),
        Column("words", "the form in a sentence", "An open-centred free-standing tree.", required=True),
    ),
    ("form_id",),
)  # fmt: skip
TABLES: tuple[Table, ...] = (
    ROOTSTOCKS,
    TREE_FORMS,
    Table("space/tree_form_practice", "Sizes and work of trained forms in practice", (_FORM, TRAIT, *_RANGE, SOURCE),
          ("form_id", "trait"), (("low", "high"),)),
    Table("space/commonly_sold", "Rootstocks that nurseries commonly sell",
          (_STOCK, Column("where", "part of the world", "Europe", required=True), SOURCE)),
    Table(
        "space/rootstock_words",
        "What the words of each scheme mean on a scale from 0 (bad) to 1 (good)",
        (
            TRAIT,
            SCHEME,
            Column("published", "the word as printed", "fair", required=True),
            Column("score", "its place on the scale", "0.5", "number", required=True),
        ),
        ("trait", "scheme", "published"),
    ),
    Table(
        "space/set_backs",
        "Distances that a tree keeps from what must not be planted near",
        (
            Column("kind", "what the tree keeps away from", "house", required=True, pattern=r"[a-z_]+"),
            Column("rule", "fixed, a share of the tree's height, or fixed beyond half the crown",
                   "fixed", required=True, enum=("fixed", "share_of_height", "beyond_crown")),
            Column("distance_m", "the distance, or the share", "3.0", "number", "m", required=True, minimum=0),
            Column("from_height_m", "tree height from which it holds", "0", "number", "m", required=True, minimum=0),
            Column("crown_keeps_out", "whether the crown too stays outside", "yes", required=True, enum=("yes", "no")),
            Column(
                "of_roots",
                "whether it is for the sake of roots in the ground, which a tree in a pot has not",
                "yes",
                required=True,
                enum=("yes", "no"),
            ),
            SOURCE,
            LOCATOR,
            Column("code", "code of what the text says it is for, in words/en.csv", "set_back_house", required=True,
                   pattern=r"[a-z0-9_]+"),
            Column("caution", "code of the caution that goes with it", "ask_locally", pattern=r"[a-z_]+"),
        ),
        ("kind", "from_height_m"),
    ),
    Table(
        "adopted/rootstocks",
        "Adopted traits of rootstocks, computed from the observations",
        (
            _STOCK,
            Column("name", "its name", "M.9", required=True),
            TRAIT,
            Column("value", "the number or class adopted", "32.5", required=True),
            Column("deviation", "standard deviation of a number", "5", "number", minimum=0),
            Column("agreement", "share of the evidence that agrees on a class", "0.9", "number", minimum=0, maximum=1),
            UNIT,
            BASIS,
            OBSERVATIONS,
            SOURCES,
        ),
        ("rootstock_id", "trait"),
    ),
    Table("adopted/tree_forms", "Adopted sizes and work of trained forms",
          (_FORM, TRAIT, *_RANGE, BASIS, OBSERVATIONS, SOURCES), ("form_id", "trait"), (("low", "high"),)),
)  # fmt: skip
