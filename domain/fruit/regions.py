"""Where hosts, germs and insects live: rough boxes on the map, each with the text its outline follows."""

from collections import defaultdict

from domain.fruit.diseases import Disease
from domain.fruit.insects import Insect
from domain.fruit.reading import Grounds, table


class Region(Grounds, frozen=True, kw_only=True):
    """A box in degrees, and what holds in it: how far a disease is there, or the share of fruit an insect takes."""

    subject: str
    south: float
    north: float
    west: float
    east: float
    share: float

    def holds(self, latitude: float, longitude: float) -> bool:
        """Whether a place lies in the box."""
        return self.south <= latitude <= self.north and self.west <= longitude <= self.east


def _by_subject() -> dict[str, tuple[Region, ...]]:
    found: defaultdict[str, list[Region]] = defaultdict(list)
    for region in table("regions", Region):
        found[region.subject].append(region)
    return {subject: tuple(regions) for subject, regions in found.items()}


REGIONS = _by_subject()


def share_at(subject: Disease | Insect, latitude: float | None, longitude: float | None) -> float:
    """What the first box that holds the place says, 0 to 1; else what the row of the disease or insect says."""
    if latitude is None or longitude is None:
        return subject.place_unknown
    named = subject.disease if isinstance(subject, Disease) else subject.insect
    inside = (region.share for region in REGIONS.get(named, ()) if region.holds(latitude, longitude))
    return next(inside, subject.elsewhere)


def lives_at(subject: str, latitude: float | None, longitude: float | None) -> bool:
    """Whether a box of a subject that is neither weighed as a disease nor as an insect holds the place."""
    if latitude is None or longitude is None:
        return False
    return any(region.holds(latitude, longitude) for region in REGIONS[subject])
