"""One row of a table of sites becomes a site: its columns are the fields of `site` in a request, by the same names.

What a request refuses a row is refused for too; each row by itself, so that a bad one is answered by its faults and
costs the others nothing.
"""

import re
from collections.abc import Iterable, Mapping
from typing import Annotated, Any

import msgspec
from msgspec import Meta, Struct

from domain.common.faults import ContentFault, ContentFaults, pointer
from domain.site_climate.site import Site

_AT = re.compile(r"^(?P<what>.*?)(?: - at `\$(?P<where>.*)`)?$", re.DOTALL)
_STEP = re.compile(r"\.(\w+)|\[(\d+|\.\.\.)\]")


class SiteRow(Site, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """A site with the caller's own mark, and the customers that it stands for where a stock is to be chosen."""

    id: Annotated[str | int, Meta(description="The caller's own mark, given back.")]
    weight: Annotated[float, Meta(gt=0, le=1e6, description="Customers, or their share.", examples=[120])] = 1.0


COLUMNS: tuple[str, ...] = SiteRow.__struct_fields__
"""Names that a column of the table may have."""
_OF_SITE = Site.__struct_fields__


def unknown_columns(named: Iterable[str]) -> tuple[str, ...]:
    """Those of the columns that no row may have."""
    return tuple(name for name in named if name not in COLUMNS)


def site_of(row: Mapping[str, Any]) -> tuple[SiteRow, Site]:
    """The row as read, and its site. Raises ContentFaults for the first fault of shape; content is judged later."""
    try:
        read = msgspec.convert(_told(row), SiteRow)
    except msgspec.ValidationError as fault:
        raise ContentFaults([_fault(str(fault))]) from None
    return read, Site(**{name: getattr(read, name) for name in _OF_SITE})


def _told(value: Any) -> Any:
    """A value without the members that are empty: a column is there for every row, whether it told or not."""
    if isinstance(value, Mapping):
        inner = {name: _told(member) for name, member in value.items()}
        return {name: member for name, member in inner.items() if member is not None}
    if isinstance(value, list | tuple):
        return [_told(member) for member in value]
    return value


def _fault(text: str) -> ContentFault:
    """What the decoder says, with its path as a pointer."""
    found = _AT.match(text)
    what, where = (text, "") if found is None else (found["what"], found["where"] or "")
    return ContentFault(pointer(*(name or place for name, place in _STEP.findall(where))), what + ".")


class RowFault(Struct, frozen=True):
    """A fault of a row: a pointer into it (RFC 6901), and what was expected there."""

    pointer: str
    detail: str


def row_faults(faults: ContentFaults) -> tuple[RowFault, ...]:
    """The faults of a row, led to its own columns."""
    return tuple(RowFault(_of_row(fault.pointer), fault.detail) for fault in faults.faults)


def _of_row(found: str) -> str:
    return "#" + found.removeprefix("#/site") if found.startswith("#/site") else found
