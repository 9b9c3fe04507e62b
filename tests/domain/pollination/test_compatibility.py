"""Genes of pairs: direction, sports, triploids, unknown and remembered genotypes."""

from dataclasses import dataclass

import msgspec
import numpy as np
import pytest

from domain.pollination import compatibility
from domain.pollination.bloom_overlap import reference_windows
from domain.pollination.compatibility import alleles, pollen_fits
from domain.pollination.kinship import sport_group
from domain.pollination.pairs import PairTable, blooming_share, pair_table
from domain.pollination.pairs_in_words import PollinationPair, explain
from domain.tables.cultivars import Cultivar, Estimate
from domain.tables.loading import load
from tests.domain.pollination.orchard import cultivar


def table(*cultivars: Cultivar) -> PairTable:
    by_id = {one.id: one for one in cultivars}
    return pair_table(cultivars, by_id, reference_windows(cultivars))


def pair(pollinated: Cultivar, pollen_from: Cultivar) -> PollinationPair:
    return explain(table(pollinated, pollen_from), [(0, 1)])[0]


@dataclass(frozen=True)
class Cross:
    female: str | None
    male: str | None
    compatibility: str
    verdict: str


@pytest.mark.parametrize(
    "cross",
    [
        Cross("S2 S3", "S7 S9", "compatible", "effective"),
        Cross("S2 S3", "S3 S9", "semi_compatible", "effective"),
        Cross("S2 S3", "S2 S3", "incompatible", "ineffective"),
        Cross("S2 S3", None, "not_tested", "effective"),
        Cross(None, "S2 S3", "not_tested", "effective"),
        Cross("S2 S3", "S2", "not_tested", "effective"),
    ],
)
def test_class_and_verdict_follow_the_alleles(cross: Cross) -> None:
    found = pair(cultivar("Female", alleles=cross.female), cultivar("Male", alleles=cross.male))
    assert (found.compatibility, found.verdict) == (cross.compatibility, cross.verdict)


def test_direction_matters_between_a_triploid_and_a_diploid() -> None:
    triploid = cultivar("Triploid", alleles="S2 S3 S9", ploidy="3")
    diploid = cultivar("Diploid", alleles="S2 S3")
    pairs = table(triploid, diploid)
    assert explain(pairs, [(0, 1)])[0].compatibility == "incompatible"
    assert explain(pairs, [(1, 0)])[0].compatibility == "semi_compatible"
    assert explain(pairs, [(1, 0)])[0].verdict == "ineffective"
    assert "triploid_pollen" in [reason.code for reason in explain(pairs, [(1, 0)])[0].reasons]


def test_not_tested_fits_97_times_in_100() -> None:
    found = pair(cultivar("Female"), cultivar("Male"))
    assert found.probability == pytest.approx(0.97 * 0.99, abs=0.02)


def test_semi_compatible_is_less_likely_than_compatible() -> None:
    full = pair(cultivar("Female", alleles="S2 S3"), cultivar("Male", alleles="S7 S9"))
    half = pair(cultivar("Female", alleles="S2 S3"), cultivar("Male", alleles="S3 S9"))
    assert full.probability is not None
    assert half.probability is not None
    assert half.probability < full.probability


@pytest.mark.parametrize("bloom_apart", [0.0, 2.0, 4.0])
def test_genotype_from_memory_lowers_but_never_vetoes(bloom_apart: float) -> None:
    remembered = cultivar("Male", bloom_apart, alleles="S2 S5", basis="from-memory")
    found = pair(cultivar("Female", alleles="S2 S5"), remembered)
    unknown = pair(cultivar("Female", alleles="S2 S5"), cultivar("Male", bloom_apart))
    assert found.verdict == "partial"
    assert found.compatibility == "not_tested"
    assert found.reasons[0].code == "alleles_from_memory"
    assert found.probability is not None
    assert unknown.probability is not None
    assert found.probability < unknown.probability


def test_diploid_from_memory_serves_and_triploid_from_memory_is_not_ruled_out() -> None:
    apple = cultivar("Apple")
    diploid = cultivar("Diploid", ploidy="2", ploidy_basis="from-memory")
    triploid = cultivar("Triploid", ploidy="3", ploidy_basis="from-memory")
    assert pair(apple, diploid).verdict == "effective"
    assert pair(apple, triploid).verdict == "partial"


