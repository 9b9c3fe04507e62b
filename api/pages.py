"""Pages of a collection: at most ``page_limit`` items, and an opaque cursor that leads to the next ones.

A cursor holds the key of the last item, so that it stays good when the tables change.
"""

import base64
import binascii
from collections.abc import Callable, Sequence
from typing import Annotated, Any, TypeVar
from urllib.parse import urlencode

import msgspec
from litestar import Request

from api.problems import INVALID_PARAMETERS, Fault, Refusal

DEFAULT_PAGE_LIMIT = 50
GREATEST_PAGE_LIMIT = 200

PageLimit = Annotated[
    int,
    msgspec.Meta(ge=1, le=GREATEST_PAGE_LIMIT, description="Most items of a page.", examples=[20]),
]
Cursor = Annotated[
    str,
    msgspec.Meta(
        min_length=1,
        max_length=400,
        description="Where the page starts: `next` of the page before. Opaque: take it as it comes.",
    ),
]

Item = TypeVar("Item")


def page(
    items: Sequence[Item], key: Callable[[Item], str], page_limit: int, cursor: str | None
) -> tuple[tuple[Item, ...], str | None]:
    """The items after a cursor and the cursor of the page after them. The items are sorted by a unique key."""
    after = _key(cursor) if cursor is not None else None
    rest = [item for item in items if after is None or key(item) > after]
    shown = tuple(rest[:page_limit])
    return shown, _cursor(key(shown[-1])) if len(rest) > page_limit else None


def link(request: Request[Any, Any, Any], next_cursor: str | None) -> dict[str, str]:
    """The ``Link`` header (RFC 8288) to the next page: the same address and query, another cursor."""
    if next_cursor is None:
        return {}
    kept = [(name, value) for name, value in request.query_params.multi_items() if name != "cursor"]
    return {"Link": f'<{request.url.path}?{urlencode([*kept, ("cursor", next_cursor)])}>; rel="next"'}


def _cursor(key: str) -> str:
    return base64.urlsafe_b64encode(key.encode()).decode().rstrip("=")


def _key(cursor: str) -> str:
    try:
        return base64.b64decode(cursor + "=" * (-len(cursor) % 4), altchars=b"-_", validate=True).decode()
    except (binascii.Error, ValueError) as wrong:
        fault = Fault(detail="Expected the `next` of a page.", parameter="cursor", location="query")
        raise Refusal(INVALID_PARAMETERS, "The cursor is none of this service.", [fault]) from wrong
