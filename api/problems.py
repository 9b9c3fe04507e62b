"""Refusals as problem details (RFC 9457): the kinds of problem, their bodies, and how an exception becomes one.

A request is refused whole. ``type`` is a relative URI, ``/problems/<slug>``, which the service answers with the
meaning of the problem and with what to do about it. Faults of one kind are listed together in ``errors``.
"""

import logging
import uuid
from collections.abc import Mapping, Sequence
from typing import Any

import msgspec
from litestar import Request, Response
from litestar.exceptions import HTTPException

from api.watching import current
from domain.common.asked_names import Names
from domain.common.faults import ContentFault, ContentFaults

MEDIA_TYPE = "application/problem+json"
MOST_FAULTS = 50
RETRY_AFTER_S = 5
"""What a caller is told to wait who is refused since there is too much work: about what a full line takes."""

log = logging.getLogger(__name__)


class ProblemKind(msgspec.Struct, frozen=True, kw_only=True):
    """One kind of problem, as ``GET /problems/{slug}`` explains it."""

    slug: str
    title: str
    status: int
    meaning: str
    remedy: str

    @property
    def uri(self) -> str:
        """Relative URI that identifies the kind and leads to its meaning."""
        return f"/problems/{self.slug}"


def _kind(status: int, slug: str, title: str, meaning: str, remedy: str) -> ProblemKind:
    return ProblemKind(slug=slug, title=title, status=status, meaning=meaning, remedy=remedy)


