"""What is known of cultivars whose leaves are stripped by hand where there is no winter: where, and who says so."""

from typing import Literal

from domain.fruit.reading import Grounds, keyed

Standing = Literal["grown", "planted", "fails_alone", "not_known"]
"""grown: cropped by stripping alone. planted: in such highlands, how its rest is broken is not said. fails_alone:
stripping alone did not bring it into leaf and flower. not_known: no text says.
"""


class StrippedCultivar(Grounds, frozen=True, kw_only=True):
    """One cultivar in highlands without winter."""

    cultivar_id: str
    standing: Standing
    place: str


STRIPPED = keyed("leaf_stripping", StrippedCultivar, lambda row: row.cultivar_id)


def stripped(cultivar_id: str, sport_of: str | None) -> StrippedCultivar | None:
    """What is known of a cultivar, or of the one it is a sport of; None where no text says."""
    return STRIPPED.get(cultivar_id) or (None if sport_of is None else STRIPPED.get(sport_of))
