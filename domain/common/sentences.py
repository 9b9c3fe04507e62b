"""What a sentence of an answer is: a code, the values in it and its words. The words stand in a table."""

import msgspec

Value = str | int | float | bool | None | tuple[str, ...]


class Sentence(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """One sentence: its code, the values in it (rounded as they are said), and its words in English."""

    code: str
    values: dict[str, Value]
    words: str
