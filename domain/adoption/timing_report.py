"""How well bloom and ripening of documents that were left out are foretold by all the others.

``python -m domain.adoption.timing_report`` prints it. A document is left out by its address, wherever it stands; the
reference population, one document with five sites, is left out site by site. Errors are in days after the list's own
shift (the median), since the offset of a place is not what is foretold here; the error of foretelling that median for
every cultivar stands beside.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from domain.adoption import bloom_positions, ripening_positions
from domain.adoption import steps as adoption
from domain.adoption.kinship import parents_of
from domain.adoption.ordered_classes import Floats
from domain.adoption.timing_lists import Positions
from domain.tables import loading as tables
from domain.tables.observations import Observation, Source

REFERENCE_POPULATION = "refpop-repo"
LEAST_NAMES = 3
COLLECTION_NAMES = 50
ITERATIONS = 80
"""Of each fit without a document; half of the positions then lie within 0.1 days of their limit."""
BLOOM_LIST_ERROR, RIPENING_LIST_ERROR = 1.5, 5.0
"""Error of a good list, days, that is added to the spread when its calibration is judged."""
LONGEST_WINDOW_DAYS = 20.0
"""Windows longer than this are no days: one of w days holds its day w / 4 from its middle in the median, so that beyond
20 ("October", "mid February to March") the printed words alone miss the five days that are asked of a date. A list is
judged by the day on its other names; one that has fewer than `LEAST_NAMES` of them is a list of months.
"""

KNOWN_ORDER = (
    ("lodi", "yellow-transparent", "vista-bella", "anna", "dorsett-golden"),
    ("gala", "mcintosh", "cox-s-orange-pippin", "golden-delicious"),
    ("braeburn", "fuji", "goldrush", "granny-smith", "cripps-pink"),
)
"""The first, the middle and the last to ripen, as every grower knows them (common practice, no source)."""


@dataclass(frozen=True)
class LeftOut:
    """One list of a document left out: published values, foretold positions and their spread, (names,) each.

    cultivars: ids in the same order. source_id: the document; country: of the list's place, blank where it has none.
    by_day: whether it prints days or short windows, not months.
    """

    name: str
    published: Floats
    foretold: Floats
    spread: Floats
    by_day: bool = True
    cultivars: tuple[str, ...] = ()
    source_id: str = ""
    country: str = ""

    @property
    def errors(self) -> Floats:
        """Absolute errors after the list's own shift, days."""
        difference = self.published - self.foretold
        return np.abs(difference - np.median(difference))

    @property
    def constant_errors(self) -> Floats:
        """Absolute errors of foretelling the list's median for all, days."""
        return np.abs(self.published - np.median(self.published))

    @property
    def rank_correlation(self) -> float:
        """Spearman's rank correlation of published and foretold, ties at their mean rank; 0 without order."""
        return rank_correlation(self.published, self.foretold)

    def within(self, list_error: float) -> float:
        """Share of errors within one standard deviation of spread and list error together."""
        return float(np.mean(self.errors <= np.hypot(self.spread, list_error)))


def rank_correlation(first: Floats, second: Floats) -> float:
    """Spearman's rank correlation, ties at their mean rank; 0 if all values of one are equal."""
    a, b = _ranks(first), _ranks(second)
    if np.ptp(a) == 0 or np.ptp(b) == 0:
        return 0.0
    return float(np.corrcoef(a, b)[0, 1])


def _ranks(values: Floats) -> Floats:
    return np.asarray((values[:, None] > values).sum(axis=1) + 0.5 * (values[:, None] == values).sum(axis=1) + 0.5)


def bloom_sites(observations: Sequence[Observation], parents: Mapping[str, tuple[str, ...]]) -> list[LeftOut]:
    """First bloom at each site of the reference population, foretold from the other sites and all other lists."""
    own = [o for o in observations if o.source_id == REFERENCE_POPULATION and o.trait == "first_bloom" and o.place]
    found: list[LeftOut] = []
    for place in sorted({o.place for o in own}):
        rest = [o for o in observations if o.place != place]
        held = [(o.cultivar_id, o.low) for o in own if o.place == place and o.low is not None]
        found += _compared(place, held, bloom_positions.positions(rest, parents, ITERATIONS))
    return found


def bloom_documents(
    observations: Sequence[Observation], parents: Mapping[str, tuple[str, ...]], sources: Mapping[str, Source]
) -> list[LeftOut]:
    """Every dated bloom list of every document, foretold without the document."""
    found: list[LeftOut] = []
    for held, rest in _documents(observations, sources):
        entries, series = bloom_positions.readings_of(held)
        lists = {name: [(e.cultivar_id, e.value) for e in entries if e.series == name] for name in series}
        lists = {n: r for n, r in lists.items() if len(r) >= LEAST_NAMES and series[n].kind == "dates"}
        if lists:
            positions = bloom_positions.positions(rest, parents, ITERATIONS)
            found += [list_ for name, rows in lists.items() for list_ in _compared(name, rows, positions)]
    return found


def ripening_documents(evidence: adoption.Evidence, sources: Mapping[str, Source]) -> list[LeftOut]:
    """Every ripening list that is no list of classes, foretold without its document."""
    return _ripening(_documents(evidence.of("ripening"), sources), evidence.known)


def ripening_places(evidence: adoption.Evidence) -> list[LeftOut]:
    """Ripening lists, each foretold without any document of its place: some report one orchard in several years."""
    of_place: defaultdict[str, list[Observation]] = defaultdict(list)
    observations = evidence.of("ripening")
    for o in observations:
        of_place[o.place].append(o)
    splits = [
        (held, [o for o in observations if o.place != place]) for place, held in sorted(of_place.items()) if place
    ]
    return _ripening(splits, evidence.known)


