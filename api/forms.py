"""Bodies of several parts, as HTML forms and curl send them: multipart/form-data (RFC 7578, RFC 2046 section 5.1)."""

import re
from dataclasses import dataclass

from api.problems import NOT_A_FORM, UNSUPPORTED_MEDIA_TYPE, Refusal

FORM = "multipart/form-data"

MOST_PARTS = 16
_MOST_HEADERS_BYTES = 4096
_PARAMETER = re.compile(r';[ \t]*([!#-\'*+.^-z|~\w-]+)=(?:"((?:[^"\\]|\\.)*)"|([^\s;"]+))[ \t]*', re.ASCII)


@dataclass(frozen=True)
class Part:
    """One part of a form; media_type and charset in lower case, as its header says or as RFC 7578 assumes."""

    name: str
    media_type: str
    charset: str
    content: bytes


def media_type(header: str) -> tuple[str, dict[str, str]]:
    """The type of a ``Content-Type``, and what its parameters say, names in lower case."""
    value, _, rest = header.partition(";")
    found = _PARAMETER.findall(";" + rest)
    return value.strip().lower(), {name.lower(): quoted or plain for name, quoted, plain in found}


def parts(content_type: str, body: bytes) -> list[Part]:
    """The parts of a form in their order. Raises Refusal: 400 for what is no form, 415 for a coded part."""
    boundary = media_type(content_type)[1].get("boundary", "")
    if not (0 < len(boundary) <= 70 and boundary.isascii()):
        raise Refusal(NOT_A_FORM, "The content type names no boundary of 1 to 70 characters between the parts.")
    delimiter = b"\r\n--" + boundary.encode()
    before, *pieces = (b"\r\n" + body).split(delimiter, MOST_PARTS + 1)
    if before or not pieces:
        raise Refusal(NOT_A_FORM, "The body does not begin with the boundary that the content type names.")
    if len(pieces) > MOST_PARTS:
        raise Refusal(NOT_A_FORM, f"Expected at most {MOST_PARTS - 1} parts.")
    *told, end = pieces
    if not end.startswith(b"--") or end[2:].strip():
        raise Refusal(
            NOT_A_FORM, "The body does not end with the boundary that the content type names: was it cut off?"
        )
    return [_part(number, piece) for number, piece in enumerate(told, start=1)]


def _part(number: int, piece: bytes) -> Part:
    start = len(piece) - len(piece.lstrip(b" \t"))
    end = piece.find(b"\r\n\r\n", start, _MOST_HEADERS_BYTES)
    if not piece.startswith(b"\r\n", start) or end < 0:
        raise Refusal(NOT_A_FORM, f"Part {number} has no header lines with an empty line after them.")
    headers: dict[str, str] = {}
    for line in piece[start:end].decode("utf-8", "replace").split("\r\n")[1:]:
        name, colon, value = line.partition(":")
        if not colon or name.lower() in headers:
            raise Refusal(NOT_A_FORM, f"Part {number} has a header line that cannot be read.")
        headers[name.lower()] = value.strip()
    disposition, parameters = media_type(headers.get("content-disposition", ""))
    if disposition != "form-data" or "name" not in parameters:
        raise Refusal(NOT_A_FORM, f"Part {number} is not named by a header `Content-Disposition: form-data; name=…`.")
    if headers.get("content-transfer-encoding", "binary").lower() not in {"7bit", "8bit", "binary"}:
        raise Refusal(UNSUPPORTED_MEDIA_TYPE, f"Expected part {number} without a transfer encoding.")
    kind, about = media_type(headers.get("content-type", "text/plain"))
    return Part(parameters["name"], kind, about.get("charset", "utf-8").lower(), piece[end + 4 :])
