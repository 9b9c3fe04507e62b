"""Building the tables, on a small set of published values of our own invention; and the committed tables again."""

import dataclasses
import sys
from collections import Counter
from pathlib import Path

import pytest

import reference_tables
from reference_tables.building import __main__ as command
from reference_tables.building import picked_where_grown
from reference_tables.building.build import build
from reference_tables.building.observations import Raw
from reference_tables.building.places import pinned_once
from reference_tables.building.published import read_table
from reference_tables.spelling import keys

COMMITTED = Path(reference_tables.__file__).parent

FOLDERS = """folder,read,holds
bloom,whole,dates
growth,whole,classes
names,whole,decisions
"""
SOURCES = """source_id,kind,authors,title,publisher,year,url,licence,note
trial-a,paper,,A trial of ten cultivars,,2001,https://example.org/trial/,not stated,
old-book,handbook,,A pomona,,1850,,not stated,
"""
SAME_DOCUMENT = """source_id,kind,authors,title,publisher,year,url,licence,note
trial-b,extension,,Ten cultivars tried,,2001,http://www.example.org/trial,CC BY 4.0,
trial-a,paper,,Quite another text of storage,,2005,https://example.org/other,not stated,
"""
LISTS = """list_id,place,country,latitude,longitude,years,cultivar,trait,value,unit,scheme,source_id,note
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
MEMORY = """source_id,kind,authors,title,publisher,year,url,licence,note
from-memory,memory,,General knowledge,,undated,,no document,
"""
FILES = {
    "folders.csv": FOLDERS,
    "countries.csv": "code,name\nUS,United States\n",
    "bloom/sources.csv": SOURCES,
    "bloom/lists.csv": LISTS,
    "growth/sources.csv": SAME_DOCUMENT,
    "growth/facts.csv": FACTS,
    "growth/aliases.csv": ALIASES,
    "names/sources.csv": MEMORY,
    "names/decisions.csv": DECISIONS,
}

Tables = dict[str, list[dict[str, str]]]


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A directory that holds nothing but what was published."""
    for name, text in FILES.items():
        path = tmp_path / "published" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return tmp_path


@pytest.fixture
def tables(root: Path) -> Tables:
    return {name.rpartition("/")[2]: rows for name, rows in build(root).items()}


def run(monkeypatch: pytest.MonkeyPatch, *arguments: str | Path) -> None:
    monkeypatch.setattr(sys, "argv", ["building", *map(str, arguments)])
    command.main()


def test_every_committed_table_is_rebuilt_to_the_byte() -> None:
    files = command.texts(COMMITTED, build(COMMITTED))
    assert len(files) > 60
    assert command.different(COMMITTED, files) == []


