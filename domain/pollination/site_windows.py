"""When some cultivars bloom at one site, for their pollination pairs."""

from collections.abc import Sequence

import numpy as np

from domain.cultivars import Cultivar
from domain.pollination.bloom_overlap import BloomWindows
from domain.suitability.advice import Catalogue
from domain.suitability.site_conditions import SiteConditions
from domain.suitability.site_fit import site_fit


def site_windows(catalogue: Catalogue, conditions: SiteConditions, cultivars: Sequence[Cultivar]) -> BloomWindows:
    """Bloom of these cultivars in every year of the site; unknown where no position in bloom was adopted."""
    bloom = site_fit(conditions, catalogue.choose(list(cultivars)))
    known = np.array(["bloom_offset_days" in cultivar.numbers for cultivar in cultivars], dtype=np.bool_)[:, None]
    first, full, end = (
        np.where(known, days, np.float32(np.nan)) for days in (bloom.bloom.first, bloom.bloom.full, bloom.bloom.end)
    )
    return BloomWindows(first, full, end, bloom.bloom_spread_days, at_site=True)
