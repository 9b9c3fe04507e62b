"""The collector, on a small evidence of our own invention: merging, double counting, groups, shelves."""

import csv

import pytest

from reference_tables.collect.__main__ import collect

BLOOM = "bloom"
SOURCES = """source_id,kind,authors,title,publisher,year,url,note
trial-a,paper,,A trial of ten cultivars,,2001,https://example.org/trial/,
old-book,handbook,,A pomona,,1850,,
"""
SAME_DOCUMENT = """source_id,kind,authors,title,publisher,year,url,note
trial-b,extension,,Ten cultivars tried,,2001,http://www.example.org/trial,
trial-a,paper,,Quite another text of storage,,2005,https://example.org/other,
"""
LISTS = """list_id,place,country,lat,lon,years,cultivar,statistic,value,unit,scheme,source_id,note
x-dates,Exton,Nowhere,50,0,2001,Aunt Milly's Pippin,harvest_mid,09-20,MM-DD,,trial-a,
x-dates-days,Exton,Nowhere,50,0,2001,Aunt Milly's Pippin,days_from_full_bloom,140,days,,trial-a,
x-bloom,Exton,Nowhere,50,0,2001,Aunt Milly's Pippin,bloom_start,04-20,MM-DD,,trial-a,
x-bloom,Exton,Nowhere,50,0,2001,"(apple, all ten)",bloom_start,04-22,MM-DD,,trial-a,
x-offset,Exton,Nowhere,50,0,2001,Öster Apple,harvest_offset,-5,days,days after Aunt Millys Pippin,trial-a,
x-old,Exton,Nowhere,50,0,1850,Forgotten Codlin,harvest_mid,08-20,MM-DD,,old-book,
"""
FACTS = """cultivar,trait,value,unit,scheme,source_id,locator,note
Aunt Milly's Pippin,vigour,vigorous,,,trial-a,,
Red Milly,vigour,weak,,,trial-b,,
Milly Pippin,scab,resistant,,,trial-b,,
Milly Pippin,scab,resistant,,,trial-b,page 2,said twice
Oster Apple,winter_hardiness,-25 to -35,C,,trial-a,,from the other text
"""
ALIASES = """cultivar,alias,kind,source_id
Aunt Milly's Pippin,Milly Pippin,synonym,trial-b
Aunt Milly's Pippin,Red Milly,synonym,trial-b
Milly Pippin,Aunt Milly's Pippin,synonym,trial-b
Öster Apple,Nordic Gem,trade_designation,trial-b
"""
DECISIONS = """decision,name,other,source_id,note
not_synonym,Aunt Milly's Pippin,Red Milly,from-memory,a sport
sport_of,Red Milly,Aunt Milly's Pippin,from-memory,
"""
MEMORY = """source_id,kind,authors,title,publisher,year,url,note
from-memory,memory,,General knowledge,,,,
"""

Tables = dict[str, list[dict[str, str]]]


@pytest.fixture(scope="module")
def tables(tmp_path_factory: pytest.TempPathFactory) -> Tables:
    root = tmp_path_factory.mktemp("collect")
    files = {
        "evidence/bloom/sources.csv": SOURCES,
        "evidence/bloom/lists.csv": LISTS,
        "evidence/growth/sources.csv": SAME_DOCUMENT,
        "evidence/growth/facts.csv": FACTS,
        "evidence/growth/aliases.csv": ALIASES,
        "names/sources.csv": MEMORY,
        "names/aliases.csv": "cultivar,alias,kind,source_id\n",
        "names/decisions.csv": DECISIONS,
    }
    for name, text in files.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(text, encoding="utf-8")
    collect([root / "evidence"], root / "into", (), root / "names")
    found: Tables = {}
    for path in (root / "into").rglob("*.csv"):
        with path.open(encoding="utf-8", newline="") as lines:
            found[path.stem] = list(csv.DictReader(lines))
    return found


def test_one_document_has_one_source_id(tables: Tables) -> None:
    ids = {row["source_id"] for row in tables["sources"]}
    assert ids == {"trial-a", "trial-a-growth", "from-memory"}
    assert {row["source_id"] for row in tables["disease"]} == {"trial-a"}
    assert {row["source_id"] for row in tables["growth"] if row["trait"] == "hardiness"} == {"trial-a-growth"}


def test_synonyms_spellings_and_loops_make_one_cultivar(tables: Tables) -> None:
    assert [row["cultivar_id"] for row in tables["catalogue"]] == ["aunt-milly-s-pippin", "oster-apple", "red-milly"]
    aliases = {row["alias"]: (row["cultivar_id"], row["kind"]) for row in tables["aliases"]}
    assert aliases["Milly Pippin"] == ("aunt-milly-s-pippin", "synonym")
    assert aliases["Nordic Gem"] == ("oster-apple", "trade_designation")
    assert "Red Milly" not in aliases


def test_a_sport_names_its_parent(tables: Tables) -> None:
    assert {row["cultivar_id"]: row["sport_of"] for row in tables["catalogue"]}["red-milly"] == "aunt-milly-s-pippin"


def test_nothing_is_counted_twice(tables: Tables) -> None:
    assert [row["trait"] for row in tables["ripening"]] == ["harvest_mid", "days_from_reference"]
    assert len(tables["disease"]) == 1


def test_a_name_for_a_whole_trial_and_a_name_of_old_books_alone_are_left_out(tables: Tables) -> None:
    assert len(tables["bloom"]) == 1
    assert not any("codlin" in row["cultivar_id"] for row in tables["catalogue"])


def test_traits_that_mean_the_same_have_one_name_and_dates_are_days_of_the_year(tables: Tables) -> None:
    (bloom,) = tables["bloom"]
    assert (bloom["trait"], bloom["published"], bloom["low"], bloom["unit"]) == (
        "first_bloom",
        "04-20",
        "110",
        "day_of_year",
    )


def test_an_offset_names_the_cultivar_it_is_counted_from(tables: Tables) -> None:
    offset = next(row for row in tables["ripening"] if row["trait"] == "days_from_reference")
    assert (offset["unit"], offset["low"]) == ("days after aunt-milly-s-pippin", "-5")


def test_ripening_and_two_more_groups_make_a_cultivar_advised(tables: Tables) -> None:
    # ripening, bloom, growth, disease; ripening and hardiness alone; a sport inherits bloom, but has no ripening
    assert {row["cultivar_id"]: row["shelf"] for row in tables["catalogue"]} == {
        "aunt-milly-s-pippin": "advised",
        "oster-apple": "listed",
        "red-milly": "listed",
    }
