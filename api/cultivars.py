"""The catalogue: cultivars by trait, in pages, and one by any of its names, with its evidence."""

from typing import Annotated, Any

import msgspec

from api.advisor import Advisor, Versions
from api.collections import Listing, Single, collection
from api.operations import Example
from api.pages import DEFAULT_PAGE_LIMIT, Cursor, PageLimit
from api.problems import UNKNOWN_CULTIVAR, unknown_name
from domain.fruit.kinds import Kind
from domain.tables.cultivars import Alias, Cultivar, Estimate, Finding, Status
from domain.tables.observations import Observation, Source
from domain.traits.cultivar_search import CultivarFilters, search


class CultivarQuery(CultivarFilters, frozen=True, kw_only=True):
    """The query of the list: filters, and where its page starts."""

    page_limit: PageLimit = DEFAULT_PAGE_LIMIT
    cursor: Cursor | None = None


class EvidenceQuery(msgspec.Struct, frozen=True, kw_only=True):
    """The query of one cultivar, rootstock or tree form."""

    evidence: Annotated[
        bool, msgspec.Meta(description="Whether to add what was published of it, value by value, with the sources.")
    ] = False


class CultivarRecord(msgspec.Struct, frozen=True, kw_only=True):
    """A cultivar with its adopted traits: every one with its basis; an absent one is unknown."""

    id: str
    name: str
    status: Status
    kind: Kind
    sport_of: str | None
    aliases: tuple[Alias, ...]
    recommended_by: int
    numbers: dict[str, Estimate]
    findings: dict[str, Finding]


class CultivarPage(msgspec.Struct, frozen=True, kw_only=True):
    """A page of the catalogue; `next` is the cursor of the page after it, null on the last."""

    versions: Versions
    items: tuple[CultivarRecord, ...]
    next: str | None


class CultivarAnswer(CultivarRecord, frozen=True, kw_only=True):
    """One cultivar. `observations` and `sources` are null unless the evidence was asked for."""

    versions: Versions
    observations: tuple[Observation, ...] | None
    sources: tuple[Source, ...] | None


def find_cultivars(advisor: Advisor, asked: CultivarQuery) -> tuple[Cultivar, ...]:
    """The cultivars of the catalogue that have every trait asked for, by id."""
    return search(advisor.tables.cultivars, asked)


def tell_cultivar(advisor: Advisor, name: str, asked: EvidenceQuery) -> CultivarAnswer:
    """One cultivar by any of its names, if wanted with everything published of it that the tables hold."""
    cultivar_id = advisor.tables.names.resolve(name)
    if cultivar_id is None:
        raise unknown_name(UNKNOWN_CULTIVAR, "cultivar", name, advisor.tables.names)
    cultivar = advisor.tables.by_id[cultivar_id]
    observations = advisor.tables.observations(cultivar.id) if asked.evidence else None
    sources = None if observations is None else _sources(advisor, cultivar, observations)
    return CultivarAnswer(**_traits(cultivar), versions=advisor.versions, observations=observations, sources=sources)


def _traits(cultivar: Cultivar) -> dict[str, Any]:
    return {field: getattr(cultivar, field) for field in CultivarRecord.__struct_fields__}


def _sources(advisor: Advisor, cultivar: Cultivar, observations: tuple[Observation, ...]) -> tuple[Source, ...]:
    """Every source that the record of a cultivar names, by id."""
    named = {source for estimate in cultivar.numbers.values() for source in estimate.sources}
    named |= {source for finding in cultivar.findings.values() for source in finding.sources}
    named |= {observation.source_id for observation in observations} | {alias.source_id for alias in cultivar.aliases}
    return advisor.sources(named)


CULTIVARS = collection(
    "/v1/cultivars",
    Listing(
        operation_id="listCultivars",
        summary="Cultivars by trait",
        query=CultivarQuery,
        page=CultivarPage,
        find=find_cultivars,
        record=lambda cultivar: CultivarRecord(**_traits(cultivar)),
        example=Example("cooking-apples-that-resist-scab", "/v1/cultivars?use=cooking&resists=scab&page_limit=2"),
    ),
    Single(
        operation_id="getCultivar",
        summary="One cultivar",
        query=EvidenceQuery,
        tell=tell_cultivar,
        in_path="Id, denomination or alias of a cultivar, in any spelling.",
        unknown=UNKNOWN_CULTIVAR,
        example=Example("bramley", "/v1/cultivars/Bramley's%20Seedling"),
    ),
    title="Cultivars by trait; one by name",
    tag="cultivars",
)
