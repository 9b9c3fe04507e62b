"""Which open lists are asked as places where nobody sprays: by the words of documents, not by what they reject."""

import pytest

from domain.tables.loading import load
from tests.published.open_lists import UNSPRAYED, OpenLists


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("robust unsprayed", True),
        ("old, hardy to disease without sprays", True),
        ("for gardens where nobody sprays", True),
        ("a no-spray orchard", True),
        ("low-care gardens", True),
        ("scab, for organic growing", False),
        ("major diseases make home or organic growing difficult", False),
        ("not recommended in the area by others, works with calcium sprays", False),
        ("very susceptible to disease, scabby fruit", False),
    ],
)
def test_words_that_say_nobody_sprays(words: str, says: bool) -> None:
    assert (UNSPRAYED.search(words) is not None) == says


def test_lists_that_say_so_are_asked_so_whether_they_reject_or_not() -> None:
    lists = OpenLists(load())
    assert lists.unsprayed & lists.fitted == {"bergisches-mix", "dk-unsprayed", "jardindespepins"}
    assert not lists.named("bergisches-mix", "not_recommended")
    for reasons_alone in ("elwood-2018", "goodfruit-emr", "obstzentrum-shop"):
        assert reasons_alone not in lists.unsprayed
