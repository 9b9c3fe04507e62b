"""Ratings read scheme by scheme, sources weighed by agreement."""

import pytest

from domain.adoption import disease_schemes, tolerances
from domain.tables.cultivars import Estimate, Finding
from domain.tables.loading import load
from tests.domain.adoption.made_up import observed

BEST_TO_WORST = {
    "MR/S/HS: legend": ("mr", "s", "hs"),
    "VR/R/S/HS: legend": ("vr", "r", "s", "hs"),
    "VR = very resistant; R = resistant; MR = moderately resistant; MS = more": ("vr", "r", "mr", "ms", "s", "vs"),
    "R / M / S as printed": ("r", "r-m", "m", "s"),
    "vl l m h vh (letters)": ("vl", "l", "m", "h", "vh"),
    "excellent / good / fair / poor resistance": ("excellent", "good", "fair", "poor"),
    "listed as scab-resistant": ("resistant", "not resistant"),
    "words": ("immune", "highly resistant", "resistant", "moderately resistant", "susceptible", "very susceptible"),
}


@pytest.mark.parametrize("scheme", BEST_TO_WORST)
def test_each_scheme_keeps_its_own_direction(scheme: str) -> None:
    ratings = [disease_schemes.rating(name.upper(), scheme) for name in BEST_TO_WORST[scheme]]
    values = [rating[0] for rating in ratings if rating is not None]
    assert len(values) == len(BEST_TO_WORST[scheme])
    assert values == sorted(values)
    assert len(set(values)) == len(values)


def test_one_word_means_different_things_in_different_schemes() -> None:
    in_a_list = disease_schemes.rating("resistant", "listed as scab-resistant")
    in_words = disease_schemes.rating("resistant", "words; no scale published")
    letter = disease_schemes.rating("R", "R / M / S as printed (legend beyond the text)")
    assert in_a_list is not None
    assert in_words is not None
    assert letter is not None
    assert in_a_list[0] < in_words[0] < letter[0]


def test_a_class_the_scheme_does_not_have_is_no_rating() -> None:
    assert disease_schemes.rating("HS", "R / M / S as printed") is None
    assert disease_schemes.rating("a poem", "words") is None


def test_nearly_every_rating_of_the_tables_has_a_number() -> None:
    told = [
        o
        for topic in ("disease", "fruit", "growth")
        for o in load().by_topic[topic]
        if o.trait in tolerances.adopted_traits()
    ]
    unread = [o for o in told if tolerances.number(o) is None]
    assert len(told) > 1200
    assert len(unread) <= 0.03 * len(told), sorted({(o.trait, o.published, o.scheme) for o in unread})


def scab(cultivar_id: str, published: str, source_id: str) -> object:
    return observed(cultivar_id, "scab", published, scheme="words", source_id=source_id)


def test_a_source_against_all_others_loses_weight() -> None:
    words = ["resistant", "susceptible"] * 8
    contrary = ["susceptible", "resistant"] * 8
    ratings = []
    for number, (word, opposite) in enumerate(zip(words, contrary, strict=True)):
        for source_id in ("a", "b", "c"):
            ratings.append(observed(f"x{number}", "scab", word, scheme="words", source_id=source_id))
        ratings.append(observed(f"x{number}", "scab", opposite, scheme="words", source_id="contrary"))
    errors = tolerances.source_errors(tolerances.ratings(ratings)["scab"])
    assert errors["contrary"] > 2.0 * errors["a"]
    value = tolerances.adopt(ratings)["x0", "susceptibility_scab"]
    assert isinstance(value, Estimate)
    assert value.value < 0.25


def test_nothing_is_made_up_where_no_text_speaks() -> None:
    adopted = tolerances.adopt([observed("x", "scab", "resistant", scheme="words")])
    assert set(adopted) == {("x", "susceptibility_scab")}


def test_resistance_by_one_gene_is_wider() -> None:
    plain = tolerances.adopt([observed("x", "scab", "resistant", scheme="words")])["x", "susceptibility_scab"]
    carrier = tolerances.adopt(
        [observed("x", "scab", "resistant", scheme="words"), observed("x", "scab_gene", "Vf", source_id="other")]
    )
    rated, gene = carrier["x", "susceptibility_scab"], carrier["x", "scab_gene"]
    assert isinstance(plain, Estimate)
    assert isinstance(rated, Estimate)
    assert isinstance(gene, Finding)
    assert rated.value < 0.2
    assert rated.deviation > 0.15
    assert gene.value == "Rvi6"


def test_trees_killed_and_field_scores_are_numbers() -> None:
    scheme = "tree mortality after 7 years with a natural outbreak, percent"
    few = tolerances.adopt([observed("x", "fire_blight", "<20", high=20.0, scheme=scheme)])
    most = tolerances.adopt([observed("x", "fire_blight", "90..100", low=90.0, high=100.0, scheme=scheme)])
    low, high = few["x", "susceptibility_fire_blight"], most["x", "susceptibility_fire_blight"]
    assert isinstance(low, Estimate)
    assert isinstance(high, Estimate)
    assert low.value < 0.35
    assert high.value > 0.85


def test_disorders_and_heat_have_their_own_words() -> None:
    adopted = tolerances.adopt(
        [
            observed("x", "bitter_pit", "not prone", scheme="words"),
            observed("y", "bitter_pit", "prone", scheme="words"),
            observed("y", "heat_tolerance", "good", scheme="words"),
            observed("z", "heat_tolerance", "poor", scheme="words"),
        ]
    )
    values = {key: value.value for key, value in adopted.items() if isinstance(value, Estimate)}
    assert values["x", "bitter_pit"] < values["y", "bitter_pit"]
    assert values["y", "heat_tolerance"] > values["z", "heat_tolerance"]
