"""A stock's spellings in one call: which cultivar each name means, by what kind of name, or what is most like it."""

from collections.abc import Sequence
from typing import Annotated, Literal

import msgspec

from domain.common.asked_names import MOST_WITH_NEAREST
from domain.fruit.kinds import Kind
from domain.tables.cultivars import Cultivar, Status
from domain.tables.loading import Tables
from domain.tables.rootstocks import rootstock_names, rootstocks
from reference_tables.spelling import keys

MOST_NAMES = 2000
MOST_NEAREST = 3

HowNamed = Literal["denomination", "synonym", "trade_designation", "spelling", "nearest", "unknown"]
_ALIAS_KINDS: tuple[HowNamed, ...] = ("trade_designation", "synonym")


class CultivarNamesRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Names as they stand on labels, price lists and plans."""

    names: Annotated[
        list[Annotated[str, msgspec.Meta(min_length=1, max_length=120)]],
        msgspec.Meta(
            min_length=1,
            max_length=MOST_NAMES,
            description="Any names, in any spelling; what is asked twice is answered twice.",
            examples=[["Zestar!®", "Pink Lady", "Coxs Orange"]],
        ),
    ]


class NearName(msgspec.Struct, frozen=True, kw_only=True):
    """A cultivar whose name is like the one asked."""

    cultivar: str
    id: str


class NameMeant(msgspec.Struct, frozen=True, kw_only=True):
    """What one name means. `cultivar`, `id`, `status` and `kind` are null where no cultivar is known by it.

    how: `denomination`, `synonym` or `trade_designation` where a name of the cultivar is spelled so, accents, case and
    marks forgiven; `spelling` where it is taken for one that is written a little otherwise; `nearest` where none is
    known, and names like it are told; `unknown` where not even those are. rootstock: the name is that of a rootstock.
    """

    asked: str
    cultivar: str | None
    id: str | None
    how: HowNamed
    status: Status | None
    kind: Kind | None
    sold_as: tuple[str, ...]
    rootstock: str | None
    rootstock_id: str | None
    nearest: tuple[NearName, ...]


class CultivarNames(msgspec.Struct, frozen=True, kw_only=True):
    """Every name, in the order asked, and how many of them no cultivar bears."""

    names: tuple[NameMeant, ...]
    not_known: int


def cultivar_names(request: CultivarNamesRequest, tables: Tables) -> CultivarNames:
    """What each name means. Names like an unknown one are told for the first `MOST_WITH_NEAREST` of those."""
    sought = 0
    found = []
    for name in request.names:
        cultivar_id = tables.names.resolve(name)
        if cultivar_id is not None:
            found.append(_known(name, tables.by_id[cultivar_id]))
            continue
        stock = rootstock_names().resolve(name)
        sought += stock is None
        near = tables.names.nearest(name, MOST_NEAREST) if stock is None and sought <= MOST_WITH_NEAREST else ()
        found.append(_unknown(name, stock, _ids(near, tables)))
    return CultivarNames(names=tuple(found), not_known=sum(one.id is None for one in found))


def _known(name: str, cultivar: Cultivar) -> NameMeant:
    return NameMeant(
        asked=name,
        cultivar=cultivar.name,
        id=cultivar.id,
        how=_how(name, cultivar),
        status=cultivar.status,
        kind=cultivar.kind,
        sold_as=tuple(alias.name for alias in cultivar.aliases if alias.kind == "trade_designation"),
        rootstock=None,
        rootstock_id=None,
        nearest=(),
    )


def _how(name: str, cultivar: Cultivar) -> HowNamed:
    spelled = set(keys(name))
    if spelled & {*keys(cultivar.name), cultivar.id.replace("-", "")}:
        return "denomination"
    for kind in _ALIAS_KINDS:
        if any(alias.kind == kind and spelled & set(keys(alias.name)) for alias in cultivar.aliases):
            return kind
    return "spelling"


def _unknown(name: str, stock: str | None, near: tuple[NearName, ...]) -> NameMeant:
    return NameMeant(
        asked=name,
        cultivar=None,
        id=None,
        how="nearest" if near else "unknown",
        status=None,
        kind=None,
        sold_as=(),
        rootstock=None if stock is None else rootstocks()[stock].name,
        rootstock_id=stock,
        nearest=near,
    )


def _ids(names: Sequence[str], tables: Tables) -> tuple[NearName, ...]:
    resolved = ((name, tables.names.resolve(name)) for name in names)
    return tuple(NearName(cultivar=name, id=one) for name, one in resolved if one is not None)
