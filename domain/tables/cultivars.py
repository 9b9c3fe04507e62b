"""The records of cultivars as the rest of the domain reads them: adopted traits with deviation, basis and sources."""

from typing import Literal

import msgspec

Basis = Literal["published", "computed", "imputed", "from-memory"]
Status = Literal["advised", "listed"]


class Estimate(msgspec.Struct, frozen=True, kw_only=True):
    """One adopted number: its middle, its standard deviation (what we do not know), and where it comes from."""

    value: float
    deviation: float
    unit: str
    basis: Basis
    observations: int = 0
    sources: tuple[str, ...] = ()
    inherited_from: str | None = None


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    """One adopted class or set of words, with the share of the evidence that agrees (0 to 1) and its sources."""

    value: str
    agreement: float
    basis: Basis
    observations: int = 0
    sources: tuple[str, ...] = ()
    inherited_from: str | None = None
    conflicts: tuple[str, ...] = ()


class Alias(msgspec.Struct, frozen=True, kw_only=True):
    """Another name of a cultivar: `synonym`, `trade_designation`, or `spelling`."""

    name: str
    kind: str
    source_id: str


class Cultivar(msgspec.Struct, frozen=True, kw_only=True):
    """One cultivar of the catalogue. Absent traits are missing from the mappings: unknown is unknown.

    numbers: trait -> Estimate; findings: trait -> Finding. What each trait means, with its unit and classes, stands in
    the register of traits, fruits/apple/traits.csv; susceptibility_<disease> besides (0 immune .. 1 very susceptible).
    kind: one of fruits/apple/kinds.csv.
    """

    id: str
    name: str
    status: Status
    kind: str
    sport_of: str | None = None
    aliases: tuple[Alias, ...] = ()
    numbers: dict[str, Estimate] = {}
    findings: dict[str, Finding] = {}
    recommended_by: int = 0
    """How many extension services' lists name it; for information, never an input of a score."""

    @property
    def origin_texts(self) -> tuple[str, ...]:
        """Where it was raised, as texts print it, the narrower place first."""
        found = self.findings
        return tuple(found[trait].value for trait in ("origin_place", "origin_country") if trait in found)
