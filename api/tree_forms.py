"""Trained forms of trees by trait, in pages, and one by its name, with its evidence."""

from typing import Any

import msgspec

from api.advisor import Advisor, Versions
from api.collections import Listing, Single, collection
from api.cultivars import EvidenceQuery
from api.operations import Example
from api.pages import DEFAULT_PAGE_LIMIT, Cursor, PageLimit
from api.problems import UNKNOWN_TREE_FORM, unknown_name
from domain.tables.observations import Source
from domain.tables.rootstock_evidence import PractisedRange, PublishedValue, practised_ranges, published_values
from domain.tables.rootstock_search import TreeFormFilters, find_tree_forms
from domain.tables.tree_form_ranges import AdoptedRange
from domain.tables.tree_forms import Arrangement, BearingHabit, Ladder, Support, TreeForm, tree_form_names, tree_forms


class TreeFormQuery(TreeFormFilters, frozen=True, kw_only=True):
    """The query of the list: filters, and where its page starts."""

    page_limit: PageLimit = DEFAULT_PAGE_LIMIT
    cursor: Cursor | None = None


class TreeFormRecord(msgspec.Struct, frozen=True, kw_only=True):
    """A form with its adopted ranges: sizes as kept when grown up, work, crop, support."""

    id: str
    name: str
    words: str
    arrangement: Arrangement
    support: Support
    ladder: Ladder
    pruning_times: tuple[str, ...]
    bearing_habits: tuple[BearingHabit, ...]
    ranges: dict[str, AdoptedRange]


class TreeFormPage(msgspec.Struct, frozen=True, kw_only=True):
    """A page of forms; `next` is the cursor of the page after it, null on the last."""

    versions: Versions
    items: tuple[TreeFormRecord, ...]
    next: str | None


class TreeFormAnswer(TreeFormRecord, frozen=True, kw_only=True):
    """One form. `observations`, `practice` and `sources` are null unless the evidence was asked for."""

    versions: Versions
    observations: tuple[PublishedValue, ...] | None
    practice: tuple[PractisedRange, ...] | None
    sources: tuple[Source, ...] | None


def list_tree_forms(_: Advisor, asked: TreeFormQuery) -> list[TreeForm]:
    """The forms that are all that is asked for, by id."""
    return sorted(find_tree_forms(tree_forms().values(), asked), key=lambda form: form.id)


def tell_tree_form(advisor: Advisor, name: str, asked: EvidenceQuery) -> TreeFormAnswer:
    """One form by its name, if wanted with what was published of it and what practice adds."""
    form_id = tree_form_names().resolve(name)
    if form_id is None:
        raise unknown_name(UNKNOWN_TREE_FORM, "tree form", name, tree_form_names())
    form = tree_forms()[form_id]
    observations = practice = sources = None
    if asked.evidence:
        observations, practice = published_values(form_id), practised_ranges(form_id)
        named = {source for told in form.ranges.values() for source in told.sources}
        named |= {told.source_id for told in observations} | {told.source_id for told in practice}
        sources = advisor.sources(named)
    return TreeFormAnswer(
        **_fields(form), versions=advisor.versions, observations=observations, practice=practice, sources=sources
    )


def _fields(form: TreeForm) -> dict[str, Any]:
    return {field: getattr(form, field) for field in TreeFormRecord.__struct_fields__}


TREE_FORMS = collection(
    "/v1/tree-forms",
    Listing(
        operation_id="listTreeForms",
        summary="Tree forms by trait",
        query=TreeFormQuery,
        page=TreeFormPage,
        find=list_tree_forms,
        record=lambda form: TreeFormRecord(**_fields(form)),
        example=Example("forms-along-a-fence", "/v1/tree-forms?arrangement=fence&no_ladder=true"),
    ),
    Single(
        operation_id="getTreeForm",
        summary="One tree form",
        query=EvidenceQuery,
        tell=tell_tree_form,
        in_path="Id or name of a tree form, in any spelling.",
        unknown=UNKNOWN_TREE_FORM,
        example=Example("espalier", "/v1/tree-forms/espalier"),
    ),
    title="Trained forms of trees; one by name",
    tag="space",
)
