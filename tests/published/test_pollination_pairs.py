"""Pollination against published crosses, charts and lists.

data/pollination_crosses.csv, triploid_pollen.csv and self_set.csv, a source in every row.

The adopted tables are used as they are, and most of these documents are among their evidence: such cases are marked as
fitted on. A chart is compared by its genes and pollen, in bloom together, unless bloom is
what it is about; crosses of cultivars that the catalogue lacks are left out and counted.
"""

from functools import cache

import numpy as np
import pytest

from domain.pollination.bloom_overlap import BloomWindows
from domain.pollination.pairs import pair_table
from domain.pollination.pairs_in_words import PollinationPair, explain
from domain.tables.cultivars import Cultivar
from domain.tables.loading import Tables, load
from tests.published.cases import Case, cases, parametrized


@cache
def tables() -> Tables:
    return load()


def known(name: str) -> Cultivar | None:
    found = tables().names.resolve(name)
    return None if found is None else tables().by_id[found]


def pair(pollinated: str, pollen_from: str) -> PollinationPair | None:
    """The pair as if both bloomed at one time; None if the catalogue lacks one of them."""
    female, male = known(pollinated), known(pollen_from)
    if female is None or male is None:
        return None
    zero = np.zeros((2, 1), dtype=np.float32)
    ten = zero + np.float32(10)
    in_bloom = BloomWindows(zero, zero + np.float32(4), ten, np.zeros((2, 1), dtype=np.float32), at_site=False)
    return explain(pair_table([female, male], tables().by_id, in_bloom), [(0, 1)])[0]


def crosses(truth: str) -> list[tuple[str, str]]:
    """Female and male of the crosses of which this was published."""
    return [(c["pollinated"], c["pollen_from"]) for c in cases("pollination_crosses.csv") if c["truth"] == truth]


@pytest.mark.fitted_on
def test_crosses_that_set_are_never_called_ineffective() -> None:
    found = {names: pair(*names) for names in crosses("sets")}
    judged = {names: one for names, one in found.items() if one is not None}
    assert len(judged) >= 30
    assert [names for names, one in judged.items() if one.verdict == "ineffective"] == []
    # Where ploidy is known the verdict is effective, unless only memory tells a genotype.
    settled = [one for one in judged.values() if one.verdict != "unknown"]
    effective = [one for one in settled if one.verdict == "effective"]
    assert len(settled) >= 20
    assert len(effective) / len(settled) >= 0.9


@pytest.mark.fitted_on
def test_crosses_that_fail_by_genes_are_called_ineffective() -> None:
    found = {names: pair(*names) for names in crosses("fails by genes")}
    judged = {names: one.verdict for names, one in found.items() if one is not None}
    assert len(judged) >= 5
    assert {names: verdict for names, verdict in judged.items() if verdict != "ineffective"} == {}


@pytest.mark.fitted_on
def test_chart_without_genotypes_is_contradicted_openly() -> None:
    """Unknown is not unsuited: what no genotype tells is called not tested, even where a handbook says it fails.

    Sports of McIntosh among them are known as sports, and are not called effective.
    """
    for names in crosses("fails, no genotype"):
        found = pair(*names)
        if found is None:
            continue
        if found.verdict == "effective":
            assert found.compatibility == "not_tested"
            assert found.reasons[0].code in ("not_tested", "half_siblings", "parent_and_child", "alleles_from_memory")
        if all("McIntosh" in name and not name.startswith("Early") for name in names):
            assert found.reasons[0].code == "same_cultivar"
            assert found.verdict in ("partial", "ineffective")


@parametrized("triploid_pollen.csv", lambda case: case["cultivar"])
def test_pollen_of_known_triploids_serves_nobody(case: Case) -> None:
    name = case["cultivar"]
    for apple in ("Golden Delicious", "Idared", "Discovery"):
        found = pair(apple, name)
        assert found is not None
        assert (found.pollen, found.verdict) == ("poor", "ineffective")
    for apple in ("Idared", "Discovery"):
        back = pair(name, apple)
        assert back is not None
        assert back.verdict == "effective"


@pytest.mark.fitted_on
def test_direction_of_jonagold_and_golden_delicious() -> None:
    """S2 S3 S9 takes nothing from S2 S3 (Matsumoto numbering; genotypes of Jonagold and Golden Delicious: Abe et al.,
    "New apple cultivar Ruby Sweet" (abstract); Komori et al., HortScience (abstract))."""
    onto_triploid, onto_diploid = pair("Jonagold", "Golden Delicious"), pair("Golden Delicious", "Jonagold")
    assert onto_triploid is not None
    assert onto_diploid is not None
    assert onto_triploid.compatibility == "incompatible"
    assert onto_diploid.compatibility == "semi_compatible"


def test_jonathan_serves_topred_less_than_golden_delicious_does() -> None:
    """ "Jonathan apple is a lower-potency pollenizer of Topred than Golden Delicious due to partial S-allele
    incompatibility", Journal of Horticultural Science and Biotechnology, 1999 (abstract): set and yield were lower."""
    half, full = pair("Topred", "Jonathan"), pair("Topred", "Golden Delicious")
    assert half is not None
    assert full is not None
    assert half.compatibility == "semi_compatible"
    assert half.verdict == full.verdict == "effective"
    assert (half.probability or 1) < (full.probability or 0)


@parametrized("self_set.csv", lambda case: case["cultivar"])
def test_self_verdict(case: Case) -> None:
    name = case["cultivar"]
    found = pair(name, name)
    if found is None:
        assert known(name) is None
    else:
        assert found.verdict == case["truth"]


def test_no_cultivar_of_the_catalogue_serves_itself_surely_but_the_known_few() -> None:
    """No fully self-compatible apple cultivar was known (Hegedus, International Journal of Horticultural Science 12(2),
    2006, abstract); Megumi and self-fertile clones of Cox are reported since and beside (NIAB, "Self fertility")."""
    advised = [one for one in tables().cultivars if one.status == "advised" and one.kind == "apple"]
    zero = np.zeros((len(advised), 1), dtype=np.float32)
    windows = BloomWindows(zero, zero, zero + np.float32(10), zero, at_site=False)
    alone = pair_table(advised, tables().by_id, windows).self_chance
    assert (alone >= 0.75).sum() <= 5
    assert np.median(alone) < 0.25


@pytest.mark.fitted_on
@pytest.mark.parametrize(("pollinated", "pollen_from"), [("Anna", "Dorsett Golden"), ("Dorsett Golden", "Anna")])
def test_low_chill_partners_count_as_partners(pollinated: str, pollen_from: str) -> None:
    """LeRoy, apples of Montgomery County, Texas (about the only one that blooms with it; more fruit together), and the
    list of the University of Florida, which has them bloom at one time."""
    found = pair(pollinated, pollen_from)
    assert found is not None
    assert found.reasons[0].code == "named_partners"
    assert found.verdict == "effective"


def test_dorsett_golden_is_no_child_of_anna() -> None:
    """Sidnam, Los Angeles Times Magazine, 1 February 1987: a chance seedling of Golden Delicious from the Bahamas."""
    dorsett = known("Dorsett Golden")
    assert dorsett is not None
    assert dorsett.findings["parentage"].value == "Golden Delicious x unknown"
