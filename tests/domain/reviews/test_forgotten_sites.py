"""What is kept with a site goes with it at once: nothing kept holds the site, or it would outlive its memory."""

import gc
import weakref
from dataclasses import replace

import msgspec

from domain.common.kept import Kept
from domain.reviews.review_request import PlantingListReviewRequest
from domain.reviews.reviews import review
from domain.suitability.site_fit import site_fit
from tests import shared


def test_a_site_is_freed_as_soon_as_nobody_holds_it() -> None:
    """After a planting judged by its few, and one judged among all that may be had; the collector is off meanwhile."""
    site = {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40}
    gc.collect()
    gc.disable()
    try:
        for names in (["Gala", "Fuji"], ["Gala"], ["Discovery"]):
            request = msgspec.convert(
                {"site": site, "trees": [{"cultivar": name} for name in names]}, PlantingListReviewRequest
            )
            conditions = replace(shared.conditions(request.site), kept_alike=Kept())
            review(request, shared.catalogue(), conditions)
            fit = weakref.ref(site_fit(conditions, shared.catalogue().advised).factors[0])
            held = weakref.ref(conditions)
            del conditions
            assert held() is None, names
            assert fit() is None, names
    finally:
        gc.enable()
