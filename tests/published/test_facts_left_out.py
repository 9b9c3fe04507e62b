"""Facts of cultivars against one document at a time, left out before the rest is asked; and the orders growers know.

Ploidy: flow cytometry of the collection at Geneva (usda-flow-ploidy), the calls of Kumar (kumar-cider-2021), a Swedish
list of triploids (karnhuset-triploids) and calls inferred from SNPs (greaves-abc-ploidy-2025). S-genotypes, storage
lives and classes of disease: every document of the tables, by kind. All are listed in `sources.csv`. The first and the
last to bloom and to ripen are common practice, no source; the names were written down before their positions were
asked, but cut to twenty of each after, and what was cut was not kept: they hold what was reached and check nothing.
"""

from collections import defaultdict
from collections.abc import Callable

import numpy as np
import pytest
from scipy.stats import spearmanr

from domain.adoption import genetics, steps, storage_life, tolerances
from domain.adoption.weighing import pooled
from domain.fruit.resistance import RESISTANCE_CLASSES, resistance_class
from domain.tables.loading import Tables, load
from domain.tables.observations import Observation

SERVICES = frozenset({"extension", "collection", "handbook", "paper"})
"""Kinds of source whose storage lives are asked; shops, growers and the press are none."""
ITS_OWN_RELEASES = "pri-newcrop calls its own releases resistant that the others find susceptible"


@pytest.fixture(scope="module")
def known() -> Tables:
    return load()


def documents(
    observations: tuple[Observation, ...], known: Tables, told: Callable[[Observation], str]
) -> dict[str, dict[str, str]]:
    """Address of a document -> cultivar -> what it says of it."""
    found: defaultdict[str, dict[str, str]] = defaultdict(dict)
    for one in observations:
        if (said := told(one)) and known.sources[one.source_id].kind != "memory":
            found[known.sources[one.source_id].document][one.cultivar_id] = said
    return dict(found)


@pytest.mark.parametrize(
    ("source_id", "least_known", "least_right"),
    [("usda-flow-ploidy", 150, 0.95), ("kumar-cider-2021", 150, 0.95), ("karnhuset-triploids", 10, 0.95),
     ("greaves-abc-ploidy-2025", 40, 0.85)],
)  # fmt: skip
def test_ploidies_are_told_without_the_document(
    evidence: steps.Evidence, source_id: str, least_known: int, least_right: float
) -> None:
    """Calls inferred from SNPs err more: of forty known diploids they called three triploid."""
    observations = evidence.of("pollination")
    adopted = genetics.ploidy([one for one in observations if one.source_id != source_id])
    told = {o.cultivar_id: o.published for o in observations if o.trait == "ploidy" and o.source_id == source_id}
    sets = {"diploid": "2", "triploid": "3", "tetraploid": "4"}
    both = [
        (sets.get(printed, printed), adopted[name, "ploidy"].value)
        for name, printed in told.items()
        if (name, "ploidy") in adopted
    ]
    right = [ours == printed for printed, ours in both]
    threes = [ours for printed, ours in both if printed == "3"]
    print(f"{source_id}: {sum(right)} of {len(both)} right, of {len(threes)} triploids {threes.count('3')}")
    assert len(both) >= least_known
    assert np.mean(right) >= least_right


def test_genotypes_of_one_document_are_those_of_the_others(evidence: steps.Evidence, known: Tables) -> None:
    observations = evidence.of("pollination")
    ploidies = genetics.ploidy_without(observations, "s_alleles")

    def told(one: Observation) -> str:
        alleles = genetics.alleles(one.published) if one.trait == "s_alleles" else ()
        return " ".join(alleles) if len(alleles) > 1 else ""

    met, right = 0, 0
    for address, said in documents(observations, known, told).items():
        rest = [
            o
            for o in observations
            if known.sources[o.source_id].document != address and known.sources[o.source_id].kind != "memory"
        ]
        adopted = genetics.s_genotypes(rest, ploidies)
        both = [
            (alleles, adopted[name, "s_genotype"].value)
            for name, alleles in said.items()
            if (name, "s_genotype") in adopted
        ]
        met += len(both)
        right += sum(printed == ours for printed, ours in both)
    print(f"S-genotypes: {right} of {met} as in the other documents")
    assert met >= 15
    assert right / met >= 0.95


