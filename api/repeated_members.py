"""Objects of a JSON text that name a member twice: RFC 8259 leaves open which one counts, and decoders keep the last.

Told from the text itself, at less than the cost of decoding it: between two quotation marks lies a string, or what
stands outside of strings, where only braces and the colon after a name matter. The work grows with the length of the
text, whatever it names.
"""

import re

import msgspec

from api.giving_way import give_way

_COLON = re.compile(rb"[ \t\r\n]*:")
_NO_BRACES = bytes(sorted(set(range(256)) - set(b"{}")))
_OPEN = ord("{")
_BETWEEN_LOOKS = 512
"""Pieces of the text, of half a microsecond each, between looks whether something short should go first."""


def repeated_members(text: bytes) -> tuple[str, ...]:
    """The names that some object of a valid JSON text gives to two members, sorted; escapes are seen through."""
    escaped = b"\\" in text
    if escaped:  # so that every quotation mark left begins or ends a string
        text = text.replace(b"\\\\", b"\\u005c").replace(b'\\"', b"\\u0022")
    pieces = text.split(b'"')
    named: list[set[bytes]] = []
    twice: set[bytes] = set()
    for place in range(0, len(pieces), 2):
        if not place % _BETWEEN_LOOKS:
            give_way()
        outside = pieces[place]
        if place and _COLON.match(outside):
            name = _plain(pieces[place - 1]) if escaped else pieces[place - 1]
            if name in named[-1]:
                twice.add(name)
            named[-1].add(name)
        for brace in outside.translate(None, _NO_BRACES):
            if brace == _OPEN:
                named.append(set())
            else:
                named.pop()
    return tuple(sorted(name.decode("utf-8", "replace") for name in twice))


def _plain(name: bytes) -> bytes:
    """A name with its escapes resolved, so that equal names are equal bytes; a lone surrogate stays as it is."""
    if b"\\" not in name:
        return name
    try:
        return msgspec.json.decode(b'"' + name + b'"', type=str).encode()
    except (msgspec.DecodeError, UnicodeError):
        return name
