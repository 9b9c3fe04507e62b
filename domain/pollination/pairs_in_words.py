"""Some pairs in words: what each reason says, and the verdict beside its figures.

Every figure is the pair table's; here it is only told, of all pairs at once.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple, TypeVar

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import rounded, row_medians
from domain.pollination.bloom_overlap import YearsTogether, years_together
from domain.pollination.compatibility import COMPATIBILITIES, COMPATIBLE, NOT_TESTED, Compatibility, Pollen
from domain.pollination.kinship import UNRELATED
from domain.pollination.pair_reasons import Facts, Reason, reasons_of_bloom, reasons_of_genes
from domain.pollination.pairs import FIGURES, INEFFECTIVE, VERDICTS, PairTable, Verdict


class PollinationPair(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """How far pollen from one cultivar serves another. `probability` is null where bloom is not known.

    flowers_met: share of the pollinated cultivar's flowers that open while the source blooms, over the years.
    years_in_ten: years in which the two meet long enough and bees fly in those days, if the pollen is accepted, less
    what the off years take of a source that bears every other year, as they do of `probability`. Null without a site,
    or where bloom is not known.
    """

    pollinated: str
    pollinated_id: str
    pollen_from: str
    pollen_from_id: str
    verdict: Verdict
    probability: float | None
    compatibility: Compatibility
    pollen: Pollen
    overlap_days: int | None
    flowers_met: float | None
    years_in_ten: float | None
    reasons: tuple[Reason, ...]


def explain(table: PairTable, pairs: Sequence[tuple[int, int]] | NDArray[np.intp]) -> list[PollinationPair]:
    """Some pairs in words, each as the rows of the pollinated cultivar and of its pollen source in the table."""
    asked = _asked(table, np.asarray(pairs, dtype=np.intp).reshape(-1, 2))
    pair, in_bloom = asked.pair, asked.in_bloom
    return [
        PollinationPair(
            pollinated=own.name,
            pollinated_id=own.id,
            pollen_from=source.name,
            pollen_from_id=source.id,
            verdict=VERDICTS[verdict],
            probability=probability,
            compatibility=COMPATIBILITIES[compatibility],
            pollen=source.pollen,
            overlap_days=days,
            flowers_met=flowers,
            years_in_ten=years,
            reasons=reasons,
        )
        for own, source, verdict, probability, compatibility, days, flowers, years, reasons in zip(
            asked.own,
            asked.source,
            table.verdict[pair].tolist(),
            _where(in_bloom | (pair[0] == pair[1]), rounded(table.chance[pair], 2)),
            table.fits.compatibility[pair].tolist(),
            _where(in_bloom, asked.days.tolist()),
            _where(in_bloom, rounded(asked.met.flowers, 2)),
            _years_in_ten(asked) if table.windows.at_site else [None] * len(in_bloom),
            _reasons(table, asked),
            strict=True,
        )
    ]


class _Asked(NamedTuple):
    """The pairs that are asked for (pairs,).

    pair: rows of both in the table; own, source: what is known of both, of all whom `facts` holds; own_place,
    source_place: their places there. days: whole days in bloom together in a usual year, 0 where that is not known.
    """

    pair: tuple[NDArray[np.intp], NDArray[np.intp]]
    facts: list[Facts]
    own_place: NDArray[np.intp]
    source_place: NDArray[np.intp]
    own: list[Facts]
    source: list[Facts]
    met: YearsTogether
    in_bloom: NDArray[np.bool_]
    days: NDArray[np.intp]

    def of_both(self, what: Callable[[Facts], bool]) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Whether something holds of the pollinated, and of the source, of each pair."""
        holds = np.array([what(one) for one in self.facts], dtype=np.bool_)
        return holds[self.own_place], holds[self.source_place]


def _asked(table: PairTable, pairs: NDArray[np.intp]) -> _Asked:
    pollinated, pollen_from = pairs[:, 0].copy(), pairs[:, 1].copy()
    rows, place = np.unique([pollinated, pollen_from], return_inverse=True)
    full = row_medians(table.windows.full[rows]).tolist()
    facts = [Facts(table, row, day) for row, day in zip(rows.tolist(), full, strict=True)]
    own_place, source_place = place.reshape(2, -1)
    met = years_together(table.windows, pollinated, pollen_from)
    return _Asked(
        pair=(pollinated, pollen_from),
        facts=facts,
        own_place=own_place,
        source_place=source_place,
        own=[facts[one] for one in own_place.tolist()],
        source=[facts[one] for one in source_place.tolist()],
        met=met,
        in_bloom=~np.isnan(met.days),
        days=np.nan_to_num(np.rint(met.days)).astype(np.intp),
    )


