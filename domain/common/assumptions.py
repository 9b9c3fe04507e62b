"""What an answer takes for granted because nobody told it, or told it clearly."""

import msgspec

from domain.common.sentences import Value


class Assumption(msgspec.Struct, frozen=True, kw_only=True):
    """Something taken for granted: of which field, what, and why.

    code and values are those of `why`; where `assumed` is words, they are the text of ``<code>.assumed`` with the same
    values.
    """

    field: str
    assumed: str | float | bool
    why: str
    code: str
    values: dict[str, Value]
