"""Forms of an answer beside JSON, and which of them a caller asks for (``Accept``; RFC 9110, section 12.5.1)."""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from api.problems import MEDIA_TYPE, NOT_ACCEPTABLE, Refusal

JSON = "application/json"


@dataclass(frozen=True)
class Form:
    """A form of an answer: its media type, what it is, and how it is written of what was asked and answered."""

    media_type: str
    description: str
    write: Callable[[Any, Any], str]
    fits: Callable[[Any], bool] = lambda _: True
    """Whether an answer to what was asked has this form."""


def written(
    accept: str | None, forms: Sequence[Form], asked: Any, answered: Callable[[], Any]
) -> tuple[str, str] | None:
    """The answer in the form that is accepted, its media type first; None where that is JSON.

    answered: computes the answer, once a form is found. Raises Refusal (406) where no accepted form fits what is asked.
    """
    fitting = {form.media_type: form for form in forms if form.fits(asked)}
    kind = chosen(accept, (JSON, *fitting))
    if kind is None:
        told = ", ".join(form.description for form in forms if form.media_type not in fitting)
        raise Refusal(NOT_ACCEPTABLE, f"What is asked for has no such form. Of the forms of this address: {told}")
    return None if kind == JSON else (kind, fitting[kind].write(asked, answered()))


def chosen(accept: str | None, offered: Sequence[str]) -> str | None:
    """The offered media type with the highest weight, of equal ones the first; None where none is accepted.

    Without a header every form is accepted. Whoever accepts problem documents, and no other form that is offered, is
    taken to accept JSON.
    """
    if not accept or not accept.strip():
        return offered[0]
    told = weights(accept)
    best = max(offered, key=lambda kind: _weight(kind, told))  # max takes the first of equal ones
    if _weight(best, told) > 0.0:
        return best
    return JSON if JSON in offered and JSON not in told and told.get(MEDIA_TYPE, 0.0) > 0.0 else None


def _weight(kind: str, weights: dict[str, float]) -> float:
    """The weight that the most specific range gives a media type."""
    ranges: Iterable[str] = (kind, f"{kind.split('/', maxsplit=1)[0]}/*", "*/*")
    return next((weights[one] for one in ranges if one in weights), 0.0)


def weights(accept: str) -> dict[str, float]:
    """Media or language range -> weight, 0 to 1; parameters other than the weight are passed over."""
    found: dict[str, float] = {}
    for part in accept.lower().split(","):
        name, *parameters = (piece.strip() for piece in part.split(";"))
        weight = next((told[2:] for told in parameters if told.startswith("q=")), "1")
        found[name] = min(float(weight), 1.0) if re.fullmatch(r"[01](\.\d{0,3})?", weight) else 1.0
    return found