def test_storage_lives_keep_their_order_without_the_document(evidence: steps.Evidence, known: Tables) -> None:
    """Weeks themselves are no trait of a cultivar alone: stores, words and tastes differ by far more (see below)."""
    ours, theirs = zip(*((foretold, said) for _, foretold, said in storage(evidence, known)), strict=True)
    order = float(spearmanr(ours, theirs).statistic)
    print(f"storage, document left out: n = {len(ours)}, rho {order:.2f}")
    assert len(ours) >= 200
    assert order >= 0.5


@pytest.mark.xfail(strict=True, reason="half of the documents lie more than four weeks off: stores and words differ")
def test_half_of_the_storage_lives_are_foretold_within_four_weeks(evidence: steps.Evidence, known: Tables) -> None:
    by_kind: defaultdict[str, list[float]] = defaultdict(list)
    for source_id, foretold, said in storage(evidence, known):
        by_kind[known.sources[source_id].kind].append(abs(foretold - said))
    for kind, errors in sorted(by_kind.items()):
        print(f"storage by {kind}: {len(errors)} values, median error {np.median(errors):.1f} weeks")
    assert np.median([error for errors in by_kind.values() for error in errors]) <= 4.0


def storage(evidence: steps.Evidence, known: Tables) -> list[tuple[str, float, float]]:
    """(document, weeks that the others give, weeks that it gives) of the longest storage, services only."""
    read = storage_life.storage_readings(evidence.all, steps.ripening_days(evidence))
    found = []
    for (_, trait), several in read.items():
        for weeks, _, one in several if trait == "storage_weeks_high" else ():
            rest = [other for other in several if other[2] is not one]
            if rest and known.sources[one.source_id].kind in SERVICES:
                found.append((one.source_id, storage_life.keeping(rest).value, weeks))
    return found


@pytest.mark.parametrize(
    "disease",
    [
        "scab",
        "fire_blight",
        pytest.param("powdery_mildew", marks=pytest.mark.xfail(strict=True, reason=ITS_OWN_RELEASES)),  # its breeder's
        "cedar_apple_rust",
    ],
)  # fmt: skip
def test_classes_of_a_service_are_told_within_one_class_without_it(
    evidence: steps.Evidence, known: Tables, disease: str
) -> None:
    """Of the four classes that an answer names; every document is left out in turn, and told by itself if long."""
    ratings = tolerances.ratings(evidence.all)[disease]
    order = list(RESISTANCE_CLASSES)
    off: defaultdict[str, list[int]] = defaultdict(list)
    for source_id in {one.source_id for one in ratings if known.sources[one.source_id].kind == "extension"}:
        rest = [one for one in ratings if one.source_id != source_id]
        errors = tolerances.source_errors(rest)
        for one in (one for one in ratings if one.source_id == source_id):
            others = [other for other in rest if other.cultivar_id == one.cultivar_id]
            if others:
                ours, _ = pooled([o.value for o in others], [errors[o.source_id] for o in others], 0.0)
                places = [order.index(resistance_class(value)) for value in (ours, one.value)]
                off[source_id].append(abs(places[0] - places[1]))
    long = {source_id: several for source_id, several in off.items() if len(several) >= 8}
    for source_id, several in sorted(long.items()):
        print(
            f"{disease}, {source_id}: {len(several)} rated, within one class {np.mean([n <= 1 for n in several]):.2f}"
        )
    every = [n for several in off.values() for n in several]
    print(f"{disease}, all services: {len(every)}, the same class {np.mean([n == 0 for n in every]):.2f}")
    assert len(every) >= 40
    assert np.mean([n <= 1 for n in every]) >= 0.85
    assert [source_id for source_id, several in long.items() if np.mean([n <= 1 for n in several]) < 0.7] == []


