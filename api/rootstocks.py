"""Rootstocks by trait, in pages, and one by any of its names, with its evidence."""

import msgspec

from api.advisor import Advisor, Versions
from api.collections import Listing, Single, collection
from api.cultivars import EvidenceQuery
from api.operations import Example
from api.pages import DEFAULT_PAGE_LIMIT, Cursor, PageLimit
from api.problems import UNKNOWN_ROOTSTOCK, unknown_name
from domain.tables.observations import Source
from domain.tables.rootstock_evidence import PublishedValue, published_values
from domain.tables.rootstock_search import RootstockFilters, find_rootstocks
from domain.tables.rootstocks import Rootstock, rootstock_names, rootstocks


class RootstockQuery(RootstockFilters, frozen=True, kw_only=True):
    """The query of the list: filters, and where its page starts."""

    page_limit: PageLimit = DEFAULT_PAGE_LIMIT
    cursor: Cursor | None = None


class RootstockPage(msgspec.Struct, frozen=True, kw_only=True):
    """A page of rootstocks; `next` is the cursor of the page after it, null on the last."""

    versions: Versions
    items: tuple[Rootstock, ...]
    next: str | None


class RootstockAnswer(Rootstock, frozen=True, kw_only=True):
    """One rootstock. `observations` and `sources` are null unless the evidence was asked for."""

    versions: Versions
    observations: tuple[PublishedValue, ...] | None
    sources: tuple[Source, ...] | None


def list_rootstocks(_: Advisor, asked: RootstockQuery) -> list[Rootstock]:
    """The rootstocks that have every trait asked for, by id; a trait that is not known is not had."""
    return sorted(find_rootstocks(rootstocks().values(), asked), key=lambda stock: stock.id)


def tell_rootstock(advisor: Advisor, name: str, asked: EvidenceQuery) -> RootstockAnswer:
    """One rootstock by any of its names, if wanted with everything published of it that the tables hold."""
    rootstock_id = rootstock_names().resolve(name)
    if rootstock_id is None:
        raise unknown_name(UNKNOWN_ROOTSTOCK, "rootstock", name, rootstock_names())
    stock = rootstocks()[rootstock_id]
    observations = published_values(stock.id) if asked.evidence else None
    sources = None
    if observations is not None:
        named = {source for number in stock.numbers.values() for source in number.sources}
        named |= {source for finding in stock.findings.values() for source in finding.sources}
        sources = advisor.sources(named | {observation.source_id for observation in observations})
    told = {field: getattr(stock, field) for field in stock.__struct_fields__}
    return RootstockAnswer(**told, versions=advisor.versions, observations=observations, sources=sources)


ROOTSTOCKS = collection(
    "/v1/rootstocks",
    Listing(
        operation_id="listRootstocks",
        summary="Rootstocks by trait",
        query=RootstockQuery,
        page=RootstockPage,
        find=list_rootstocks,
        record=lambda stock: stock,
        example=Example("hardy-rootstocks", "/v1/rootstocks?hardy=true&greatest_size=70&page_limit=3"),
    ),
    Single(
        operation_id="getRootstock",
        summary="One rootstock",
        query=EvidenceQuery,
        tell=tell_rootstock,
        in_path="Id or name of a rootstock, in any spelling.",
        unknown=UNKNOWN_ROOTSTOCK,
        example=Example("mm-106", "/v1/rootstocks/MM.106"),
    ),
    title="Rootstocks by trait; one by name",
    tag="space",
)
