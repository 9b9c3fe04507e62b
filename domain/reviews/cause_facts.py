"""What is known of a tree when causes of its complaints are weighed, and the figures by which it moves their odds."""

from collections.abc import Mapping

import msgspec

from domain.fruit.signs import Sign
from domain.tables.parameters import figures


class CauseFigures(msgspec.Struct, frozen=True):
    """How what is told moves the odds of a cause; see parameters/reviews.csv, subject causes."""

    unlisted: float
    site_floor: float
    site_slope: float
    much_more: float
    more: float
    less: float
    much_less: float
    full_sun_h: float
    least_sun_h: float
    old_years: float
    settled_years: float
    strong_vigour: float
    well_served: float
    biennial_middle: float
    usual_chance: float
    first_crop_earlier: float
    first_crop_later: float
    cropped_lately_years: float
    cropped_long_ago_years: float
    strong_stock_percent: float
    weak_stock_percent: float
    most_lost: float
    loss_slope: float
    deep_shade_h: float
    weather_floor: float
    least_frost: float
    least_winter_loss: float
    untold_stock_later: float
    colours_before_days: float
    colours_after_days: float


FIGURES = figures("reviews", "causes", CauseFigures)


class TreeFacts(msgspec.Struct, frozen=True):
    """What is known of a tree; None where nobody told. Shares are 0 to 1.

    crowded: whether neighbours are nearer than crowns want. outgrown: whether its crown is wider than its roots
    make one. stock_percent: size of its stock, of a seedling's. cropped_years_ago: years since its last crop.
    label_doubted: whether dates seen speak against its label. form_unfit: whether its form is cut back to spurs,
    and it bears on tips. on_tips: whether it bears on tips at all. mottles: whether its leaves mottle by nature.
    pits: whether its fruit is known to take bitter pit easily. crab: whether it is a crab apple.
    very_hot_days: days a year so hot that fruit burns. signs: what was seen. after_leaf_fall: days by which today is
    past the usual leaf fall. water: share of its water that a tree gets there from rain and soil alone, where anything
    of them was told.

    age: years since planting. bears_from, bears_by: years after planting by which trees of its stock first crop.
    bears_late: by which the slowest of stocks do, where its own is not told.
    pollinated: chance in a year. partner_trouble: why not, where it is not. lost: factor -> share of the crops that it
    takes here. diseases: disease -> pressure times susceptibility. insects: insect -> share of the fruit. vigour: 1 to
    5.
    """

    pollinated: float
    partner_trouble: str = "no_partner"
    age: float | None = None
    bears_from: float = 3.0
    bears_by: float = 6.0
    bears_late: float = 6.0
    pruning: str | None = None
    feeding: str | None = None
    sun_hours: float | None = None
    drainage: str | None = None
    texture: str | None = None
    ph: float | None = None
    irrigated: bool | None = None
    water: float | None = None
    salt_spray: bool | None = None
    vigour: float | None = None
    biennial: float | None = None
    lost: Mapping[str, float] = msgspec.field(default_factory=dict)
    diseases: Mapping[str, float] = msgspec.field(default_factory=dict)
    insects: Mapping[str, float] = msgspec.field(default_factory=dict)
    crowded: bool | None = None
    outgrown: bool | None = None
    stock_percent: float | None = None
    cropped_years_ago: float | None = None
    label_doubted: bool = False
    form_unfit: bool = False
    on_tips: bool = False
    mottles: bool = False
    pits: bool = False
    crab: bool = False
    very_hot_days: float = 0.0
    signs: tuple[Sign, ...] = ()
    after_leaf_fall: float | None = None