FIRST_TO_RIPEN = (
    "Lodi", "Yellow Transparent", "Vista Bella", "Quinte", "Early Harvest", "Red Astrachan", "Beauty of Bath",
    "Gladstone", "Mantet", "George Cave", "Discovery", "Pristine", "Irish Peach", "Carolina Red June", "Melba",
    "Duchess of Oldenburg", "Jerseymac", "Grenadier", "State Fair", "Williams' Pride",
)  # fmt: skip
LAST_TO_RIPEN = (
    "Granny Smith", "Cripps Pink", "Cripps Red", "Fuji", "GoldRush", "Braeburn", "Winesap", "Stayman Winesap",
    "Rome Beauty", "Yates", "Arkansas Black", "Lady Williams", "York Imperial", "Newtown Pippin", "Sturmer Pippin",
    "D'Arcy Spice", "Ralls Janet", "Enterprise", "Ben Davis", "Arkansas",
)  # fmt: skip
FIRST_TO_BLOOM = (
    "Gravenstein", "Red Astrachan", "Idared", "Vista Bella", "Yellow Transparent", "Duchess of Oldenburg",
    "Egremont Russet", "St. Edmund's Pippin", "Lord Lambourne", "Rev. W. Wilks", "Keswick Codlin", "Warner's King",
    "Irish Peach", "Belle de Boskoop", "Beauty of Bath", "McIntosh", "Melba", "Alkmene", "Lodi", "Ribston Pippin",
)  # fmt: skip
LAST_TO_BLOOM = (
    "Court Pendu Plat", "Edward VII", "Crawley Beauty", "Rome Beauty", "Northern Spy", "Ralls Janet", "Newton Wonder",
    "Suntan", "Mother", "Winston", "Annie Elizabeth", "Lane's Prince Albert", "William Crump",
    "Spätblühender Taffetapfel", "Roter Eiserapfel", "York Imperial", "Gascoyne's Scarlet", "Dabinett", "Vilberie",
    "Medaille d'Or",
)  # fmt: skip


def outside_their_third(known: Tables, names: tuple[str, ...], trait: str, *, early: bool) -> tuple[int, list[str]]:
    """How many of these have an adopted position, and which of them stand outside the first or last third of all."""
    positions = [
        one.numbers[trait].value
        for one in known.cultivars
        if one.status == "advised" and trait in one.numbers and one.numbers[trait].basis == "published"
    ]
    limit = float(np.quantile(positions, 1.0 / 3.0 if early else 2.0 / 3.0))
    found = [(name, known.by_id[known.names.resolve(name) or ""].numbers.get(trait)) for name in names]
    told = [(name, one.value) for name, one in found if one is not None and one.basis == "published"]
    return len(told), [f"{name} {value:+.1f}" for name, value in told if (value > limit) == early]


@pytest.mark.fitted_on
@pytest.mark.parametrize(
    ("names", "trait", "early"),
    [
        pytest.param(FIRST_TO_RIPEN, "ripening_offset_days", True, id="first-to-ripen"),
        pytest.param(LAST_TO_RIPEN, "ripening_offset_days", False, id="last-to-ripen"),
        pytest.param(FIRST_TO_BLOOM, "bloom_offset_days", True, id="first-to-bloom"),
        pytest.param(LAST_TO_BLOOM, "bloom_offset_days", False, id="last-to-bloom"),
    ],
)  # fmt: skip
def test_the_first_and_last_twenty_stand_in_their_third(
    known: Tables, names: tuple[str, ...], trait: str, early: bool
) -> None:
    count, outside = outside_their_third(known, names, trait, early=early)
    print(f"{trait}, {'first' if early else 'last'}: {count} of {len(names)} known, outside their third: {outside}")
    assert len(names) == 20
    assert count >= 14
    assert len(outside) <= 2
