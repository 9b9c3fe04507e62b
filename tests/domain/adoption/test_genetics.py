"""Ploidy, alleles, pollen and self-fertility by agreement, with conflicts kept."""

from domain.adoption import genetics
from domain.adoption.voices import FIGURES as VOICES
from domain.adoption.voices import weak_voices
from domain.tables.cultivars import Finding
from domain.tables.observations import Observation
from tests.domain.adoption.made_up import observed

FLOW, INFERRED = "usda-flow-ploidy", "a-snp-survey"


def ploidy(value: str, source_id: str = FLOW, **fields: object) -> Observation:
    return observed("x", "ploidy", value, source_id=source_id, **fields)


def adopted(*observations: Observation) -> dict[tuple[str, str], Finding]:
    return genetics.adopt(observations, lambda name: name.lower().replace(" ", "-"))


def test_flow_cytometry_outweighs_an_inferred_call_and_the_conflict_stays() -> None:
    found = adopted(ploidy("3"), ploidy("2", INFERRED, scheme="inferred from SNP heterozygosity"))["x", "ploidy"]
    assert found.value == "3"
    assert 0.5 < found.agreement < 0.9
    assert found.conflicts == ("2: a-snp-survey",)


def test_a_weak_call_barely_moves_the_prior() -> None:
    weak = adopted(ploidy("3", INFERRED, scheme="inferred", note="near the threshold, weak call"))["x", "ploidy"]
    assert weak.value == "2"
    assert weak.agreement < 0.8


def test_one_source_votes_once() -> None:
    once = adopted(ploidy("3"))["x", "ploidy"]
    twice = adopted(ploidy("3"), ploidy("3"))["x", "ploidy"]
    assert once.agreement == twice.agreement


def test_pollen_follows_ploidy_where_nobody_tested_it() -> None:
    triploid = adopted(ploidy("3"))["x", "pollen"]
    diploid = adopted(ploidy("2"))["x", "pollen"]
    assert (triploid.value, triploid.basis) == ("poor", "computed")
    assert diploid.value == "viable"


def test_tested_pollen_is_published() -> None:
    good = adopted(ploidy("2"), observed("x", "pollen_viability", "89.9", numbers=89.9, unit="percent"))["x", "pollen"]
    bad = adopted(observed("x", "pollen_viability", "12", numbers=12, unit="percent"))["x", "pollen"]
    assert (good.value, good.basis) == ("viable", "published")
    assert bad.value == "poor"


def test_a_text_that_names_no_ploidy_infers_it_by_its_pollen_or_its_alleles() -> None:
    good = adopted(observed("x", "pollen_viability", "good"))["x", "ploidy"]
    alleles = adopted(observed("x", "s_alleles", "S1 S9"))["x", "ploidy"]
    assert (good.value, good.basis) == (alleles.value, alleles.basis) == ("2", "published")
    assert ("x", "ploidy") not in adopted(observed("x", "pollen_viability", "poor"))
    assert ("x", "ploidy") not in adopted(observed("x", "s_alleles", "S1 S9", source_id="from-memory"))


def test_a_weak_voice_infers_no_ploidy_and_counts_as_weak() -> None:
    """Falstaff was a diploid at 0.99 by a shop's good pollen, and that ploidy then backed the pollen."""
    shop = adopted(observed("x", "pollen_viability", "good", source_id="bobwells-apples"))
    assert ("x", "ploidy") not in shop
    assert (shop["x", "pollen"].value, shop["x", "pollen"].agreement) == ("viable", VOICES.alone_agreement)
    assert ("x", "ploidy") not in adopted(observed("x", "s_alleles", "S1 S9", source_id="bobwells-apples"))


def test_what_a_trait_infers_of_the_ploidy_does_not_judge_that_trait() -> None:
    pollen = adopted(
        observed("x", "pollen_viability", "good", source_id="a"),
        observed("x", "pollen_viability", "poor", source_id="b"),
    )
    assert pollen["x", "ploidy"].value == "2"
    assert pollen["x", "pollen"].agreement == 0.5
    two = [observed("x", "s_alleles", "S2 S9", source_id=source) for source in ("a", "b")]
    three = [observed("x", "s_alleles", "S2 S3 S9", source_id=source) for source in ("c", "d", "e")]
    assert adopted(*two, *three)["x", "s_genotype"].value == "S2 S3 S9"