NOT_JSON = _kind(
    400,
    "not-json",
    "The body is not JSON",
    "The body is empty, is not UTF-8, breaks the grammar of JSON, holds a number too large to represent, or names one "
    "member of an object twice.",
    "Send one JSON object as RFC 8259 defines it. NaN and Infinity are no JSON numbers.",
)
TOO_MANY_LINES = _kind(
    422,
    "too-many-lines",
    "The stream is longer than one may be",
    "A stream of reviews holds more lines, more places, or a longer line than one request may.",
    "Send the rest as another request; what was answered before stands.",
)
NOT_A_FORM = _kind(
    400,
    "not-a-form",
    "The body is not a form",
    "The `Content-Type` says `multipart/form-data`, but the body is not made of parts between its boundary.",
    "Send the parts `request` (JSON) and `records` (CSV) as RFC 7578 defines a form.",
)
BAD_REQUEST = _kind(
    400,
    "bad-request",
    "The request cannot be read",
    "What stands before the body, such as the address or the `Host` header, breaks the grammar of HTTP.",
    "Send what RFC 9110 allows; most libraries do so by themselves.",
)
INVALID_PARAMETERS = _kind(
    400,
    "invalid-parameters",
    "A parameter of the address is not valid",
    "A query parameter is unknown, given twice, or outside what it allows.",
    "`errors` names each parameter and says what was expected.",
)
NOT_FOUND = _kind(
    404,
    "not-found",
    "Nothing is at this address",
    "The service has no resource at the address asked for.",
    "`GET /` lists the resources.",
)
UNKNOWN_CULTIVAR = _kind(
    404,
    "unknown-cultivar",
    "No cultivar of this name is known",
    "The name is neither the denomination, the id nor an alias of a cultivar in the tables.",
    "`errors[0].nearest` lists the known names that are most like it.",
)
UNKNOWN_ROOTSTOCK = _kind(
    404,
    "unknown-rootstock",
    "No rootstock of this name is known",
    "The name is neither the name nor the id of a rootstock in the tables.",
    "`errors[0].nearest` lists the known names that are most like it.",
)
UNKNOWN_TREE_FORM = _kind(
    404,
    "unknown-tree-form",
    "No tree form of this name is known",
    "The name is neither the name nor the id of a tree form in the tables.",
    "`errors[0].nearest` lists the known names that are most like it; `GET /v1/tree-forms` lists all.",
)
UNKNOWN_SOURCE = _kind(
    404,
    "unknown-source",
    "No source of this id is known",
    "The id is not one of the tables' source ids.",
    "`GET /v1/sources` lists them.",
)
UNKNOWN_PARAMETER = _kind(
    404,
    "unknown-parameter",
    "No figure of this id is known",
    "The id is not that of a figure in the tables.",
    "`GET /v1/parameters` lists them.",
)
UNKNOWN_CODE = _kind(
    404,
    "unknown-code",
    "No text of this code is known",
    "The code is not that of a sentence or a label of the answers.",
    "`GET /v1/words` lists them.",
)
METHOD_NOT_ALLOWED = _kind(
    405,
    "method-not-allowed",
    "The resource does not take this method",
    "The address exists, but not for this method.",
    "The `Allow` header lists the methods.",
)
NOT_ACCEPTABLE = _kind(
    406,
    "not-acceptable",
    "The answer cannot be given in the form asked for",
    "The `Accept` header leaves out every form in which this address answers; the contract names them.",
    "Accept `application/json`, which is one of them but at `/docs` and for streams, or another of them.",
)
BODY_TOO_LARGE = _kind(
    413,
    "body-too-large",
    "The body is too large",
    "The body is larger than the bound that `detail` names.",
    "Send less in one request. The larger bound holds for requests that carry temperature records.",
)
REQUEST_TIMEOUT = _kind(
    408,
    "request-timeout",
    "The request did not come in time",
    "The lines before the body, or the body, took longer than the service waits; the connection is closed.",
    "Send it again, as a whole.",
)
PRECONDITION_FAILED = _kind(
    412,
    "precondition-failed",
    "The resource is not as `If-Match` says",
    "`If-Match` lists no entity tag that the answer bears now, compared strongly.",
    "Ask without `If-Match`. Tags of answers that may be coded for the way are weak and never match strongly.",
)
TOO_MANY_REQUESTS = _kind(
    429,
    "too-many-requests",
    "More was asked from one address than may be",
    "The service counts the requests of an address, and this one passed the number that `RateLimit-Policy` names.",
    "Ask again after the seconds that `Retry-After` names.",
)
UNSUPPORTED_MEDIA_TYPE = _kind(
    415,
    "unsupported-media-type",
    "The body is not labelled as what the service reads",
    "The `Content-Type` of the body, or of a part of a form, is missing or is none that the service reads.",
    "Send `Content-Type: application/json`, or a form where the `Accept-Post` header names it.",
)
INVALID_SHAPE = _kind(
    422,
    "invalid-shape",
    "The request does not have the expected shape",
    "The body is JSON, but a field is missing, unknown, of the wrong type, or outside the range that the contract "
    "states.",
    "`errors` lists every fault with a JSON pointer to it. Text is never read as a number.",
)
INVALID_CONTENT = _kind(
    422,
    "invalid-content",
    "The request has the right shape but cannot be meant as it stands",
    "A name is unknown or stands twice, a date is in no calendar, an outline crosses itself, or a figure is impossible "
    "or contradicts another.",
    "`errors` lists every fault with a JSON pointer to it, and for an unknown name the nearest known ones.",
)
HEADERS_TOO_LARGE = _kind(
    431,
    "headers-too-large",
    "What stands before the body is too large",
    "The address and the headers of the request are together longer than 32 KiB; the connection is closed.",
    "Send fewer or shorter headers, and a shorter address.",
)
HTTP_VERSION = _kind(
    505,
    "http-version",
    "The version of HTTP is not served",
    "The request names a major version of HTTP that the service does not speak; the connection is closed.",
    "Send it as HTTP/1.1.",
)
SERVICE_BUSY = _kind(
    503,
    "service-busy",
    "The service has as much work as it takes",
    "As many computations are under way and waiting as the service lets wait; this one was not begun.",
    "Ask again after the seconds that `Retry-After` names. Look-ups by GET are served meanwhile.",
)
INTERNAL_ERROR = _kind(
    500,
    "internal-error",
    "The service failed",
    "The fault is the service's own. Its log holds the cause under the identifier in `instance`.",
    "Report the identifier with the request that was sent. The same request will fail again.",
)

KINDS: dict[str, ProblemKind] = {
    kind.slug: kind
    for kind in (
        NOT_JSON,
        NOT_A_FORM,
        BAD_REQUEST,
        INVALID_PARAMETERS,
        NOT_FOUND,
        UNKNOWN_CULTIVAR,
        UNKNOWN_ROOTSTOCK,
        UNKNOWN_TREE_FORM,
        UNKNOWN_SOURCE,
        UNKNOWN_PARAMETER,
        UNKNOWN_CODE,
        METHOD_NOT_ALLOWED,
        NOT_ACCEPTABLE,
        REQUEST_TIMEOUT,
        PRECONDITION_FAILED,
        BODY_TOO_LARGE,
        TOO_MANY_LINES,
        TOO_MANY_REQUESTS,
        UNSUPPORTED_MEDIA_TYPE,
        INVALID_SHAPE,
        INVALID_CONTENT,
        SERVICE_BUSY,
        HEADERS_TOO_LARGE,
        HTTP_VERSION,
        INTERNAL_ERROR,
    )
}

_BY_STATUS = {
    400: BAD_REQUEST,
    404: NOT_FOUND,
    405: METHOD_NOT_ALLOWED,
    406: NOT_ACCEPTABLE,
    413: BODY_TOO_LARGE,
}


