"""Pollination against published crosses, charts and lists; beside each stands its source.

The adopted tables are used as they are. A chart is compared by its genes and pollen, in bloom together, unless bloom is
what it is about; crosses of cultivars that the catalogue lacks are left out and counted.
"""

from functools import cache

import numpy as np
import pytest

from domain.pollination.bloom_overlap import BloomWindows
from domain.pollination.pairs import PollinationPair, explain, pair_table
from domain.tables.cultivars import Cultivar
from domain.tables.loading import Tables, load


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
    in_bloom = BloomWindows(zero, zero + np.float32(4), ten, np.zeros(2, dtype=np.float32), at_site=False)
    return explain(pair_table([female, male], tables().by_id, in_bloom), [(0, 1)])[0]


WORKS = (
    # Nagano Fruit Tree Experiment Station, "Apple cultivar Shinano Sweet", 1996: high set, both ways
    ("Shinano Sweet", "Fuji"),
    ("Fuji", "Shinano Sweet"),
    ("Shinano Sweet", "Tsugaru"),
    ("Tsugaru", "Shinano Sweet"),
    ("Shinano Sweet", "Orin"),
    ("Orin", "Shinano Sweet"),
    # Komori et al., "S-allele genotypes of Japanese apple cultivars by back crossing", HortScience (abstract)
    ("Golden Delicious", "Jonathan"),
    ("Jonathan", "Golden Delicious"),
    # Jahed and Hirst, Journal of the American Pomological Society 72(4), 2018, Table 3: 67 and 63 percent held
    ("Honeycrisp", "Delicious"),
    ("Honeycrisp", "Gala"),
    # Aomori Prefectural Industrial Technology Research Center, "Scab-resistant apple cultivar Aori 25", 2012
    ("Aori 25", "Fuji"),
    ("Aori 25", "Tsugaru"),
    ("Aori 25", "Orin"),
    # National Institute of Horticultural and Herbal Science, Korea, "Traits of new apple cultivars", 2023
    ("Golden Ball", "Fuji"),
    ("Golden Ball", "Hongro"),
    ("Golden Ball", "Arisoo"),
    # Kwon et al., "Hongan, a new mid-season apple cultivar", 2011
    ("Hongan", "Gamhong"),
    ("Hongan", "Tsugaru"),
    ("Hongan", "Fuji"),
    # Abe et al., "New apple cultivar Rose Pearl", 2017, and Soejima et al., "New apple cultivar Kotaro", 2012
    # (abstracts): called cross-compatible although one S-allele is shared
    ("Rose Pearl", "Fuji"),
    ("Fuji", "Rose Pearl"),
    ("Rose Pearl", "Tsugaru"),
    ("Tsugaru", "Rose Pearl"),
    ("Kotaro", "Fuji"),
    ("Fuji", "Kotaro"),
    ("Kotaro", "Tsugaru"),
    ("Tsugaru", "Kotaro"),
    # NARO Institute of Fruit Tree Science, "Dedicated pollinizers for single-cultivar blocks", 2007: set of 80 percent
    ("Fuji", "Makamik"),
    ("Fuji", "Sentinel"),
    ("Fuji", "Redbud"),
    ("Fuji", "Snowdrift"),
    ("Tsugaru", "Makamik"),
    ("Tsugaru", "Sentinel"),
    ("Tsugaru", "Redbud"),
    ("Tsugaru", "Snowdrift"),
    # Kang et al. 2002, cited in a crab apple breeding paper of the Korean Society of International Agriculture, 2022
    ("Fuji", "Professor Sprenger"),
    ("Fuji", "Atrosanguinea"),
    ("Fuji", "Adams"),
)

FAILS_BY_GENES = (
    # Abe et al., "New apple cultivar Kinshu", Bulletin of NARO 16: 29-42, 2023: cross-incompatible
    ("Kinshu", "Tsugaru"),
    ("Tsugaru", "Kinshu"),
    # Abe et al., "New apple cultivar Ruby Sweet" (abstract): genotypes S3 S9 against S2 S3 S9, named as incompatible
    ("Jonagold", "Ruby Sweet"),
    # Utah State University Extension, "Pollination": strains do not pollinate their parents
    ("Cortland", "Redcort"),
    ("Redcort", "Cortland"),
    # Partap, "Successful pollination of apples", Bees for Development Journal 48, 1998: completely self-sterile
    ("Royal Delicious", "Delicious"),
    # Swedish University of Agricultural Sciences, "Apple cultivars from Balsgard": a red mutant
    ("Aroma", "Amorosa"),
)

FAILS_WITHOUT_A_GENOTYPE = (
    # Barney, "Growing organic orchard fruits", p. 168: named as not pollinating each other, without a genotype
    ("Cortland", "Early McIntosh"),
    ("Early McIntosh", "Cortland"),
    ("Nured McIntosh", "Jonamac"),
    ("Jonamac", "Nured McIntosh"),
    ("Jonamac", "Mor-Spur McIntosh"),
    ("Mor-Spur McIntosh", "Jonamac"),
    ("Nured McIntosh", "Mor-Spur McIntosh"),
    ("Mor-Spur McIntosh", "Nured McIntosh"),
)

