"""Answers in another language (``Accept-Language``): their sentences said again from their codes and values.

Nothing is computed again and no sentence is kept apart: wherever an answer holds a code and its values, its words are
made anew from the table of the language. Names, identifiers, numbers and dates stay as they are.
"""

from typing import Any

import msgspec

from api.answer_forms import weights
from domain.common.sentences import Value
from domain.tables.words import LANGUAGES, Language, texts, words_of


def language_of(accept: str | None) -> Language:
    """The language with the highest weight of those there are (RFC 9110, section 12.5.4), else English.

    A range stands for all that begins with it, and a longer range falls back to its first part: ``de-AT`` is German.
    """
    if not accept:
        return "en"
    wanted = weights(accept)

    def weight(language: Language) -> float:
        asked = [told for name, told in wanted.items() if name.partition("-")[0] == language]
        return max(asked, default=wanted.get("*", 0.0))

    best = max(LANGUAGES, key=weight)  # max takes the first of equal ones
    return best if weight(best) > 0.0 else "en"


def in_language(encoded: bytes, language: Language) -> bytes:
    """An answer in JSON with its sentences in a language."""
    return msgspec.json.encode(_said_again(msgspec.json.decode(encoded), language))


def _said_again(node: Any, language: Language) -> Any:
    if isinstance(node, list):
        return [_said_again(each, language) for each in node]
    if not isinstance(node, dict):
        return node
    again = {name: _said_again(each, language) for name, each in node.items()}
    code, values = node.get("code"), node.get("values")
    if isinstance(code, str) and isinstance(values, dict):
        told: dict[str, Value] = {name: tuple(one) if isinstance(one, list) else one for name, one in values.items()}
        for member, said in (("words", code), ("why", code), ("assumed", f"{code}.assumed")):
            if isinstance(node.get(member), str):
                again[member] = _words(said, told, language) or node[member]
    return again


def _words(code: str, values: dict[str, Value], language: Language) -> str | None:
    """The words of a code, or of the caution of that code, with these values; None where the member is no sentence."""
    for known in (code, f"caution.{code}"):
        if known in texts() and texts()[known].slots.keys() <= values.keys():
            return words_of(known, dict(values), language)
    return None
