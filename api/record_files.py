"""Temperature records as a CSV file beside a request: one form for every computation that asks of a site.

The form (multipart/form-data, RFC 7578) has two parts: `request`, the JSON body as it would be sent alone, and
`records`, a CSV file in one of the sets of columns of domain/site_climate/records_csv.py. The records then stand in the
request's `site`, as if they had been written there: the answer is the same, byte for byte.
"""

import functools
from typing import TypeVar, get_type_hints

import msgspec

from api.forms import FORM, Part, media_type, parts
from api.problems import (
    BODY_TOO_LARGE,
    INVALID_CONTENT,
    INVALID_SHAPE,
    UNSUPPORTED_MEDIA_TYPE,
    Fault,
    Refusal,
    counted,
)
from api.settings import KIB, Settings
from domain.common.faults import pointer
from domain.site_climate.records_csv import records_of_csv
from domain.site_climate.site import HourlyRecords, Site

REQUEST, RECORDS = "request", "records"
FIELDS = ("daily_records", "hourly_records")
TYPES = {REQUEST: "application/json", RECORDS: "text/csv"}
DESCRIPTION = """\
The request with temperature records as a CSV file (RFC 4180, UTF-8) beside it. The first line names the columns, in any
order: `date,tmin_c,tmax_c` and, if known, `rain_mm`; or `time,temperature_c`. Dates are `YYYY-MM-DD`, times full hours
of local standard time, `YYYY-MM-DDTHH:00`; commas between the cells, points in the numbers; an empty cell or a missing
row is a missing value. The records count as the site's `daily_records` or `hourly_records`, and faults of their content
are told there."""

T = TypeVar("T", bound=msgspec.Struct)


@functools.cache
def takes_file(model: type[msgspec.Struct]) -> bool:
    """Whether a request asks of a site, so that records may be sent beside it."""
    hints = get_type_hints(model)  # without the Meta that may stand about the type
    return hints.get("site") in {Site, Site | None}


def holds_records(asked: msgspec.Struct) -> bool:
    """Whether a request holds temperature records of its site."""
    site = getattr(asked, "site", None)
    return isinstance(site, Site) and any(getattr(site, field) is not None for field in FIELDS)


def names_records(raw: object) -> bool:
    """Whether a JSON document has temperature records where a request has them, however faulty."""
    site = raw.get("site") if isinstance(raw, dict) else None
    return isinstance(site, dict) and any(isinstance(site.get(field), dict) for field in FIELDS)


def is_form(content_type: str) -> bool:
    """Whether a body is labelled as a form."""
    return media_type(content_type)[0] == FORM


def read_form(content_type: str, body: bytes, bounds: Settings) -> tuple[bytes, str]:
    """The JSON of the request and the text of the records. Raises Refusal: 400, 413, 415, or 422 with every fault."""
    told = parts(content_type, body)
    faults = [
        _fault(name, f"This part is sent {_count(told, name)} times.") for name in TYPES if _count(told, name) > 1
    ]
    faults += [_fault(name, "This part is missing.") for name in TYPES if not _count(told, name)]
    unknown = sorted({part.name for part in told} - set(TYPES))
    faults += [_fault(name[:60], "No such part is known here; send `request` and `records`.") for name in unknown]
    if faults:
        raise Refusal(INVALID_SHAPE, counted(faults), faults)
    by_name = {part.name: part for part in told}
    for name, bound in ((REQUEST, bounds.body_bound_bytes), (RECORDS, bounds.records_body_bound_bytes)):
        _check(by_name[name], bound)
    return by_name[REQUEST].content, _text(by_name[RECORDS].content)


def _count(told: list[Part], name: str) -> int:
    return sum(part.name == name for part in told)


def _fault(name: str, detail: str) -> Fault:
    return Fault(pointer=pointer(name), detail=detail)


def _check(part: Part, bound: int) -> None:
    if part.media_type != TYPES[part.name] or part.charset not in {"utf-8", "utf8", "us-ascii"}:
        detail = (
            f"Expected the content type {TYPES[part.name]} in UTF-8 of the part {part.name}; it is "
            f"“{part.media_type[:60]}; charset={part.charset[:60]}”."
        )
        raise Refusal(UNSUPPORTED_MEDIA_TYPE, detail)
    if len(part.content) > bound:
        raise Refusal(BODY_TOO_LARGE, f"Expected at most {bound // KIB} KiB in the part {part.name}.")


def _text(content: bytes) -> str:
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as broken:
        utf_16 = content[:2] in {b"\xff\xfe", b"\xfe\xff"}
        detail = "The file is in UTF-16; save it as UTF-8." if utf_16 else "This line is not UTF-8; save the file so."
        line = 1 if utf_16 else content.count(b"\n", 0, broken.start) + 1
        raise Refusal(INVALID_CONTENT, detail, [Fault(pointer="#/records", line=line, detail=detail)]) from broken


def with_records(asked: T, text: str) -> T:
    """The request with the records of a file in its site. Raises Refusal, and ContentFaults with lines and columns."""
    site: Site | None = msgspec.structs.asdict(asked)["site"]
    if site is None:
        detail = "Records need a site: give its latitude at least."
        raise Refusal(INVALID_CONTENT, detail, [Fault(pointer="#/site", detail=detail)])
    twice = [field for field in FIELDS if getattr(site, field) is not None]
    if twice:
        detail = "Records are given here and as a file; give them once."
        faults = [Fault(pointer=pointer("site", field), detail=detail) for field in twice]
        raise Refusal(INVALID_CONTENT, counted(faults), faults)
    records = records_of_csv(text, (RECORDS,))
    field = "hourly_records" if isinstance(records, HourlyRecords) else "daily_records"
    return msgspec.structs.replace(asked, site=msgspec.structs.replace(site, **{field: records}))
