"""The adopted tables are what the observations give; sports inherit what sports inherit."""

import csv
from pathlib import Path

import msgspec
import pytest

import reference_tables
from domain.adoption import steps as adoption
from domain.adoption.__main__ import coverage, differences, finding_rows, number_rows, settled
from domain.adoption.inheritance import inherit
from domain.adoption.steps import Key
from domain.tables import loading as tables
from domain.tables.cultivars import Estimate, Finding

ADOPTED = Path(reference_tables.__file__).parent / "adopted"

Values = tuple[dict[Key, Estimate], dict[Key, Finding]]


def committed(name: str) -> list[dict[str, str]]:
    with (ADOPTED / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


@pytest.fixture(scope="module")
def computed(evidence: adoption.Evidence) -> Values:
    return adoption.adopt(evidence)


def test_committed_adopted_tables_are_recomputed(computed: Values) -> None:
    numbers, findings = computed
    assert differences(committed("numbers.csv"), number_rows(numbers)) == []
    assert differences(committed("findings.csv"), finding_rows(findings)) == []


def test_a_changed_value_is_found() -> None:
    rows = committed("numbers.csv")[:3]
    rows[0]["value"] = "12.3"
    last_digit = [dict(rows[0], value="12.4"), *rows[1:]]
    other = [dict(rows[0], value="12.5"), *rows[1:]]
    assert differences(rows, last_digit) == []
    assert len(differences(rows, other)) == 1
    assert len(differences(rows, rows[1:])) == 1
    assert len(differences(rows[1:], rows)) == 1


def test_a_row_that_agrees_stays_as_it_stands() -> None:
    standing = committed("numbers.csv")[:3]
    standing[0]["value"] = "12.3"
    computed = [dict(standing[0], value="12.4"), dict(standing[1], value="99"), *committed("numbers.csv")[2:4]]
    assert settled(standing, computed) == [standing[0], *computed[1:]]


def test_coverage_counts_each_trait_by_basis() -> None:
    text = coverage(tables.load().cultivars)
    line = next(line for line in text.splitlines() if line.startswith("ripening_offset_days"))
    assert int(line.split()[1]) > 280


def test_left_out_documents_leave_no_trace() -> None:
    known = tables.load()
    evidence = adoption.evidence_of(known, frozenset({"https://github.com/ljacquin/refpop"}), from_memory=False)
    left = {known.sources[observation.source_id] for observation in evidence.all}
    assert all(source.url != "https://github.com/ljacquin/refpop" and source.kind != "memory" for source in left)
    assert len(evidence.all) > 1000


def number(value: float, basis: str = "published") -> Estimate:
    return Estimate(value=value, deviation=1.0, unit="", basis="imputed" if basis == "imputed" else "published")


def finding(value: str) -> Finding:
    return Finding(value=value, agreement=1.0, basis="published")


def test_a_sport_inherits_alleles_chill_and_bloom_but_neither_ripening_nor_colour() -> None:
    numbers = {("parent", "chill_portions"): number(40), ("parent", "ripening_offset_days"): number(5)}
    findings = {("parent", "s_genotype"): finding("S1 S2"), ("parent", "skin"): finding("green")}
    got_numbers, got_findings = inherit(numbers, findings, {"sport": "parent"})
    assert got_numbers["sport", "chill_portions"].value == 40
    assert got_numbers["sport", "chill_portions"].inherited_from == "parent"
    assert got_findings["sport", "s_genotype"].inherited_from == "parent"
    assert ("sport", "ripening_offset_days") not in got_numbers
    assert ("sport", "skin") not in got_findings


def test_what_is_known_of_the_sport_itself_stays_and_what_is_imputed_gives_way() -> None:
    numbers = {
        ("parent", "chill_portions"): number(40),
        ("low", "chill_portions"): msgspec.structs.replace(number(20), observations=5),
        ("unknown", "chill_portions"): number(47, "imputed"),
    }
    got, _ = inherit(numbers, {}, {"low": "parent", "unknown": "parent"})
    assert got["low", "chill_portions"].value == 20
    assert got["low", "chill_portions"].inherited_from is None
    assert got["unknown", "chill_portions"].value == 40


def test_a_number_of_few_texts_is_pooled_with_the_parent_s() -> None:
    """The parent's deviation counts for 1.2 of itself: weights 1 and 1 / 1.44, so 20 + 20 x 0.41."""
    numbers = {("parent", "hardiness_c"): number(-40), ("low", "hardiness_c"): number(-20)}
    got, _ = inherit(numbers, {}, {"low": "parent"})
    assert got["low", "hardiness_c"].value == pytest.approx(-28.197, abs=0.001)
    assert got["low", "hardiness_c"].deviation < 1.0
    assert got["low", "hardiness_c"].inherited_from == "parent"


def test_a_spur_sport_does_not_take_its_parent_s_vigour() -> None:
    numbers = {("parent", "vigour"): number(4.0)}
    got, _ = inherit(numbers, {("spur", "growth_form"): finding("spur")}, {"spur": "parent", "red": "parent"})
    assert ("spur", "vigour") not in got
    assert got["red", "vigour"].value == 4.0


def test_a_sport_that_is_picked_weeks_before_its_parent_is_not_known_to_keep_as_long() -> None:
    numbers = {
        ("parent", "storage_weeks_high"): number(30.0),
        ("parent", "ripening_offset_days"): number(20.0),
        ("early", "ripening_offset_days"): number(-10.0),
        ("near", "ripening_offset_days"): number(12.0),
    }
    got, _ = inherit(numbers, {}, {"early": "parent", "near": "parent", "untold": "parent"})
    assert ("early", "storage_weeks_high") not in got
    assert got["near", "storage_weeks_high"].value == got["untold", "storage_weeks_high"].value == 30.0


def test_a_sport_of_another_ploidy_inherits_no_alleles() -> None:
    findings = {
        ("parent", "ploidy"): finding("2"),
        ("parent", "s_genotype"): finding("S1 S2"),
        ("giant", "ploidy"): finding("4"),
    }
    _, got = inherit({}, findings, {"giant": "parent"})
    assert ("giant", "s_genotype") not in got


def test_sports_of_sports_inherit_from_the_nearest_that_knows_and_loops_end() -> None:
    findings = {("first", "s_genotype"): finding("S1 S2")}
    _, got = inherit({}, findings, {"third": "second", "second": "first", "a": "b", "b": "a"})
    assert got["third", "s_genotype"].inherited_from == "first"
    assert ("a", "s_genotype") not in got