def test_what_a_document_names_goes_before_what_it_infers() -> None:
    named = adopted(ploidy("3"), observed("x", "pollen_viability", "good", source_id=FLOW))["x", "ploidy"]
    assert (named.value, named.observations, named.conflicts) == ("3", 1, ())


def test_a_sellers_word_on_pollen_yields_to_a_known_ploidy() -> None:
    """Arkansas Black was poor by one seller, against two calls of a diploid."""
    poor = observed("x", "pollen_viability", "poor", source_id="bobwells-apples")
    assert adopted(ploidy("2"), poor)["x", "pollen"].value == "viable"
    assert adopted(poor)["x", "pollen"].value == "poor"


def test_alleles_are_sorted_by_number_and_one_is_no_genotype() -> None:
    assert genetics.alleles("S10 S3") == ("S3", "S10")
    assert ("x", "s_genotype") not in adopted(observed("x", "s_alleles", "S24"))
    assert adopted(observed("x", "s_alleles", "S9 S3"))["x", "s_genotype"].value == "S3 S9"


def test_general_knowledge_yields_to_one_text() -> None:
    found = adopted(observed("x", "s_alleles", "S2 S5", source_id="from-memory"), observed("x", "s_alleles", "S3 S5"))[
        "x", "s_genotype"
    ]
    assert (found.value, found.basis) == ("S3 S5", "published")
    assert found.conflicts
    alone = adopted(observed("x", "s_alleles", "S2 S5", source_id="from-memory"))["x", "s_genotype"]
    assert alone.basis == "from-memory"
    assert alone.agreement <= 0.8


def test_three_alleles_against_a_diploid_are_kept_back() -> None:
    found = adopted(
        ploidy("2"), observed("x", "s_alleles", "S2 S3 S9"), observed("x", "s_alleles", "S2 S9", source_id="b")
    )
    genotype = found["x", "s_genotype"]
    assert genotype.value == "S2 S9"
    assert any("more alleles" in conflict for conflict in genotype.conflicts)


def child_of(alleles: str) -> Finding:
    return adopted(
        observed("x", "parentage", "Mother x Father"),
        observed("mother", "s_alleles", "S1 S2"),
        observed("father", "s_alleles", "S3 S5"),
        observed("x", "s_alleles", alleles),
    )["x", "s_genotype"]


def test_parentage_rules_out_and_never_in() -> None:
    possible, impossible = child_of("S1 S5"), child_of("S1 S7")
    assert possible.agreement == 1.0
    assert not possible.conflicts
    assert impossible.agreement == 0.5
    assert "mother x father" in impossible.conflicts[-1]
    none_known = adopted(
        observed("x", "parentage", "Mother x Father"),
        observed("mother", "s_alleles", "S1 S2"),
        observed("father", "s_alleles", "S3 S5"),
    )
    assert ("x", "s_genotype") not in none_known


def test_both_alleles_of_one_parent_are_impossible_too() -> None:
    assert child_of("S1 S2").agreement == 0.5


def test_two_diploids_have_no_tetraploid_child() -> None:
    found = adopted(
        observed("x", "parentage", "Mother x Father"),
        *(observed(name, "ploidy", "2", source_id=FLOW) for name in ("mother", "father")),
        ploidy("4"),
    )["x", "ploidy"]
    assert any("tetraploid" in conflict for conflict in found.conflicts)


def test_that_a_tree_needs_no_other_is_heard_from_a_shop_only_beside_a_text() -> None:
    shop = observed("x", "self_fertility", "partly self-fertile", source_id="sentinel-hull-2013")
    assert "sentinel-hull-2013" in weak_voices()
    assert ("x", "self_fertility") not in adopted(shop)
    sterile = observed("x", "self_fertility", "self-sterile", source_id="a")
    assert adopted(shop, sterile)["x", "self_fertility"].value == "self_incompatible"
    assert adopted(shop, sterile)["x", "self_fertility"].agreement == 1.0
    text = observed("x", "self_fertility", "partly", source_id="b")
    assert adopted(shop, text)["x", "self_fertility"].observations == 2


def test_self_fertility_is_elected() -> None:
    found = adopted(
        observed("x", "self_fertility", "partly self-fertile", source_id="a"),
        observed("x", "self_fertility", "partly", source_id="b"),
        observed("x", "self_fertility", "self-sterile", source_id="c"),
    )["x", "self_fertility"]
    assert found.value == "partly_self_fertile"
    assert found.conflicts == ("self_incompatible (0.33)",)
