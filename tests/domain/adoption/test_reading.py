"""Tables of reading: bad rows are refused, and every word that occurs is read or declared silent."""

import re
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from shutil import copytree
from urllib.parse import urlsplit

import pytest

from domain.adoption import (
    adaptation,
    chill_needs,
    chill_regimes,
    fruit_traits,
    genetics,
    hardiness,
    reading,
    ripening_positions,
    storage_life,
    timing_lists,
    tolerances,
)
from domain.adoption.reading import READING, lowered, table
from domain.fruit.origins import NAMES, country_of, places_in
from domain.fruit.resistance import resistance_class
from domain.tables.loading import TABLES, TableError, load
from domain.tables.observations import Observation
from reference_tables.building.check import check
from reference_tables.building.schemas.reading import TABLES as DESCRIBED
from tests.domain.adoption.made_up import observed

Told = Iterator[tuple[str, str]]


@cache
def observations() -> tuple[Observation, ...]:
    topics = load().by_topic
    return tuple(one for topic in topics if topic != "recommendations" for one in topics[topic])


def unnumbered(trait: str) -> tuple[Observation, ...]:
    return tuple(one for one in observations() if one.trait == trait and one.low is None and one.high is None)


def rated() -> Told:
    for one in observations():
        trait = tolerances.rated_trait(one)
        by_words = reading.numbered_traits().get(one.trait)
        if trait and one.low is None and one.high is None and not (by_words and by_words.read_by == "words"):
            yield reading.scheme_of(one.scheme, reading.susceptibility_schemes()).name, lowered(one.published)


def hardy() -> Told:
    for one in observations():
        in_zone = hardiness.CANADIAN_ZONE_WORDS.search(one.published)
        if one.trait == "hardiness" and not in_zone and not (one.unit == "C" and one.low is not None):
            yield hardiness.scheme(one).name, lowered(one.published)


def trait_words() -> Told:
    for trait, scale in reading.numbered_traits().items():
        if scale.read_by == "words":
            yield from ((trait, lowered(one.published)) for one in unnumbered(trait))


def of_trait(trait: str) -> Callable[[], Told]:
    return lambda: ((trait, lowered(one.published)) for one in unnumbered(trait))


def uses() -> Told:
    for one in unnumbered("use"):
        yield from (("use", lowered(word)) for word in fruit_traits.printed_uses(one.published))


def flavours() -> Told:
    """Words of flavour that no row finds within the text."""
    rows = [one for name in ("flavour", "aroma", "uses") for one in named(name) if one.match == "within"]
    for one in unnumbered("flavour"):
        if not any(row.published in lowered(one.published) for row in rows):
            yield "flavour", lowered(one.published)


def kept() -> Told:
    """Words of keeping that name no month."""
    for one in unnumbered("storage_life"):
        if storage_life.keeping_weeks(one) is None or lowered(one.published) in rows_of("storage_words", "published"):
            yield "", lowered(one.published)


def seasons() -> Told:
    """Classes that the scheme of a list does not put in order by itself."""
    lists: dict[tuple[str, str], list[Observation]] = {}
    for one in observations():
        months = one.trait == "ripening_class" and ripening_positions.month_window(one.published)
        if one.trait in ("bloom_class", "bloom_group", "ripening_class") and one.list_id and not months:
            lists.setdefault((one.list_id, one.trait), []).append(one)
    for told in lists.values():
        levels = timing_lists.scheme_levels(told)
        yield from (
            ("", part) for one in told for part in timing_lists.printed_range(one.published) if part not in levels
        )


@cache
def named(adopted_trait: str) -> tuple[reading.NamedClass, ...]:
    rows = table("named_classes", reading.NamedClass, ("adopted_trait", "trait", "published"))
    return tuple(one for one in rows if one.adopted_trait == adopted_trait)


@cache
def rows_of(name: str, *columns: str) -> frozenset[object]:
    """Cells of these columns of a table, as tuples if several."""
    found = []
    for one in table(*STRUCTS[name]):
        cells = tuple(getattr(one, column) for column in columns)
        found.append(cells[0] if len(cells) == 1 else cells)
    return frozenset(found)


