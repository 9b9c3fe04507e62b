"""Bloom positions against documents left out.

Sources: first bloom at five sites of the European apple reference population, 2018-2023 (Jung M. et al., The apple
REFPOP - a reference population for genomics-assisted breeding in apple, Horticulture Research 7, 2020; data: Jacquin
L., repository ljacquin/refpop, flowering begin of each tree); nine cultivars at Klein-Altendorf 1958-2019
(Luedeling E., Caspersen L., Delgado A. et al., Long-term phenology observations for temperate fruit trees, bonndata
2024).
"""

import numpy as np
import pytest

from domain.adoption import bloom_positions
from domain.adoption import steps as adoption
from domain.adoption.kinship import parents_of
from domain.adoption.timing_report import LeftOut, bloom_sites, pooled_median

Parents = dict[str, tuple[str, ...]]


@pytest.fixture(scope="module")
def parents(evidence: adoption.Evidence) -> Parents:
    return parents_of(evidence.of("pollination"), evidence.resolve, evidence.sport_of)


@pytest.fixture(scope="module")
def sites(evidence: adoption.Evidence, parents: Parents) -> list[LeftOut]:
    return bloom_sites(evidence.of("bloom"), parents)


def test_a_site_left_out_is_foretold_within_a_day_and_a_half(sites: list[LeftOut]) -> None:
    assert len(sites) == 5
    assert pooled_median(sites) <= 1.5
    assert pooled_median(sites) <= 0.6 * pooled_median(sites, constant=True)


def test_the_order_of_bloom_at_every_site_is_foretold(sites: list[LeftOut]) -> None:
    for site in sites:
        assert site.rank_correlation >= 0.8, site.name
        assert np.median(site.errors) <= 0.7 * np.median(site.constant_errors), site.name


def test_spread_covers_about_two_in_three_errors(sites: list[LeftOut]) -> None:
    inside = np.concatenate([site.errors <= np.hypot(np.maximum(site.spread, 1.0), 1.5) for site in sites])
    assert 0.6 <= np.mean(inside) <= 0.8


def test_long_records_of_one_place_keep_their_order_without_their_document(
    evidence: adoption.Evidence, parents: Parents
) -> None:
    observations = evidence.of("bloom")
    rest = [o for o in observations if o.source_id != "adamedor-2024"]
    held = {o.cultivar_id: o.low for o in observations if o.list_id == "ada-klein-altendorf-full-bloom" and o.low}
    positions = bloom_positions.positions(rest, parents)
    late, early = max(held, key=lambda name: held[name]), min(held, key=lambda name: held[name])
    foretold_late, foretold_early = positions.of(late), positions.of(early)
    assert foretold_late is not None
    assert foretold_early is not None
    assert foretold_late[0] > foretold_early[0]


def test_scale_is_the_reference_population_with_golden_delicious_at_nought(evidence: adoption.Evidence) -> None:
    adopted = bloom_positions.adopt(evidence.of("bloom"))
    assert adopted["golden-delicious", "bloom_offset_days"].value == 0.0
    means: dict[str, list[float]] = {}
    own = [o for o in evidence.of("bloom") if o.source_id == "refpop-repo" and o.trait == "first_bloom" and o.low]
    centre = {place: np.mean([o.low for o in own if o.place == place and o.low]) for place in {o.place for o in own}}
    for o in own:
        means.setdefault(o.cultivar_id, []).append(float((o.low or 0.0) - centre[o.place]))
    full = [name for name, values in means.items() if len(values) == 5]
    published = np.array([np.mean(means[name]) for name in full])
    ours = np.array([adopted[name, "bloom_offset_days"].value for name in full])
    slope = np.polyfit(published, ours, 1)[0]
    assert 0.85 <= slope <= 1.1
    assert all(estimate.deviation >= 1.0 for estimate in adopted.values())


def test_lengths_of_bloom_lie_about_those_published(evidence: adoption.Evidence) -> None:
    """At Gimenells the reference population bloomed 10 to 15 days from first flower to petal fall."""
    lengths = [e.value for (_, trait), e in bloom_positions.adopt(evidence.of("bloom")).items() if "length" in trait]
    assert len(lengths) >= 200
    assert 9 <= np.median(lengths) <= 16