def _ripening(
    splits: Sequence[tuple[list[Observation], list[Observation]]], known: ripening_positions.KnownCultivars
) -> list[LeftOut]:
    found: list[LeftOut] = []
    for held, rest in splits:
        entries, series = ripening_positions.readings_of(held, known.low_chill)
        lists = {
            name: [e for e in entries if e.series == name and not e.implied]
            for name, s in series.items()
            if not s.levels
        }
        lists = {name: read for name, read in lists.items() if len(read) >= LEAST_NAMES}
        if lists:
            positions = ripening_positions.positions(rest, known, ITERATIONS)
            by_month = {o.list_id for o in held if o.trait == "ripening_class"}
            for name, read in lists.items():
                list_id = name.split("/")[0]
                of_list = next((o for o in held if list_id in (o.list_id, o.source_id)), held[0])
                days = [e for e in read if e.extra_variance <= LONGEST_WINDOW_DAYS**2 / 12.0]
                by_day = list_id not in by_month and len(days) >= LEAST_NAMES
                rows = [(e.cultivar_id, e.value) for e in (days if by_day else read)]
                found += [
                    replace(one, source_id=of_list.source_id, country=of_list.country)
                    for one in _compared(name, rows, positions, by_day=by_day)
                ]
    return found


def _documents(
    observations: Sequence[Observation], sources: Mapping[str, Source]
) -> list[tuple[list[Observation], list[Observation]]]:
    """(observations of a document, all others) for every document."""
    of_document: defaultdict[str, list[Observation]] = defaultdict(list)
    for o in observations:
        of_document[sources[o.source_id].document].append(o)
    return [
        (held, [o for other, rows in of_document.items() if other != address for o in rows])
        for address, held in sorted(of_document.items())
    ]


def _compared(name: str, held: Sequence[tuple[str, float]], positions: Positions, by_day: bool = True) -> list[LeftOut]:
    told = [(cultivar_id, value, positions.of(cultivar_id)) for cultivar_id, value in held]
    rows = [(cultivar_id, (value, *known)) for cultivar_id, value, known in told if known is not None]
    if len(rows) < LEAST_NAMES:
        return []
    published, foretold, spread = np.array([values for _, values in rows]).T
    return [LeftOut(name, published, foretold, spread, by_day, tuple(cultivar_id for cultivar_id, _ in rows))]


def small(lists: Sequence[LeftOut]) -> list[LeftOut]:
    """Lists that are no collection of single trees."""
    return [one for one in lists if len(one.published) < COLLECTION_NAMES and not _of_collection(one)]


def _of_collection(one: LeftOut) -> bool:
    return one.name.startswith(("ca-ns-kentville", "us-ny-geneva-cider"))


def pooled_median(lists: Sequence[LeftOut], constant: bool = False) -> float:
    """Median error over all names of all lists, days."""
    return float(np.median(np.concatenate([one.constant_errors if constant else one.errors for one in lists])))


def table(lists: Sequence[LeftOut], list_error: float) -> str:
    """One line a list, the longest first: names, median error, that of the constant, rank correlation, calibration."""
    lines = [f"{'list':44}{'names':>6}{'error':>7}{'constant':>10}{'rank r':>8}{'within 1 sd':>13}"]
    lines += [
        f"{one.name[:43]:44}{len(one.published):>6}{np.median(one.errors):>7.1f}{np.median(one.constant_errors):>10.1f}"
        f"{one.rank_correlation:>8.2f}{one.within(list_error):>13.2f}"
        for one in sorted(lists, key=lambda one: (-len(one.published), one.name))
    ]
    return "\n".join(lines)


def summary(lists: Sequence[LeftOut]) -> str:
    """Median errors and rank correlations of ripening lists, those of collections apart."""
    dated = [one for one in small(lists) if one.by_day]
    nine = [one.rank_correlation for one in dated if len(one.published) >= 9]
    return (
        f"dated lists that are no collection: median error {pooled_median(dated):.1f} d; "
        f"all: {pooled_median(lists):.1f} d\n"
        f"rank correlation of the {len(nine)} such lists of nine names and more: median {np.median(nine):.2f}, "
        f"mean {np.mean(nine):.2f}"
    )


def main() -> None:
    """Print the errors of documents left out, and the well-known order of ripening."""
    known = tables.load()
    evidence = adoption.evidence_of(known)
    parents = parents_of(evidence.of("pollination"), evidence.resolve, evidence.sport_of)
    bloom = evidence.of("bloom")
    sites = bloom_sites(bloom, parents)
    print("Bloom, one site of the reference population left out")
    print(table(sites, BLOOM_LIST_ERROR))
    print(f"median error {pooled_median(sites):.2f} d, of the constant {pooled_median(sites, constant=True):.2f} d\n")
    print("Bloom, one document left out")
    print(table(bloom_documents(bloom, parents, known.sources), BLOOM_LIST_ERROR), "\n")
    for what, lists in (
        ("document", ripening_documents(evidence, known.sources)),
        ("place", ripening_places(evidence)),
    ):
        print(f"Ripening, one {what} left out (collections of single trees are the noisy ones)")
        print(table(lists, RIPENING_LIST_ERROR))
        print(summary(lists), "\n")
    positions = ripening_positions.positions(evidence.of("ripening"), evidence.known)
    for group, names in zip(("first", "middle", "last"), KNOWN_ORDER, strict=True):
        told = ((name, positions.of(name)) for name in names)
        print(f"{group}: " + ", ".join(f"{name} {p[0]:+.0f} (sd {p[1]:.0f})" if p else f"{name} ?" for name, p in told))


if __name__ == "__main__":
    main()
