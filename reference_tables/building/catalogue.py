"""Which cultivars the tables serve, which are advised, and whose sports they are."""

import functools
import re
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path

import reference_tables
from reference_tables.building import traits
from reference_tables.building.denominations import Decisions, Names
from reference_tables.building.identity import LAST_YEAR_OF_OLD_POMOLOGIES
from reference_tables.building.observations import Raw
from reference_tables.building.published import Row, read_table
from reference_tables.building.schemas.fruits import FRUIT
from reference_tables.building.values import month_words
from reference_tables.spelling import key

_HERE = Path(reference_tables.__file__).parent
_NUMBERED_SELECTION = re.compile(
    r"^(KAZ \d|Malus |Richmond's No|Carpenter's No|Mudd's No|UEBI |JS 221)|[ -]\d+(-\d+)+$"
)
_NAMES_ALONE = frozenset({"parentage", "origin_place", "origin_year", "origin_country", "recommended"})
_RIPENING = frozenset(traits.SITING["ripening"]) - {"months_in_use", "shipping_end", "days_budbreak_to_harvest"}
_OTHER_GROUPS = ("bloom", "chill", "hardiness", "disease", "growth")
_INHERITED_GROUPS = frozenset({"bloom", "chill"})


def served(raw: Iterable[Raw], names: Names, sources: Iterable[Row], decided: Decisions) -> frozenset[str]:
    """Ids of cultivars in use: named by a text of after 1900, be it only with the parents.

    Numbered selections of collections and names that are decided to be no cultivar stay out.
    """
    old = {
        row["source_id"]
        for row in sources
        if row["year"][:4].isdigit() and int(row["year"][:4]) < LAST_YEAR_OF_OLD_POMOLOGIES
    }
    in_use: set[str] = set()
    for entry in raw:
        if entry.source_id in old:
            continue
        named = (
            [entry.cultivar, entry.scheme.removeprefix("pollen of ")] if entry.trait == "cross" else [entry.cultivar]
        )
        in_use.update(filter(None, map(names.resolve, named)))
    return frozenset(
        cultivar_id
        for cultivar_id in in_use
        if not _NUMBERED_SELECTION.search(names.denomination[cultivar_id])
        and key(names.denomination[cultivar_id]) not in decided.not_cultivars
    )


def sports(raw: Iterable[Raw], names: Names, decided: Decisions) -> dict[str, str]:
    """Sport id -> parent id; a published statement goes before a decision from memory."""
    parents: dict[str, str] = {}
    stated = [(entry.cultivar, entry.published) for entry in raw if entry.trait == "sport_of"]
    for sport, parent in [*stated, *((sport, parent) for sport, (parent, _) in decided.sports.items())]:
        sport_id, parent_id = names.resolve(sport), names.resolve(parent)
        if sport_id and parent_id and sport_id != parent_id:
            parents.setdefault(sport_id, parent_id)
    return parents


def catalogue(
    topics: dict[str, list[Row]],
    names: Names,
    ids: frozenset[str],
    parents: dict[str, str],
    crab_apples: frozenset[str],
) -> list[Row]:
    """Rows of catalogue.csv.

    Advised: ripening (no day of a sample, no middle class of a list of few names) and two of bloom, chill, hardiness,
    disease (not what was seen on each tree of a collection) and growth are known from a text (a sport's bloom and chill
    from its parent's); for a crab apple, which is planted for its pollen, bloom is enough.
    """
    known: defaultdict[str, set[str]] = defaultdict(set)
    placed = _lists_that_place(topics.get("ripening", ()))
    for topic, listed in topics.items():
        for row in listed:
            if row["source_id"] == "from-memory" or _marked(row, "seen_in_a_collection"):
                continue
            if topic != "ripening" or _tells_ripening(row, placed):
                known[row["cultivar_id"]].add(row["trait"])
    groups = {cultivar_id: _groups(known[cultivar_id]) for cultivar_id in ids}
    for sport, parent in parents.items():
        if sport in groups and parent in groups:
            groups[sport] = groups[sport] | (groups[parent] & _INHERITED_GROUPS)
    rows = []
    for cultivar_id in sorted(ids):
        crab = cultivar_id in crab_apples
        has = groups[cultivar_id]
        advised = ("ripening" in has and sum(group in has for group in _OTHER_GROUPS) >= 2) or (crab and "bloom" in has)
        parent = parents.get(cultivar_id, "")
        rows.append(
            {
                "cultivar_id": cultivar_id,
                "name": names.denomination[cultivar_id],
                "status": "advised" if advised else "listed",
                "kind": "crab_apple" if crab else "apple",
                "sport_of": parent if parent in ids else "",
            }
        )
    return rows


@functools.cache
def _phrases(mark: str) -> tuple[tuple[str, str], ...]:
    """How and by which phrase a scheme bears a mark; adoption reads the same rows. Raises ValueError without one."""
    rows = read_table(_HERE / FRUIT / "reading" / "marks.csv")
    found = tuple((row["match"], row["phrase"]) for row in rows if row["mark"] == mark and row["column"] == "scheme")
    if not found:
        raise ValueError(f"reading/marks.csv has no row of schemes for {mark}")
    return found


def _marked(row: Row, mark: str) -> bool:
    text = row["scheme"].lower()
    return any(text.startswith(phrase) if match == "opens" else phrase in text for match, phrase in _phrases(mark))


@functools.cache
def _fewest_names() -> int:
    """Cultivars from which on a list of classes places its scheme in the year, as in the fit of positions."""
    rows = read_table(_HERE / "parameters" / "adoption.csv")
    return next(int(row["value"]) for row in rows if (row["subject"], row["name"]) == ("timing_lists", "fewest_names"))


def _class_list(row: Row) -> str:
    return row["list_id"] or (row["scheme"].partition(":")[0] if _marked(row, "shared_scale") else row["source_id"])


def _lists_that_place(ripening: Iterable[Row]) -> set[str]:
    """Lists of classes of ripening that name cultivars enough, in more than one class, to be placed in the year."""
    names: defaultdict[str, set[str]] = defaultdict(set)
    classes: defaultdict[str, set[str]] = defaultdict(set)
    for row in ripening:
        if row["trait"] == "ripening_class":
            names[_class_list(row)].add(row["cultivar_id"])
            classes[_class_list(row)].add(row["published"])
    return {name for name in names if len(names[name]) >= _fewest_names() and len(classes[name]) > 1}


def _tells_ripening(row: Row, placed: set[str]) -> bool:
    only_a_bound = row["trait"] == "days_from_reference" and not (row["low"] and row["high"])
    if _marked(row, "not_picking_day") or only_a_bound:
        return False
    if row["trait"] != "ripening_class" or any(month_words(row["published"])):
        return True
    if _class_list(row) in placed:
        return True
    classes = [word.strip() for word in re.split("[<|]", row["scheme"].lower())]
    return len(classes) > 1 and row["published"].lower() in (classes[0], classes[-1])


def _groups(known: set[str]) -> set[str]:
    found = {group for group in _OTHER_GROUPS if known & set(traits.SITING[group])}
    return found | {"ripening"} if known & _RIPENING else found
