"""The columns say of every cultivar what the answer says, whatever the weights and the spraying."""

from collections.abc import Mapping

import numpy as np
import pytest

from domain.common.season_days import calendar
from domain.site_climate.site import Site
from domain.suitability.assess import assess
from domain.suitability.columns import LIMITING, NOTHING, judged_columns
from domain.suitability.suitability_request import Weights
from domain.suitability.verdicts import BEST_FIRST
from domain.traits.catalogue import Catalogue
from tests import shared

OTHER = Weights(crop=1.0, sound_fruit=5.0, quality=0.0, tree_survival=3.0, proven_in_like_climates=0.5)
STRIPPED = shared.site(latitude=-0.3, longitude=36.1, elevation_m=1900, leaf_stripping=["03-15"])


@pytest.mark.parametrize(("weights", "no_spray"), [(None, True), (OTHER, False), (OTHER, True)])
@pytest.mark.parametrize("name", [*shared.STANDARD_SITES, "stripped"])
def test_each_column_is_as_answered(
    name: str, weights: Weights | None, no_spray: bool, catalogue: Catalogue, standard_sites: Mapping[str, Site]
) -> None:
    conditions = shared.conditions(STRIPPED if name == "stripped" else standard_sites[name])
    columns = judged_columns(conditions, catalogue.advised, weights, no_spray=no_spray)
    answered = {one.id: one for one in assess(conditions, catalogue.advised, weights, no_spray=no_spray)}
    days = calendar(columns.south)
    for row, cultivar in enumerate(columns.cultivars):
        one = answered[cultivar.id]
        years = one.cropping_years_in_ten
        assert BEST_FIRST[columns.verdict[row]] == one.verdict
        expected = (NOTHING,) * 3 if years is None else (years.likely, years.low, years.high)
        assert (columns.likely[row], columns.low[row], columns.high[row]) == expected
        limiting = int(columns.limiting[row])
        assert (None if limiting == NOTHING else LIMITING[limiting]) == one.limiting
        rank = float(columns.rank_value[row])
        assert (None if np.isnan(rank) else rank) == one.rank_value
        for day, window in ((columns.bloom_full[row], one.bloom), (columns.harvest_first[row], one.harvest)):
            told = None if window is None else window.full if hasattr(window, "full") else window.first
            assert (None if day == NOTHING else days[day]) == told