def test_disputed_genotype_is_not_stated_as_tested() -> None:
    found = pair(cultivar("Female", alleles="S2 S5"), cultivar("Male", alleles="S2 S5", agreement=0.6))
    assert found.compatibility == "not_tested"
    assert found.verdict == "partial"
    assert found.reasons[0].code == "alleles_disputed"


def test_sports_of_one_cultivar_count_as_one_through_the_chain() -> None:
    original = cultivar("Original")
    sport = cultivar("Sport", sport_of="original")
    sport_of_sport = cultivar("Second Sport", sport_of="sport")
    pairs = table(original, sport, sport_of_sport)
    assert {sport_group(one, {c.id: c for c in pairs.cultivars}) for one in pairs.cultivars} == {"original"}
    assert (pairs.verdict == 1).all()
    assert explain(pairs, [(0, 2)])[0].reasons[0].code == "same_cultivar"


def test_sport_whose_parents_name_each_other_ends() -> None:
    one, other = cultivar("One", sport_of="other"), cultivar("Other", sport_of="one")
    assert sport_group(one, {"one": one, "other": other}) == "other"


def test_siblings_are_judged_by_alleles_not_by_kinship() -> None:
    """Two seedlings of one cross may share both alleles, one or none; nothing else is asked."""
    first, second = cultivar("First Seedling", alleles="S1 S7"), cultivar("Second Seedling", alleles="S3 S9")
    assert pair(first, second).verdict == "effective"


@pytest.mark.parametrize(
    ("self_fertility", "texts", "verdict"),
    [
        (None, 1, "ineffective"),
        ("self_incompatible", 1, "ineffective"),
        ("partly_self_fertile", 1, "partial"),
        ("self_fertile", 1, "partial"),
        ("self_fertile", 5, "effective"),
    ],
)
def test_self_verdict_follows_self_fertility_as_far_as_texts_agree(
    self_fertility: str | None, texts: int, verdict: str
) -> None:
    """One text moves what holds for any apple; several together overcome it."""
    alone = table(cultivar("Alone", self_fertility=self_fertility, texts=texts))
    assert explain(alone, [(0, 0)])[0].verdict == verdict


def test_kin_without_genotypes_are_told_as_kin() -> None:
    mother = cultivar("Mother")
    child = cultivar("Child", parentage="Mother x Father")
    sibling = cultivar("Sibling", parentage="Father x Mother")
    half, stranger = cultivar("Half", parentage="Father x Other"), cultivar("Stranger")
    told = {
        "parent_and_child": pair(child, mother),
        "full_siblings": pair(child, sibling),
        "half_siblings": pair(child, half),
        "not_tested": pair(child, stranger),
    }
    assert {code: found.reasons[0].code for code, found in told.items()} == {code: code for code in told}
    chances = [told[code].probability or 0.0 for code in ("full_siblings", "parent_and_child", "half_siblings")]
    assert chances == sorted(chances)
    assert chances[-1] < (told["not_tested"].probability or 0.0)


def test_kin_whom_texts_name_as_partners_count_like_strangers() -> None:
    mother = cultivar("Mother")
    child = cultivar("Child", parentage="Mother x Father", named_partners="mother")
    named, strange = pair(child, mother), pair(child, cultivar("Stranger"))
    assert named.reasons[0].code == "named_partners"
    assert named.probability == strange.probability
    assert pair(mother, child).reasons[0].code == "parent_and_child"  # a table names them in both directions


def test_of_a_triploid_texts_that_name_partners_do_not_outweigh_kinship() -> None:
    child = cultivar("Child", parentage="Mother x Father", named_partners="mother", ploidy="3")
    assert pair(child, cultivar("Mother")).reasons[0].code == "parent_and_child"


def test_partners_whose_alleles_are_known_are_judged_by_alleles() -> None:
    child = cultivar("Child", alleles="S1 S2", named_partners="mother")
    assert pair(child, cultivar("Mother", alleles="S1 S2")).reasons[0].code == "alleles_shared"


def test_kin_with_genotypes_are_judged_by_alleles() -> None:
    child = cultivar("Child", alleles="S1 S2", parentage="Mother x Father")
    mother = cultivar("Mother", alleles="S1 S3")
    assert pair(child, mother).reasons[0].code == "alleles_partly_shared"


