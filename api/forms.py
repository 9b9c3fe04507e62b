"""Bodies of several parts, as HTML forms and curl send them: multipart/form-data (RFC 7578, RFC 2046 section 5.1).

They are read by the parser that the framework itself uses. The framework's own reading on top of it is not: it decodes
the parts before anyone can tell a repeated member or a fault of shape, and forgets the content type of a part without a
file name.
"""

from dataclasses import dataclass

from multipart import MultipartError, MultipartSegment, PushMultipartParser, parse_options_header

from api.problems import NOT_A_FORM, UNSUPPORTED_MEDIA_TYPE, Refusal

FORM = "multipart/form-data"

MOST_PARTS = 15
_MOST_HEADER_BYTES = 4096
_LONGEST_BOUNDARY = 70
"""RFC 2046, section 5.1.1."""


@dataclass(frozen=True)
class Part:
    """One part of a form; media_type and charset in lower case, as its header says or as RFC 7578 assumes."""

    name: str
    media_type: str
    charset: str
    content: bytes


def media_type(header: str) -> tuple[str, dict[str, str]]:
    """The type of a ``Content-Type``, and what its parameters say, names in lower case."""
    value, parameters = parse_options_header(header)
    return value.strip().lower(), {name.lower(): text for name, text in parameters.items()}


def parts(content_type: str, body: bytes) -> list[Part]:
    """The parts of a form in their order. Raises Refusal: 400 for what is no form, 415 for a coded part."""
    boundary = media_type(content_type)[1].get("boundary", "")
    if not (0 < len(boundary) <= _LONGEST_BOUNDARY and boundary.isascii()):
        raise Refusal(NOT_A_FORM, "The content type names no boundary of 1 to 70 characters between the parts.")
    found: list[tuple[MultipartSegment, bytearray]] = []
    try:
        with PushMultipartParser(
            boundary, max_segment_count=MOST_PARTS, max_header_size=_MOST_HEADER_BYTES, strict=True
        ) as parser:
            for event in parser.parse(body) if body else ():
                if isinstance(event, MultipartSegment):
                    found.append((event, bytearray()))
                elif event is not None:
                    found[-1][1].extend(event)
    except MultipartError as broken:
        raise Refusal(NOT_A_FORM, f"The form cannot be read: {broken}.") from broken
    return [_part(number, segment, bytes(content)) for number, (segment, content) in enumerate(found, start=1)]


def _part(number: int, segment: MultipartSegment, content: bytes) -> Part:
    headers = [name.lower() for name, _ in segment.headerlist]
    if len(set(headers)) < len(headers):
        raise Refusal(NOT_A_FORM, f"A header line of part {number} stands twice.")
    if segment.header("Content-Transfer-Encoding", "binary").lower() not in {"7bit", "8bit", "binary"}:
        raise Refusal(UNSUPPORTED_MEDIA_TYPE, f"Expected part {number} without a transfer encoding.")
    kind, about = media_type(segment.header("Content-Type", "text/plain"))
    return Part(segment.name or "", kind, about.get("charset", "utf-8").lower(), content)
