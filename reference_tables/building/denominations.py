"""Which names mean one cultivar: spellings and published synonyms joined, one denomination and one id for each."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from reference_tables.building.published import Folder, Row
from reference_tables.spelling import key, keys, slug

TRADE = "trade_designation"
_KINDS = {TRADE: TRADE, "spelling": "spelling", "transliteration": "spelling"}


@dataclass(frozen=True)
class Decisions:
    """What was decided by hand about names (`decisions.csv` of `published/names`), each row with its source."""

    not_synonyms: frozenset[frozenset[str]] = frozenset()
    preferred: frozenset[str] = frozenset()
    not_cultivars: frozenset[str] = frozenset()
    crab_apples: frozenset[str] = frozenset()
    homonyms: frozenset[tuple[str, str]] = frozenset()
    sports: dict[str, tuple[str, str]] = field(default_factory=dict)
    same_documents: dict[str, str] = field(default_factory=dict)
    same_places: dict[str, str] = field(default_factory=dict)


def decisions(rows: Iterable[Row]) -> Decisions:
    """The decisions of a table with the columns decision, name, other, source_id, note."""
    by_kind: defaultdict[str, list[Row]] = defaultdict(list)
    for row in rows:
        by_kind[row["decision"]].append(row)
    return Decisions(
        frozenset(frozenset((key(row["name"]), key(row["other"]))) for row in by_kind["not_synonym"]),
        frozenset(row["name"] for row in by_kind["preferred"]),
        frozenset(key(row["name"]) for row in by_kind["not_a_cultivar"]),
        frozenset(key(row["name"]) for row in by_kind["crab_apple"]),
        frozenset((key(row["name"]), row["other"]) for row in by_kind["homonym"]),
        {row["name"]: (row["other"], row["source_id"]) for row in by_kind["sport_of"]},
        {row["name"]: row["other"] for row in by_kind["same_document"]},
        {key(row["name"]): row["other"] for row in by_kind["same_place"]},
    )


def published_aliases(folders: Iterable[Folder], source_ids: dict[tuple[str, str], str]) -> list[Row]:
    """Published aliases as rows cultivar, alias, kind, source_id; a cell that holds two names makes two rows."""
    return [
        {
            "cultivar": row["cultivar"],
            "alias": part.strip(),
            "kind": _KINDS.get(row["kind"], "synonym"),
            "source_id": source_ids.get((folder.name, row["source_id"]), row["source_id"]),
        }
        for folder in folders
        for row in folder.rows("aliases")
        for part in row["alias"].replace("(as printed)", "").split(";")
        if part.strip()
    ]


@dataclass(frozen=True)
class Names:
    """Every name that was published, its cultivar's id, and the denomination of each id."""

    id_of_key: dict[str, str]
    denomination: dict[str, str]
    spellings: dict[str, tuple[str, ...]]

    def resolve(self, name: str) -> str | None:
        """Id of the cultivar a name stands for, None if nobody published it."""
        return next((self.id_of_key[k] for k in keys(name) if k in self.id_of_key), None)


def resolve_names(documents_by_name: dict[str, set[str]], aliases: Iterable[Row], decided: Decisions) -> Names:
    """Join spellings and synonyms of names, given the documents that use each.

    The denomination is a decided name, else the name that most documents use and that is no trade designation; among
    its spellings the one that most documents print, then the one with the most accents and apostrophes.
    """
    spellings: defaultdict[str, Counter[str]] = defaultdict(Counter)
    parent: dict[str, str] = {}

    def find(k: str) -> str:
        while parent.setdefault(k, k) != k:
            parent[k] = parent[parent[k]]
            k = parent[k]
        return k

    def enter(name: str, documents: int) -> str:
        spellings[key(name)][name] += documents
        for other in keys(name)[1:]:
            if other in spellings or other in parent:
                parent[find(other)] = find(key(name))
        return key(name)

    names = sorted(documents_by_name, key=lambda name: (key(name), name))
    for name in names:
        enter(name, len(documents_by_name[name]))
    for name in names:  # a second pass joins the spellings written out (Zabergaeu) that came before the short ones
        for other in keys(name)[1:]:
            if other in spellings:
                parent[find(other)] = find(key(name))
    trade: set[str] = set()
    for alias in aliases:
        left, right = enter(alias["cultivar"], 0), enter(alias["alias"], 0)
        if frozenset((left, right)) in decided.not_synonyms:
            continue
        if alias["kind"] == TRADE and right != left:
            trade.add(right)
        parent[find(right)] = find(left)
    groups: defaultdict[str, list[str]] = defaultdict(list)
    for k in spellings:
        groups[find(k)].append(k)
    id_of_key: dict[str, str] = {}
    denomination: dict[str, str] = {}
    all_spellings: dict[str, tuple[str, ...]] = {}
    for members in groups.values():
        printed = [(name, count, k in trade) for k in members for name, count in spellings[k].items()]
        by_key = {k: sum(spellings[k].values()) for k in members}
        best = min(
            printed,
            key=lambda entry: (
                entry[0] not in decided.preferred,
                entry[2],
                -by_key[key(entry[0])],
                -entry[1],
                -sum(not character.isascii() or character in "'’" for character in entry[0]),
                entry[0],
            ),
        )[0]
        identity = slug(best)
        denomination[identity] = best
        all_spellings[identity] = tuple(sorted(name for name, _, _ in printed if name != best))
        id_of_key.update(dict.fromkeys(members, identity))
    return Names(id_of_key, denomination, all_spellings)
