"""The register of traits: what each adopted number or word of a cultivar means, and what stands in where it is absent.

One row of traits.csv a trait; a disease of diseases.csv has its trait `susceptibility_<disease>` besides.
"""

from typing import Literal

from domain.fruit.diseases import DISEASE_BY_ID
from domain.fruit.reading import Grounds, keyed

Form = Literal["number", "class", "classes", "text"]


class Trait(Grounds, frozen=True, kw_only=True):
    """One trait. values: the classes it may have. gathered: whether computations read it as an array over cultivars.

    stand_in, spread: value and standard deviation taken where none was adopted, on the basis that the row states.
    """

    trait: str
    form: Form
    meaning: str
    gathered: bool
    unit: str = ""
    values: tuple[str, ...] = ()
    stand_in: float | None = None
    spread: float | None = None


TRAITS = keyed("traits", Trait, lambda row: row.trait, ("values",))
GATHERED = tuple(trait for trait, row in TRAITS.items() if row.gathered)
"""The numbers that computations read as arrays."""


def registered(trait: str) -> bool:
    """Whether a trait is in the register, or is the susceptibility to a disease that is."""
    return trait in TRAITS or any(trait == disease.trait for disease in DISEASE_BY_ID.values())