TRIPLOIDS = (
    # Norton, "Effective fruit pollination" (Cornell): worthless as a pollinizer
    "Rhode Island Greening",
    "Mutsu",
    "Jonagold",
    "Baldwin",
    "Stayman",
    # NIAB, "Production of adequate quantities of viable pollen": almost no viable pollen
    "Bramley's Seedling",
    # NIAB, "Planting suitable pollinating varieties in sufficient numbers": little pollen, most of it sterile
    "Belle de Boskoop",
    # Ontario Ministry of Agriculture, "Crabapple pollenizers for apples": called sterile
    "Creston",
    "Spigold",
    # Karnhuset, "Triploida applen": a triploid, its partner needs a third
    "Gravenstein",
    # Landkreis Donau-Ries (Kaiser Wilhelm) and BOGL Baden-Wuerttemberg (Jakob Fischer): poor as a pollinizer
    "Kaiser Wilhelm",
    "Jakob Fischer",
)


def test_crosses_that_set_are_never_called_ineffective() -> None:
    found = {names: pair(*names) for names in WORKS}
    judged = {names: one for names, one in found.items() if one is not None}
    assert len(judged) >= 30
    assert [names for names, one in judged.items() if one.verdict == "ineffective"] == []
    # Where ploidy is known the verdict is effective, unless only memory tells a genotype.
    settled = [one for one in judged.values() if one.verdict != "unknown"]
    effective = [one for one in settled if one.verdict == "effective"]
    assert len(settled) >= 20
    assert len(effective) / len(settled) >= 0.9


def test_crosses_that_fail_by_genes_are_called_ineffective() -> None:
    found = {names: pair(*names) for names in FAILS_BY_GENES}
    judged = {names: one.verdict for names, one in found.items() if one is not None}
    assert len(judged) >= 5
    assert {names: verdict for names, verdict in judged.items() if verdict != "ineffective"} == {}


def test_chart_without_genotypes_is_contradicted_openly() -> None:
    """Unknown is not unsuited: what no genotype tells is called not tested, even where a handbook says it fails.

    Sports of McIntosh among them are known as sports, and are not called effective.
    """
    for names in FAILS_WITHOUT_A_GENOTYPE:
        found = pair(*names)
        if found is None:
            continue
        if found.verdict == "effective":
            assert found.compatibility == "not_tested"
            assert found.reasons[0].code in ("not_tested", "alleles_from_memory")
        if all("McIntosh" in name and not name.startswith("Early") for name in names):
            assert found.reasons[0].code == "same_cultivar"
            assert found.verdict in ("partial", "ineffective")


@pytest.mark.parametrize("name", TRIPLOIDS)
def test_pollen_of_known_triploids_serves_nobody(name: str) -> None:
    for apple in ("Golden Delicious", "Idared", "Discovery"):
        found = pair(apple, name)
        assert found is not None
        assert (found.pollen, found.verdict) == ("poor", "ineffective")
    for apple in ("Idared", "Discovery"):
        back = pair(name, apple)
        assert back is not None
        assert back.verdict == "effective"


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


@pytest.mark.parametrize(
    ("name", "verdict"),
    [
        # "Fruit and seed sets after self-pollination in Megumi, Orin and Fuji", Horticultural Research (Japan) 6(1): 27
        ("Fuji", "ineffective"),
        ("Megumi", "effective"),
        # Norton, "Effective fruit pollination" (Cornell): so-called self-fruitful, still needs another for steady crops
        ("Golden Delicious", "partial"),
        ("Rome Beauty", "partial"),
        # NIAB, "Self fertility": can set adequate crops with own pollen
        ("Braeburn", "partial"),
        ("Fiesta", "partial"),
        # Ishiyama et al. 1995, in Ringo Daigaku lecture 25: no set at all after selfing
        ("Senshu", "ineffective"),
        ("Sekaiichi", "ineffective"),
    ],
)
def test_self_verdict(name: str, verdict: str) -> None:
    found = pair(name, name)
    if found is None:
        assert known(name) is None
    else:
        assert found.verdict == verdict


def test_no_cultivar_of_the_catalogue_serves_itself_surely_but_the_known_few() -> None:
    """No fully self-compatible apple cultivar was known (Hegedus, International Journal of Horticultural Science 12(2),
    2006, abstract); Megumi and self-fertile clones of Cox are reported since and beside (NIAB, "Self fertility")."""
    advised = [one for one in tables().cultivars if one.shelf == "advised" and one.kind == "apple"]
    zero = np.zeros((len(advised), 1), dtype=np.float32)
    windows = BloomWindows(zero, zero, zero + np.float32(10), zero[:, 0], at_site=False)
    alone = pair_table(advised, tables().by_id, windows).self_chance
    assert (alone >= 0.75).sum() <= 5
    assert np.median(alone) < 0.25