def test_a_change_by_hand_and_a_lost_table_are_named(
    root: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    run(monkeypatch, root)
    run(monkeypatch, root, "--check")
    path = root / "observations" / "growth.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("vigorous", "weak"), encoding="utf-8")
    (root / "aliases.csv").unlink()
    capsys.readouterr()
    with pytest.raises(SystemExit, match="files differ"):
        run(monkeypatch, root, "--check")
    named = [line.partition(" ")[0] for line in capsys.readouterr().out.splitlines()]
    assert named == ["aliases.csv", "observations/growth.csv"]


def test_a_build_that_would_lose_rows_is_refused_and_writes_nothing(
    root: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    run(monkeypatch, root)
    (root / "published" / "growth" / "facts.csv").write_text(FACTS.partition("Red Milly")[0], encoding="utf-8")
    before = {path: path.read_bytes() for path in root.rglob("*") if path.is_file()}
    capsys.readouterr()
    with pytest.raises(SystemExit, match="Nothing was written"):
        run(monkeypatch, root)
    assert capsys.readouterr().out.splitlines() == [
        "aliases.csv would have 2 rows, 3 stand",
        "observations/disease.csv would have 0 rows, 1 stand",
        "observations/growth.csv would have 1 rows, 3 stand",
    ]
    assert {path: path.read_bytes() for path in root.rglob("*") if path.is_file()} == before
    run(monkeypatch, root, "--allow-fewer")
    assert len((root / "observations" / "growth.csv").read_text(encoding="utf-8").splitlines()) == 2
    assert len((root / "observations" / "disease.csv").read_text(encoding="utf-8").splitlines()) == 1


def test_losing_a_cultivar_or_a_source_is_refused(
    root: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    run(monkeypatch, root)
    path = root / "published" / "bloom" / "lists.csv"
    path.write_text("".join(line for line in LISTS.splitlines(True) if "Öster" not in line), encoding="utf-8")
    path = root / "published" / "growth" / "facts.csv"
    path.write_text("".join(line for line in FACTS.splitlines(True) if ",trial-a," not in line), encoding="utf-8")
    capsys.readouterr()
    with pytest.raises(SystemExit, match="Nothing was written"):
        run(monkeypatch, root)
    told = capsys.readouterr().out
    assert "catalogue.csv would have 2 rows, 3 stand" in told
    assert "sources.csv would have 2 rows, 3 stand" in told


def test_nothing_is_built_from_what_is_entered_wrongly(
    root: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = root / "published" / "growth" / "facts.csv"
    path.write_text(FACTS + "Red Milly,scab,resistant,,,nobody,,\n", encoding="utf-8")
    with pytest.raises(SystemExit, match="1 faults"):
        run(monkeypatch, root)
    assert "published/growth/facts.csv, line 7, column source_id: 'nobody' is not in" in capsys.readouterr().out
    assert not (root / "catalogue.csv").exists()


def test_one_document_has_one_source_id(tables: Tables) -> None:
    ids = {row["source_id"] for row in tables["sources"]}
    assert ids == {"trial-a", "trial-a-growth", "from-memory"}
    told = next(row for row in tables["sources"] if row["source_id"] == "trial-a")
    assert (told["year"], told["licence"]) == ("2001", "CC BY 4.0")  # what either folder knows of it
    assert {row["source_id"] for row in tables["disease"]} == {"trial-a"}
    assert {row["source_id"] for row in tables["growth"] if row["trait"] == "hardiness"} == {"trial-a-growth"}


def test_a_document_that_stays_unseen_reaches_no_table_under_any_of_its_ids(root: Path) -> None:
    # trial-b of the one folder is trial-a of the other: one address; `trial-a` of growth is another document
    (root / "published" / "unseen.csv").write_text(f"folder,source_id,document\ngrowth,trial-b,{'0f' * 32}\n")
    tables = build(root)
    told = {row["source_id"] for name, rows in tables.items() if name.startswith("observations/") for row in rows}
    assert told == {"trial-a-growth", "from-memory"}
    assert "trial-a" not in {row["source_id"] for row in tables["sources"]}


def test_a_folder_that_waits_is_not_read_and_one_of_witnesses_gives_only_those(root: Path) -> None:
    folders = root / "published" / "folders.csv"
    folders.write_text(FOLDERS.replace("bloom,whole", "bloom,later").replace("growth,whole", "growth,witnesses"))
    (root / "published" / "names" / "facts.csv").write_text(
        "cultivar,trait,value,unit,scheme,source_id,locator,note\nMilly Pippin,vigour,weak,,,from-memory,,\n"
    )
    place = "Exton,Nowhere,50,0,"
    (root / "published" / "growth" / "witnesses.csv").write_text(
        "cultivar,place,country,latitude,longitude,elevation_m,kind,year,words,first_pick,last_pick,source_id,note\n"
        f"Milly Pippin,{place},failed,2001,for want of chill,,,trial-b,\n"
        f"Unheard Of,{place},failed,2001,,,,trial-b,\n"
    )
    (root / "published" / "growth" / "recommendations.csv").write_text(
        "list_id,region,country,latitude,longitude,elevation_m,cultivar,verdict,reason,source_id,basis\n"
        "x,Exton,Nowhere,50,0,,milly pippin,not_recommended,scab,trial-b,explicit\n"
    )
    tables = build(root)
    assert [len(tables[f"observations/{topic}"]) for topic in ("bloom", "disease", "growth", "recommendations")] == [
        0,
        0,
        1,
        0,
    ]
    assert [(row["kind"], row["year"], row["words"], row["list_id"]) for row in tables["observations/witnesses"]] == [
        ("failed", "2001", "for want of chill", ""),
        ("rejected", "2001", "scab", "x"),
    ]


def test_days_of_picking_beside_what_is_grown_are_a_list_where_they_tell_an_order(root: Path) -> None:
    """Three cultivars on three days at one place; a month alone is the whole month. No day is taken of a document
    whose dates are listed, of a place with fewer days, of a collection, or for a name that nothing else tells.
    """
    head = "cultivar,place,country,latitude,longitude,elevation_m,kind,year,words,first_pick,last_pick,source_id,note\n"
    exton, other = "Exton,US,50,0,", "Otherton,US,51,0,"
    (root / "published" / "growth" / "witnesses.csv").write_text(
        head
        + f"Milly Pippin,{exton},orchard_grows,2001,,09-05,,trial-c,\n"
        + f"Red Milly,{exton},orchard_grows,2001,from October,10-01,,trial-c,\n"
        + f"Oster Apple,{exton},orchard_grows,2001,,09-15,09-25,trial-c,\n"
        + f"Unheard Of,{exton},orchard_grows,2001,,09-18,,trial-c,\n"
        + f"Milly Pippin,{other},orchard_grows,2001,,09-05,,trial-c,\n"
        + f"Red Milly,{other},orchard_grows,2001,,09-05,,trial-c,\n"
        + f"Oster Apple,{other},orchard_grows,2001,,09-15,,trial-c,\n"
        + "".join(
            f"{name},{other},collection_survives,2001,,{day},,trial-d,\n"
            for name, day in (("Milly Pippin", "09-05"), ("Red Milly", "09-15"), ("Oster Apple", "09-25"))
        ),
        encoding="utf-8",
    )
    (root / "published" / "growth" / "sources.csv").write_text(
        SAME_DOCUMENT
        + "trial-c,grower,,When we pick,,,https://example.net/c,,\ntrial-d,collection,,Our trees,,,https://example.net/d,,\n",
        encoding="utf-8",
    )
    told = [row for row in build(root)["observations/ripening"] if picked_where_grown.SCHEME in row["scheme"]]
    assert [(row["cultivar_id"], row["list_id"], row["low"], row["high"], row["country"]) for row in told] == [
        ("aunt-milly-s-pippin", "trial-c-picked-exton", "248", "248", "United States"),
        ("oster-apple", "trial-c-picked-exton", "258", "258", "United States"),
        ("red-milly", "trial-c-picked-exton", "274", "303", "United States"),
    ]


def test_a_country_without_a_name_is_named_by_file_and_line(
    root: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (root / "published" / "growth" / "witnesses.csv").write_text(
        "cultivar,place,country,latitude,longitude,elevation_m,kind,year,words,first_pick,last_pick,source_id,note\n"
        "Milly Pippin,Exton,US,50,0,,orchard_grows,2001,,09-05,,trial-b,\n"
        "Red Milly,Exton,XX,50,0,,orchard_grows,2001,,09-15,,trial-b,\n",
        encoding="utf-8",
    )
    with pytest.raises(SystemExit):
        run(monkeypatch, root)
    where = "published/growth/witnesses.csv, line 3, column country"
    assert f"{where}: 'XX' is not in published/countries.code" in capsys.readouterr().out


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
    assert {row["cultivar_id"]: row["status"] for row in tables["catalogue"]} == {
        "aunt-milly-s-pippin": "advised",
        "oster-apple": "listed",
        "red-milly": "listed",
    }


def test_a_fact_joins_only_a_cultivar_of_its_kind_and_age(root: Path) -> None:
    """The pomona of 1850 speaks of an apple introduced in 2001, of a crab apple, and of one decided to be another."""
    (root / "published" / "growth" / "facts.csv").write_text(
        FACTS
        + "Öster Apple,origin_year,2001,,,trial-a,,\nÖster Apple,flavour,sweet,,,old-book-2,,\n"
        + "Red Milly,flavour,sweet,,,old-book-2,,\nAunt Milly's Pippin,flavour,sweet,,,old-book-2,,\n"
        + "Pink Berry,vigour,weak,,,trial-a,,\nPink Berry,flavour,sweet,,,old-book-2,,\n",
        encoding="utf-8",
    )
    (root / "published" / "growth" / "sources.csv").write_text(
        SAME_DOCUMENT + "old-book-2,handbook,,Fruits of the west,,1850,,,\n", encoding="utf-8"
    )
    (root / "published" / "names" / "decisions.csv").write_text(
        DECISIONS + "crab_apple,Pink Berry,,from-memory,\nhomonym,Red Milly,old-book-2,from-memory,another apple\n",
        encoding="utf-8",
    )
    told = {row["cultivar_id"] for row in build(root)["observations/fruit"] if row["trait"] == "flavour"}
    assert told == {"aunt-milly-s-pippin"}


def test_one_document_under_two_ids_is_one_if_it_was_decided_so(root: Path) -> None:
    path = root / "published" / "growth" / "sources.csv"
    path.write_text(SAME_DOCUMENT + "trial-c,press,,A copy,,,https://example.net/copy,,\n", encoding="utf-8")
    (root / "published" / "growth" / "facts.csv").write_text(
        FACTS + "Red Milly,scab,resistant,,,trial-c,,\n", encoding="utf-8"
    )
    path = root / "published" / "names" / "decisions.csv"
    path.write_text(DECISIONS + "same_document,trial-c,trial-b,from-memory,\n", encoding="utf-8")
    built = build(root)
    assert "trial-c" not in {row["source_id"] for row in built["sources"]}
    assert {row["source_id"] for row in built["observations/disease"]} == {"trial-b"}, "the id that was decided on"


def test_one_page_printed_with_letters_and_with_percent_signs_is_one_document(root: Path) -> None:
    path = root / "published" / "growth" / "sources.csv"
    path.write_text(
        SAME_DOCUMENT
        + "letters,press,,Frühäpfel,,,https://example.net/früh/1,,\n"
        + "percent,press,,Of early apples,,,https://www.example.net/fr%C3%BCh/1/,,\n",
        encoding="utf-8",
    )
    (root / "published" / "growth" / "facts.csv").write_text(
        FACTS + "Red Milly,scab,resistant,,,letters,,\nRed Milly,vigour,weak,,,percent,,\n", encoding="utf-8"
    )
    built = build(root)
    assert {row["source_id"] for row in built["sources"]} & {"letters", "percent"} == {"letters"}


def test_a_place_has_one_spelling_in_all_that_is_built() -> None:
    spellings: dict[tuple[str, str], set[str]] = {}
    for table in sorted((COMMITTED / "observations").glob("*.csv")):
        for row in read_table(table):
            if row.get("place") and "country" in row and table.stem != "witnesses":
                for one in keys(row["place"]):
                    spellings.setdefault((row["country"], one), set()).add(row["place"])
    assert ("Germany", "leutenbachwuerttemberg") in spellings
    assert {alike for alike, told in spellings.items() if len(told) > 1} == set()


def test_every_pin_near_a_kept_one_goes_to_it_and_no_kept_pins_are_near() -> None:
    """50.3 went to 50.15, which itself had gone to 50.0: two pins were left that are near each other."""
    fields = {field.name: "" for field in dataclasses.fields(Raw)}
    rows = [
        Raw(**{**fields, "place": "Hill", "country": "Nowhere", "latitude": pin, "longitude": "1.0"})  # type: ignore[arg-type]  # figures are not read here
        for pin, many in (("50.0", 5), ("50.15", 3), ("50.3", 1))
        for _ in range(many)
    ]
    assert Counter(row.latitude for row in pinned_once(rows)) == {"50.0": 8, "50.3": 1}
    apart = [dataclasses.replace(row, latitude="50.19" if row.latitude == "50.3" else row.latitude) for row in rows]
    assert {row.latitude for row in pinned_once(apart)} == {"50.0"}


def test_a_place_told_under_two_names_and_two_pins_is_one_place(root: Path) -> None:
    (root / "published" / "growth" / "lists.csv").write_text(
        "list_id,place,country,latitude,longitude,years,cultivar,trait,value,unit,scheme,source_id,note\n"
        'one,"Hill, Shire",Nowhere,50.1,1.0,,Red Milly,full_bloom,05-01,MM-DD,,letters,\n'
        'one,"Hill, Shire",Nowhere,50.1,1.0,,Red Milly,first_bloom,04-25,MM-DD,,letters,\n'
        "two,Hill,Nowhere,50.0,1.1,,Red Milly,petal_fall,05-12,MM-DD,,letters,\n"
        "three,Hill,Nowhere,54.0,1.1,,Red Milly,bloom_length,12,days,,letters,\n",
        encoding="utf-8",
    )
    (root / "published" / "growth" / "decisions.csv").write_text(
        'decision,name,other,source_id,note\nsame_place,Hill,"Hill, Shire",letters,\n', encoding="utf-8"
    )
    (root / "published" / "growth" / "sources.csv").write_text(
        SAME_DOCUMENT + "letters,press,,Early apples,,,https://example.net/1,,\n", encoding="utf-8"
    )
    rows = build(root)["observations/bloom"]
    pins = {(row["place"], row["latitude"], row["longitude"]) for row in rows if "Hill" in row["place"]}
    assert pins == {("Hill, Shire", "50.1", "1.0"), ("Hill, Shire", "54.0", "1.1")}