class Fault(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One fault. `pointer` leads into the body; `parameter` and `location` name a part of the address.

    Of a form, `pointer` leads into its part `request`; `#/records` is its file, in which `line` (the first is 1) and
    `column` (by its name) lead on.
    """

    detail: str
    pointer: str | None = None
    line: int | None = None
    column: str | None = None
    parameter: str | None = None
    location: str | None = None
    nearest: tuple[str, ...] = ()


class Problem(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Problem details (RFC 9457)."""

    type: str
    title: str
    status: int
    detail: str
    instance: str | None = None
    errors: tuple[Fault, ...] = ()


class Refusal(HTTPException):
    """Raised to refuse a request; answered as a problem of its kind."""

    def __init__(
        self,
        kind: ProblemKind,
        detail: str,
        errors: Sequence[Fault] = (),
        headers: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(detail=detail, status_code=kind.status, headers=dict(headers or {}))
        self.kind = kind
        self.errors = tuple(errors)

    @property
    def problem(self) -> Problem:
        """The body of the answer; at most ``MOST_FAULTS`` faults are listed."""
        return problem(self.kind, self.detail, self.errors)


def problem(kind: ProblemKind, detail: str, errors: Sequence[Fault] = (), instance: str | None = None) -> Problem:
    """A problem of one kind, with at most ``MOST_FAULTS`` of its faults."""
    return Problem(
        type=kind.uri,
        title=kind.title,
        status=kind.status,
        detail=detail,
        instance=instance,
        errors=tuple(errors[:MOST_FAULTS]),
    )


def unknown_name(kind: ProblemKind, what: str, name: str, names: Names) -> Refusal:
    """The refusal of a name in an address that nothing bears, with the nearest known names."""
    shown = name[:80]
    detail = f"No {what} is known by the name “{shown}”."
    return Refusal(
        kind, detail, [Fault(detail=detail, parameter="name", location="path", nearest=names.nearest(shown))]
    )


def counted(faults: Sequence[Fault | ContentFault]) -> str:
    """The first fault in words, and how many more were found; at most ``MOST_FAULTS`` are listed."""
    first = faults[0].detail
    if len(faults) == 1:
        return first
    if len(faults) > MOST_FAULTS:
        return f"At least {len(faults)} faults were found; the first {MOST_FAULTS} are listed. The first: {first}"
    return f"{len(faults)} faults were found. The first: {first}"


def content_problem(error: ContentFaults) -> Problem:
    """The problem of faults of content."""
    listed = [msgspec.convert(fault, Fault, from_attributes=True) for fault in error.faults[:MOST_FAULTS]]
    return problem(INVALID_CONTENT, counted(error.faults), listed)


def internal_error(error: BaseException) -> Problem:
    """The problem of a failure of our own: an identifier for the log, and not a word of what went wrong."""
    watched = current()
    instance = f"urn:uuid:{watched.id}" if watched else uuid.uuid4().urn
    told = {"method": watched.method, "route": watched.route} if watched else {}
    log.error("request failed, %s", instance, exc_info=error, extra={"told": {"id": instance[9:], **told}})
    return problem(INTERNAL_ERROR, "The service failed while it worked on this request.", instance=instance)


def _answer(body: Problem, headers: Mapping[str, str] | None = None) -> Response[Problem]:
    return Response(body, media_type=MEDIA_TYPE, status_code=body.status, headers=dict(headers or {}))


def _refused(_: Request[Any, Any, Any], error: Refusal) -> Response[Problem]:
    return _answer(error.problem, error.headers)


def _content_refused(_: Request[Any, Any, Any], error: ContentFaults) -> Response[Problem]:
    return _answer(content_problem(error))


def _http_error(_: Request[Any, Any, Any], error: HTTPException) -> Response[Problem]:
    """What the framework itself refuses: an unknown address or method."""
    kind = _BY_STATUS.get(error.status_code)
    if kind is None:
        return _answer(internal_error(error))
    taken = {part.strip() for part in (error.headers or {}).get("allow", "").split(",")} - {"", "OPTIONS"}
    detail = f"{kind.meaning} It takes {' and '.join(sorted(taken))}." if taken else kind.meaning
    return _answer(problem(kind, detail), error.headers)


def _failed(_: Request[Any, Any, Any], error: Exception) -> Response[Problem]:
    return _answer(internal_error(error))


EXCEPTION_HANDLERS: dict[int | type[Exception], Any] = {
    Refusal: _refused,
    ContentFaults: _content_refused,
    HTTPException: _http_error,
    Exception: _failed,
}
