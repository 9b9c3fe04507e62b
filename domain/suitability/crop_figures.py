"""The figures of the factors of the crop."""

import msgspec

from domain.tables.parameters import figures


class CropFigures(msgspec.Struct, frozen=True):
    """See parameters/suitability.csv, subject crop_factors."""

    chill_slope_share: float
    chill_slope_portions: float
    least_need_portions: float
    ripening_slope_days: float
    picked_firm_days: float
    heat_slope_dd10: float
    never_ripe_short_by_dd10: float
    site_harvest_doubt_days: float
    least_frost_doubt_days: float
    later_days: float
    warm_season_days: float
    strongly_biennial: float
    crops_lost_biennial: float
    unknown_ripening_spread_days: float
    unknown_days_to_ripe: float
    unknown_heat_need_dd10: float


FIGURES = figures("suitability", "crop_factors", CropFigures)