def test_off_years_weigh_in_the_pair() -> None:
    """The chance of a pair and its years count the off years of its source alike."""
    steady, resting = cultivar("Steady"), cultivar("Resting")
    resting = msgspec.structs.replace(
        resting,
        numbers={**resting.numbers, "biennial": Estimate(value=1.0, deviation=0.1, unit="1", basis="published")},
    )
    pollinated = cultivar("Pollinated")
    often, seldom = pair(pollinated, steady).probability, pair(pollinated, resting).probability
    assert often is not None
    assert seldom == pytest.approx(blooming_share(resting) * often, abs=0.01)
    assert 0.7 < blooming_share(resting) < 0.8


def test_self_verdict_stands_without_a_bloom_date() -> None:
    alone = explain(table(cultivar("Alone", None, self_fertility="partly_self_fertile")), [(0, 0)])[0]
    assert alone.verdict == "partial"
    assert alone.probability == pytest.approx(0.3, abs=0.02)
    assert alone.overlap_days is None


def test_unknown_only_where_bloom_or_ploidy_is_unknown() -> None:
    known = cultivar("Known")
    assert pair(known, cultivar("No Bloom", None)).verdict == "unknown"
    assert pair(cultivar("No Bloom", None), known).probability is None
    assert pair(known, cultivar("No Ploidy", ploidy=None)).verdict == "unknown"
    assert pair(cultivar("No Ploidy", ploidy=None), known).verdict == "effective"
    assert pair(known, cultivar("Good Pollen", ploidy=None, pollen="viable")).verdict == "effective"


def test_what_cannot_fit_is_ineffective_even_where_bloom_is_unknown() -> None:
    known = cultivar("Known", alleles="S2 S3")
    assert pair(known, cultivar("Triploid", None, ploidy="3")).verdict == "ineffective"
    assert pair(known, cultivar("Same Alleles", None, alleles="S2 S3")).verdict == "ineffective"


def test_crab_apple_of_unrecorded_ploidy_serves() -> None:
    found = pair(cultivar("Apple"), cultivar("Crab", ploidy=None, kind="crab_apple"))
    assert found.verdict == "effective"
    assert "crab_ploidy_not_recorded" in [reason.code for reason in found.reasons]


def test_pollen_called_poor_rules_over_diploidy() -> None:
    found = pair(cultivar("Apple"), cultivar("Sterile", pollen="poor"))
    assert (found.pollen, found.verdict) == ("poor", "ineffective")


def test_triploid_needs_three_alleles_for_a_complete_genotype() -> None:
    assert alleles(cultivar("Triploid", alleles="S2 S3", ploidy="3")) == frozenset()
    assert alleles(cultivar("Diploid", alleles="S2 S3")) == {"S2", "S3"}


def test_vector_and_words_agree_for_many_pairs() -> None:
    rng = np.random.default_rng(20)
    genotypes = [None, "S2 S3", "S3 S5", "S7 S9"]
    many = [
        cultivar(
            f"Cultivar {n}",
            float(rng.normal(0, 5)),
            alleles=genotypes[rng.integers(4)],
            ploidy=["2", "2", "3", None][rng.integers(4)],
        )
        for n in range(25)
    ]
    pairs = table(*many)
    for i in range(len(many)):
        for j in range(len(many)):
            alone = pair(many[i], many[j]) if i != j else explain(table(many[i]), [(0, 0)])[0]
            assert explain(pairs, [(i, j)])[0] == alone


def test_no_genotype_at_all_is_answered() -> None:
    fits = pollen_fits([cultivar("One"), cultivar("Other")], {})
    assert fits.compatibility.tolist() == [[3, 0], [0, 3]]


def test_many_pollinated_are_compared_by_blocks_as_all_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    tables = load()
    cultivars = tuple(one for one in tables.by_id.values() if one.status == "advised")[:150]
    assert len(cultivars) > 2 * compatibility.ROWS_AT_ONCE
    by_blocks = pollen_fits(cultivars, tables.by_id)
    monkeypatch.setattr(compatibility, "ROWS_AT_ONCE", len(cultivars))
    at_once = pollen_fits(cultivars, tables.by_id)
    for name in ("compatibility", "chance", "chance_without_memory", "from_memory"):
        assert np.array_equal(getattr(by_blocks, name), getattr(at_once, name))
        assert len(np.unique(getattr(at_once, name))) > 1
