"""From where on something is told of a planting, or changed."""

import msgspec

from domain.tables.parameters import figures


class ReviewFigures(msgspec.Struct, frozen=True):
    """See parameters/reviews.csv, subject review."""

    prescribe_from: float
    least_told: float
    most_told: int
    well_served: float
    barely_served: float
    weak_years: float
    gap_days: int
    glut_share: float
    least_trees: int
    shared_share: float
    label_days: int
    most_fitting: int
    served_share: float
    near_best_share: float
    keeper_weeks: float
    fortnight_days: int
    shared_pressure: float
    shared_susceptibility: float
    resists_below: float
    most_signs_asked: int
    more_causes_asked: int


FIGURES = figures("reviews", "review", ReviewFigures)
