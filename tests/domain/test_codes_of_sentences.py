"""Every code that a kind of sentence may have has its text, and no text of a kind is left unsaid."""

import importlib
import pkgutil
from typing import get_args, get_type_hints

import pytest

import domain
from domain.tables.words import Sentence, texts

NEVER_SERVING = "domain.adoption"


def kinds() -> list[type[Sentence]]:
    """Every kind of sentence with a closed set of codes."""
    for module in pkgutil.walk_packages(domain.__path__, "domain."):
        if not module.name.startswith(NEVER_SERVING):
            importlib.import_module(module.name)
    return sorted(_below(Sentence), key=lambda kind: kind.__name__)


def _below(kind: type[Sentence]) -> set[type[Sentence]]:
    return {kind for direct in kind.__subclasses__() for kind in (direct, *_below(direct))}


@pytest.mark.parametrize("kind", kinds(), ids=lambda kind: kind.__name__)
def test_every_code_of_a_kind_has_its_text(kind: type[Sentence]) -> None:
    codes = get_args(get_type_hints(kind)["code"])
    assert codes, f"{kind.__name__} has no closed set of codes"
    assert len(set(codes)) == len(codes)
    assert [code for code in codes if code not in texts()] == []
