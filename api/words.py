"""What the codes of the answers say: every code with its text in a language and the slots of its values."""

from typing import Annotated

import msgspec

from api.advisor import Advisor, Versions
from api.collections import Listing, Single, collection
from api.operations import Example
from api.pages import DEFAULT_PAGE_LIMIT, Cursor, PageLimit
from api.problems import UNKNOWN_CODE, Fault, Refusal
from domain.tables.words import Language, Text, texts

InLanguage = Annotated[
    Language, msgspec.Meta(description="Language of the texts; what it lacks is in English.", examples=["de"])
]


class LanguageQuery(msgspec.Struct, frozen=True, kw_only=True):
    """The query of one text."""

    language: InLanguage = "en"


class WordQuery(LanguageQuery, frozen=True, kw_only=True):
    """The query of the list."""

    page_limit: PageLimit = DEFAULT_PAGE_LIMIT
    cursor: Cursor | None = None


class WordPage(msgspec.Struct, frozen=True, kw_only=True):
    """A page of texts; `next` is the cursor of the page after it, null on the last."""

    versions: Versions
    items: tuple[Text, ...]
    next: str | None


class WordAnswer(Text, frozen=True, kw_only=True):
    """One text."""

    versions: Versions


def list_words(_: Advisor, asked: WordQuery) -> list[Text]:
    """Every code of a sentence, and every label of a closed set as `family.code`, by code; `slots` tell each value."""
    return [text for _, text in sorted(texts(asked.language).items())]


def tell_word(advisor: Advisor, code: str, asked: LanguageQuery) -> WordAnswer:
    """One text by its code."""
    text = texts(asked.language).get(code)
    if text is None:
        detail = f"No text has the code “{code[:80]}”."
        raise Refusal(UNKNOWN_CODE, detail, [Fault(detail=detail, parameter="code", location="path")])
    return WordAnswer(**msgspec.structs.asdict(text), versions=advisor.versions)


WORDS = collection(
    "/v1/words",
    Listing(
        operation_id="listWords",
        summary="Words of the answers",
        query=WordQuery,
        page=WordPage,
        find=list_words,
        record=lambda one: one,
        example=Example("words", "/v1/words?page_limit=3"),
        key=lambda text: text.code,
    ),
    Single(
        operation_id="getWord",
        summary="One text",
        query=LanguageQuery,
        tell=tell_word,
        parameter="code",
        in_path="Code of a sentence, or family.code of a label.",
        unknown=UNKNOWN_CODE,
        example=Example("chill-enough", "/v1/words/chill_enough"),
    ),
    title="What the codes of the answers say, with their slots",
    tag="words",
)
