"""A made-up nursery at a made-up site, for the tests of planting lists."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from domain.planting_list.list_answer import PlantingLists
from domain.planting_list.lists import lists_for
from domain.planting_list.space import Room
from domain.planting_list.trees_at_site import SitedCultivars
from domain.planting_list.wishes import Wishes
from domain.pollination.bloom_overlap import BloomWindows
from domain.suitability.factors import Verdict
from domain.suitability.sentences import verdict as verdict_sentence
from domain.tables.cultivars import Cultivar
from domain.traits.fruit_wishes import FruitWanted
from tests.domain.pollination.orchard import cultivar

FULL_BLOOM_DAY = 295.0
YEARS = 60


def sited(
    cultivars: Sequence[Cultivar],
    *,
    rank: Mapping[str, float] | None = None,
    harvest: Mapping[str, float] | None = None,
    storage_weeks: Mapping[str, float] | None = None,
    keeping_spread: Mapping[str, float] | None = None,
    verdict: Mapping[str, Verdict] | None = None,
    sound: Mapping[str, float] | None = None,
    crop: float = 0.9,
    south: bool = False,
) -> SitedCultivars:
    """Cultivars at a site where each crops nine years in ten, in the bloom of its offset; by name what differs.

    keeping_spread: weeks from the least that the fruit keeps to the cautious end of what is known of it.
    """
    names = [one.name for one in cultivars]

    def by_name(told: Mapping[str, float] | None, usual: float) -> np.ndarray[Any, np.dtype[np.float32]]:
        return np.array([(told or {}).get(name, usual) for name in names], dtype=np.float32)

    offset = np.array(
        [one.numbers["bloom_offset_days"].value if "bloom_offset_days" in one.numbers else np.nan for one in cultivars]
    )
    year = np.random.default_rng(7).normal(0.0, 6.0, YEARS)
    full = (FULL_BLOOM_DAY + offset[:, None] + year[None, :]).astype(np.float32)
    first = by_name(harvest, 430.0)
    keeps = by_name(storage_weeks, 4.0)
    return SitedCultivars(
        cultivars=tuple(cultivars),
        crop_chance=np.full((len(names), YEARS), crop, dtype=np.float32),
        windows=BloomWindows(full - np.float32(4), full, full + np.float32(8), np.full_like(full, 1.5), at_site=True),
        harvest_first=first,
        harvest_last=first + np.float32(14),
        storage_weeks=np.stack([keeps, keeps * np.float32(1.5)], axis=1),
        keeps_surely=keeps - by_name(keeping_spread, 0.0),
        likely_years=np.full(len(names), 10 * crop, dtype=np.float32),
        said=tuple(
            verdict_sentence((verdict or {}).get(name, "plant"), name, (10 * crop,) * 3, "winter_cold")
            for name in names
        ),
        rank_value=by_name(rank, 0.8),
        worth=by_name(rank, 0.8),
        sound=by_name(sound, 0.7),
        verdict=tuple((verdict or {}).get(name, "plant") for name in names),
        limiting=tuple("winter_cold" for _ in names),
        chill_years=np.full(len(names), 10.0, dtype=np.float32),
        south=south,
    )


def answer(at: SitedCultivars, places: int, **asked: Any) -> PlantingLists:
    """Lists for so many places and these wishes."""
    by_id = {one.id: one for one in at.cultivars}
    if "uses" in asked:
        asked["fruit"] = FruitWanted(uses=list(asked.pop("uses")))
    return lists_for(Wishes(room=Room(places), **asked), at, by_id)


def chosen(answered: PlantingLists, rank: int = 1) -> list[str]:
    """Names on a list, as often as they stand on it."""
    return [tree.cultivar for tree in answered.planting_lists[rank - 1].trees]


def many(count: int, seed: int = 1) -> SitedCultivars:
    """Cultivars of mixed bloom, ploidy, harvest, storage, uses and rank."""
    rng = np.random.default_rng(seed)
    made = [
        cultivar(
            f"Cultivar {n:03d}",
            float(rng.normal(0, 3)),
            ploidy="3" if rng.random() < 0.15 else "2",
            alleles=["S2 S3", "S3 S5", "S7 S9", None, None, None][rng.integers(6)],
            sport_of=f"cultivar-{rng.integers(n):03d}" if n and rng.random() < 0.1 else None,
            self_fertility="partly_self_fertile" if rng.random() < 0.05 else None,
            uses=["dessert", "cooking", "dessert cooking", "cider"][rng.integers(4)],
        )
        for n in range(count)
    ]
    names = [one.name for one in made]
    return sited(
        made,
        rank=dict(zip(names, rng.uniform(0.4, 0.95, count).tolist(), strict=True)),
        harvest=dict(zip(names, rng.uniform(385, 480, count).tolist(), strict=True)),
        storage_weeks=dict(zip(names, rng.gamma(1.5, 5, count).tolist(), strict=True)),
    )