STRUCTS: dict[str, tuple[str, type, tuple[str, ...]]] = {
    "susceptibility_classes": ("susceptibility_classes", reading.SusceptibilityClass, ("scheme", "published")),
    "hardiness_classes": ("hardiness_classes", reading.HardinessClass, ("scheme", "published")),
    "trait_words": ("trait_words", reading.TraitWord, ("trait", "published")),
    "named_classes": ("named_classes", reading.NamedClass, ("adopted_trait", "trait", "published")),
    "storage_words": ("storage_words", storage_life.StorageWord, ("published",)),
    "season_words": ("season_words", timing_lists.SeasonWord, ("published",)),
    "chill_classes": ("chill_classes", chill_needs.ChillClass, ("published",)),
    "ploidy_classes": ("ploidy_classes", genetics.PloidyClass, ("published",)),
}


@pytest.mark.parametrize(
    ("name", "columns", "told"),
    [
        ("susceptibility_classes", ("scheme", "published"), rated),
        ("hardiness_classes", ("scheme", "published"), hardy),
        ("trait_words", ("trait", "published"), trait_words),
        ("named_classes", ("trait", "published"), uses),
        ("named_classes", ("trait", "published"), flavours),
        *(
            ("named_classes", ("trait", "published"), of_trait(trait))
            for trait in ("habit", "growth_form", "fruiting_habit", "columnar_gene", "skin", "flesh_colour",
                          "self_fertility", "pollen_viability", "scab_gene")
        ),
        ("storage_words", ("published",), kept),
        ("season_words", ("published",), seasons),
    ],
)  # fmt: skip
def test_every_word_that_occurs_is_read_or_declared_silent(
    name: str, columns: tuple[str, ...], told: Callable[[], Told]
) -> None:
    known = rows_of(name, *columns)
    words = set(told())
    assert words
    assert sorted(word for word in words if (word if len(columns) > 1 else word[1]) not in known) == []


@pytest.mark.parametrize(("name", "trait"), [("chill_classes", "chill_class"), ("ploidy_classes", "ploidy")])
def test_every_class_that_occurs_is_read_or_declared_silent(name: str, trait: str) -> None:
    words = {lowered(one.published) for one in observations() if one.trait == trait} - {chill_needs.FLORIDA_FAILURE}
    assert words
    assert words <= rows_of(name, "published")


def test_every_place_of_origin_is_read_or_declared_silent() -> None:
    places = {one.published for one in observations() if one.trait in adaptation.ORIGIN}
    assert len(places) > 50
    unknown = [name for name in places if not any(pattern.search(name.lower()) for pattern, _ in adaptation.places())]
    assert sorted(unknown) == []


def test_every_place_of_origin_names_a_country_or_is_declared_to_name_none() -> None:
    places = {one.published for one in observations() if one.trait in adaptation.ORIGIN}
    assert sorted(name for name in places if country_of(name) is None) == []
    named = {name: country_of(name) for name in ("Georgia, United States", "Kirup, Western Australia", "Mars")}
    assert {name: row and row.name for name, row in named.items()} == {
        "Georgia, United States": "United States", "Kirup, Western Australia": "Australia", "Mars": None
    }  # fmt: skip


def test_every_name_of_origins_occurs_in_a_text_but_other_names_and_what_these_lie_in() -> None:
    texts = {one.published.casefold() for one in observations() if one.trait in adaptation.ORIGIN}
    printed = {name for name in NAMES if any(re.search(rf"\b{re.escape(name)}\b", text) for text in texts)}
    above = {wider for text in texts for wider in places_in(text)}
    idle = {name for name, row in NAMES.items() if row.is_ != "another_name"} - printed - above
    assert sorted(idle) == []
    assert sorted(row.of for row in NAMES.values() if row.of and row.of.casefold() not in NAMES) == []


PLAIN = ("susceptible", "s", "prone", "subject", "h")


