"""What texts say of cultivars that bloom together, beside positions."""

from domain.adoption.companions import adopt
from tests.domain.adoption.made_up import observed


def test_a_list_of_one_class_makes_companions_of_its_members() -> None:
    said = [observed(name, "bloom_class", "same time", list_id="florida", source_id="text") for name in ("a", "b", "c")]
    found = adopt(said, [])
    assert found["a", "blooms_with"].value == "b c"
    assert found["c", "blooms_with"].sources == ("text",)


def test_a_cross_counts_both_ways_only_where_the_text_tells_of_bloom() -> None:
    told = observed("a", "cross", "works", scheme="pollen of b", note="b blooms later", source_id="leaflet")
    controlled = observed("a", "cross", "works", scheme="pollen of c", note="set of 60 percent")
    fails = observed("a", "cross", "does_not_work", scheme="pollen of d", note="blooms earlier")
    found = adopt([], [told, controlled, fails])
    assert {key: finding.value for key, finding in found.items()} == {
        ("a", "blooms_with"): "b",
        ("b", "blooms_with"): "a",
    }


def partners(*crosses: tuple[str, str]) -> dict[str, str]:
    """Partners by cultivar where each cross of a with b is told (document, verdict)."""
    told = [observed("a", "cross", verdict, scheme="pollen of b", source_id=document) for document, verdict in crosses]
    listed = [observed(name, "bloom_class", "same time", list_id="florida", source_id="list") for name in ("a", "b")]
    found = adopt(listed, told)
    return {one: finding.value for (one, trait), finding in found.items() if trait == "named_partners"}


def test_two_documents_make_partners_and_one_does_not() -> None:
    assert partners() == {}
    assert partners(("list", "works")) == {}
    assert partners(("leaflet", "works")) == {"a": "b", "b": "a"}


def test_a_cross_that_fails_anywhere_makes_no_partners() -> None:
    assert partners(("leaflet", "works"), ("trial", "does_not_work")) == {}