Told = TypeVar("Told")


def _where(known: NDArray[np.bool_], values: Sequence[Told]) -> list[Told | None]:
    """The values that are known, None for the others."""
    return [value if told else None for value, told in zip(values, known.tolist(), strict=True)]


def _years_in_ten(asked: _Asked) -> list[float | None]:
    """Years of ten in which the two meet, bees fly, and the source has flowers enough; None where nothing is known."""
    foraging = asked.met.foraging.astype(np.float64)
    flown = np.where(np.isnan(foraging), 1.0, foraging)
    share = np.array([source.blooming_share for source in asked.facts])[asked.source_place]
    return _where(asked.in_bloom, rounded(10.0 * asked.met.enough * flown * share, 1))


def _reasons(table: PairTable, asked: _Asked) -> list[tuple[Reason, ...]]:
    """The reasons of each pair."""
    pair = asked.pair
    by_genes_alone = (pair[0] == pair[1]) | (table.fits.same_genotype[pair] & (table.verdict[pair] == INEFFECTIVE))
    pollen = [source.of_pollen for source in asked.facts]
    return [
        genes if alone else (*genes, *pollen[source], *bloom)
        for alone, genes, source, bloom in zip(
            by_genes_alone.tolist(),
            _by_genes(table, asked),
            asked.source_place.tolist(),
            _by_bloom(table, asked),
            strict=True,
        )
    ]


def _by_genes(table: PairTable, asked: _Asked) -> list[tuple[Reason, ...]]:
    """What the genes of each pair say: of most the same, whoever they are."""
    pair, fits = asked.pair, table.fits
    named = fits.same_genotype[pair] | fits.from_memory[pair]
    compatibility, kin = fits.compatibility[pair], fits.kin[pair]
    tested = np.logical_and(*asked.of_both(lambda one: bool(one.alleles)))
    alike = np.select(
        [named, compatibility == COMPATIBLE, compatibility != NOT_TESTED, tested, kin == UNRELATED],
        [_NAMED, COMPATIBLE, _NAMED, len(COMPATIBILITIES), NOT_TESTED],
        _NAMED,
    )

    def said(n: int) -> list[Reason]:
        return reasons_of_genes(table, int(pair[0][n]), int(pair[1][n]), asked.own[n], asked.source[n])

    return _once_for_alike(alike, said)


def _by_bloom(table: PairTable, asked: _Asked) -> list[tuple[Reason, ...]]:
    """What the bloom of each pair says: of many the same, where no name stands in it but that of one guessed alone."""
    together = table.together[asked.pair].astype(np.float64)
    told = np.select(
        [_paired(asked), together >= FIGURES.effective_chance, together >= FIGURES.ineffective_chance],
        [0, 1, 2],
        _NAMED,
    )
    (own, source), size = asked.of_both(lambda one: one.guessed), len(asked.facts)
    whose = np.select([own & source, own, source], [_NAMED, 1 + asked.own_place, 1 + size + asked.source_place])
    named = ~asked.in_bloom | (told == _NAMED) | (whose == _NAMED)
    alike = np.where(named, _NAMED, (3 * asked.days + told) * (1 + 2 * size) + whose)
    chance, days = together.tolist(), _where(asked.in_bloom, asked.days.tolist())

    def said(n: int) -> list[Reason]:
        return reasons_of_bloom(table, chance[n], asked.own[n], asked.source[n], days[n])

    return _once_for_alike(alike, said)


def _paired(asked: _Asked) -> NDArray[np.bool_]:
    """Whether a text of the pollinated cultivar says of each pair that the two bloom together."""
    said = np.zeros((len(asked.facts), len(asked.facts)), dtype=np.bool_)
    for n, one in enumerate(asked.facts):
        if one.blooms_with:
            said[n] = [other.id in one.blooms_with for other in asked.facts]
    return said[asked.own_place, asked.source_place]


_NAMED = -1
"""The mark of pairs whose reasons name them."""


def _once_for_alike(alike: NDArray[np.integer], said: Callable[[int], list[Reason]]) -> list[tuple[Reason, ...]]:
    """What is said of each pair by its place: once for all that have the same mark, but for those that are named."""
    each = np.where(alike == _NAMED, _NAMED - np.arange(alike.size), alike)
    _, first, place = np.unique(each, return_index=True, return_inverse=True)
    made = [tuple(said(n)) for n in first.tolist()]
    return [made[mark] for mark in place.tolist()]