def test_a_plain_word_alone_is_not_told_as_the_extreme_one() -> None:
    """A letter or word for susceptible is told as susceptible, not as very susceptible; and resistant as resistant."""
    classes = table(*STRUCTS["susceptibility_classes"])
    told = {
        (one.scheme, one.published): resistance_class(one.susceptibility)
        for one in classes
        if isinstance(one, reading.SusceptibilityClass) and one.susceptibility is not None
    }
    diseases = {case: word for case, word in told.items() if case[0] != "aphid classes"}
    assert {word for (_, published), word in diseases.items() if published in PLAIN} == {"susceptible"}
    assert {word for (_, published), word in diseases.items() if published in ("vr", "r")} == {"resistant"}
    assert {word for (_, published), word in diseases.items() if published == "mr"} == {"moderately_resistant"}
    assert {word for (_, published), word in diseases.items() if published in ("vs", "hs")} == {"very_susceptible"}


READ_ELSEWHERE = {
    "ploidy", "s_alleles", "parentage", "sport_of", "cross", "storage_life", "fruit_weight_g", "fruit_size_mm", "rots",
    "origin_place", "origin_country", "origin_year",
}  # fmt: skip
"""Read by `genetics`, `kinship`, `fruit_traits`, `storage_life`, `tolerances`, `adaptation`, whatever their words."""


def test_every_trait_that_occurs_is_read_or_declared_silent() -> None:
    """Bloom and ripening are read whole, list by list."""
    topics = load().by_topic
    timed = {"bloom", "bloom_heat", "bloom_seasons", "ripening", "recommendations"}
    occurring = {one.trait for topic in topics if topic not in timed for one in topics[topic]}
    classes = table("named_classes", reading.NamedClass, ("adopted_trait", "trait", "published"))
    by_class = {one.trait for one in classes}
    read = {*tolerances.adopted_traits(), *reading.numbered_traits(), *by_class, *hardiness.TRAITS, *chill_needs.TRAITS}
    silent = {one.trait for one in table("silent_traits", reading.SilentTrait, ("trait",))}
    assert sorted(occurring - read - silent - READ_ELSEWHERE) == []
    assert sorted(silent - occurring) == []
    assert sorted(silent & (read | READ_ELSEWHERE)) == []


MILD_COUNTRIES = (".de", ".at", ".ch", ".fr", ".uk", ".nl", ".be", ".dk")


def test_texts_of_mild_countries_are_known_as_such() -> None:
    """Whose address ends in such a country speaks of its winters."""
    sources = load().sources
    told = [one for one in observations() if one.trait == "hardiness" and one.unit != "C"]
    mild = [one for one in told if urlsplit(sources[one.source_id].url).netloc.endswith(MILD_COUNTRIES)]
    assert len(mild) > 40
    assert sorted({one.source_id for one in mild if not reading.marked(one, "mild_winters")}) == []


def test_a_silent_row_says_why() -> None:
    for name, column in (
        ("susceptibility_classes", "susceptibility"), ("hardiness_classes", "hardiness_c"), ("trait_words", "value"),
        ("named_classes", "value"), ("storage_words", "low_weeks"), ("season_words", "position"),
        ("chill_classes", "portions"), ("ploidy_classes", "share"),
    ):  # fmt: skip
        silent = [one for one in table(*STRUCTS[name]) if getattr(one, column) is None]
        silent = [one for one in silent if not getattr(one, "read_as", "")]
        assert all(one.note and "not read today" not in one.note for one in silent), name


def test_every_mark_shows_in_some_observation() -> None:
    marks = {one.mark for one in table("marks", reading.Mark, ("mark", "column", "phrase"))}
    assert len(marks) > 10
    assert sorted(mark for mark in marks if not any(reading.marked(one, mark) for one in observations())) == []


def test_a_mark_is_looked_for_where_its_row_says() -> None:
    prairie = observed("x", "hardiness_zone", "3", note="the Canadian map")
    assert reading.marked(prairie, "canadian_zone")
    assert not reading.marked(observed("x", "hardiness_zone", "3 canadian"), "canadian_zone")
    assert not reading.marked(observed("x", "vigour", "weak", scheme="no classes derived"), "old_text")
    with pytest.raises(TableError, match="no row has the mark 'hearsay'"):
        reading.marked(prairie, "hearsay")


