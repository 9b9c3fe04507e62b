"""The diseases that cultivars are rated for, each with the infection model it uses.

A disease with a known model is a row of diseases.csv and its figures; it then has pressure, loss and words everywhere.
"""

from typing import TYPE_CHECKING, Literal, TypeAlias

from domain.fruit.reading import Grounds, keyed


class Disease(Grounds, frozen=True, kw_only=True):
    """One disease. measure: what of the weather is counted each year. wanting: what is wanting where it is absent.

    model: the infection model, by the name it is registered under (domain/hazards/infection_models.py).
    wants_air: whether trees stand further apart where it presses. runs_in_wood: whether it runs from limb to tree.
    on_fruit_alone: whether it is looked for on the fruit alone. makes_mummies: whether it winters in dried-up fruit.
    elsewhere, place_unknown: how far it is there, 0 to 1, outside the regions of regions.csv and without a place.
    """

    disease: str
    name: str
    model: str
    measure: str
    elsewhere: float
    place_unknown: float
    wants_air: bool
    runs_in_wood: bool
    on_fruit_alone: bool
    makes_mummies: bool
    wanting: str = ""

    @property
    def trait(self) -> str:
        """Name of the trait that says how susceptible a cultivar is."""
        return f"susceptibility_{self.disease}"


DISEASE_BY_ID = keyed("diseases", Disease, lambda row: row.disease)
DISEASES: tuple[str, ...] = tuple(DISEASE_BY_ID)
"""Ids of the diseases, in the order of the table, which is that of every array over diseases."""

if TYPE_CHECKING:
    DiseaseId: TypeAlias = str
else:  # the closed set of the contract is what stands in the table
    DiseaseId = Literal[DISEASES]