def test_published_readings_name_their_document() -> None:
    for described in DESCRIBED:
        header, *lines = (TABLES / f"{described.path}.csv").read_text(encoding="utf-8").splitlines()
        if "basis" in header.split(","):
            assert lines
            assert not [line for line in lines if ",published,," in line], described.path


def changed(tmp_path: Path, name: str, old: str, new: str) -> Path:
    copytree(READING, tmp_path / "reading")
    path = tmp_path / "reading" / f"{name}.csv"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return path.parent


@pytest.mark.parametrize(
    ("change", "read", "says"),
    [
        (("susceptibility_classes", "vr,0.05,0.12,common-practice", "vr,1.05,0.12,common-practice"),
         reading.susceptibility_schemes, "line 2, column susceptibility"),
        (("susceptibility_classes", "vr,0.05,0.12,common-practice", "vr,0.05,0.12,hearsay"),
         reading.susceptibility_schemes, "line 2, column basis"),
        (("susceptibility_classes", "control needed,r,", "control needed,vr,"), reading.susceptibility_schemes,
         "line 3, column published: 'vr' stands twice"),
        (("susceptibility_classes", "control needed,vr,", "control wanted,vr,"), reading.susceptibility_schemes,
         "line 2, column scheme: no text opens 'control wanted'"),
        (("hardiness_classes", "high,value,-37.5,2.5", "high,value,-37.5,"), reading.hardiness_schemes, "or neither"),
        (("hardiness_classes", "high,value,-37.5,2.5", "high,value,37.5,2.5"), reading.hardiness_schemes,
         "column hardiness_c"),
        (("trait_words", "vigour,weak,2.0", "vigour,weak,7.0"), lambda at: reading.trait_number("vigour", "weak", at),
         "line 3, column value: 7 is not in 1 to 5"),
        (("trait_words", "vigour,weak,", "vigor,weak,"), lambda at: reading.trait_number("vigour", "weak", at),
         "'vigor' is not in numbered_traits.csv"),
        (("chill_places", "israel,israel", "israel,judea"), chill_regimes.chill_places, "unknown 'judea'"),
        (("places_of_origin", "brazil,words", "israel,words"), adaptation.places, "'israel' stands twice"),
    ],
)  # fmt: skip
def test_a_bad_row_is_refused(
    tmp_path: Path, change: tuple[str, str, str], read: Callable[[Path], object], says: str
) -> None:
    with pytest.raises(TableError, match=says):
        read(changed(tmp_path, *change))


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("vr,0.05,0.12,common-practice", "vr,0.05,0.12,hearsay", "line 2, column basis: 'hearsay' is none of"),
        ("vr,0.05,0.12,", "vr,1.05,0.12,", "line 2, column susceptibility: 1.05 is above 1"),
        ("control needed,r,", "control needed,vr,", "line 3, column scheme: says again what line 2 says"),
        ("control needed,vr,", "control wanted,vr,", "line 2, column scheme: 'control wanted' is not in"),
    ],
)
def test_the_check_of_the_tables_refuses_it_too(tmp_path: Path, old: str, new: str, says: str) -> None:
    copytree(READING, tmp_path / "fruits" / "apple" / "reading")
    path = tmp_path / "fruits" / "apple" / "reading" / "susceptibility_classes.csv"
    path.write_text(path.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")
    assert any(says in fault for fault in check(tmp_path) if "susceptibility_classes" in fault)


def test_a_silent_word_is_no_number_and_no_fault(tmp_path: Path) -> None:
    at = changed(tmp_path, "trait_words", "vigour,weak,2.0,", "vigour,weak,,")
    assert reading.trait_number("vigour", "weak", at) is None
    assert reading.trait_number("vigour", "very weak", at) == 1.0
    assert reading.trait_number("vigour", "a word of nobody", at) is None


def test_a_new_class_is_a_row(tmp_path: Path) -> None:
    at = changed(tmp_path, "susceptibility_classes", "control needed,vr,", "control needed,none,0.01,0.1,published,,\n"
                 "control needed,vr,")  # fmt: skip
    scheme = reading.scheme_of("R/S/HS of some table", reading.susceptibility_schemes(at))
    assert scheme.number(" None ") == (0.01, 0.1)
    assert scheme.number("VR") == (0.05, 0.12)
