"""One document, one source id: sources that several folders name are joined by their address."""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from urllib.parse import unquote

from rapidfuzz import fuzz

from reference_tables.building.published import Folder, Row

_SAME_TITLE = 85.0
"""Token-set similarity from which two titles under one id are taken for one document."""

UNDATED, NOT_STATED = "undated", "not stated"
"""What stands for the year and for the terms of a document that tells none."""

_COLUMNS = ("source_id", "kind", "authors", "title", "publisher", "year", "url", "licence", "note")


def address(url: str) -> str:
    """A url without scheme, www, print view and trailing slash, for comparison only."""
    text = re.sub(r"^https?://(www\.)?", "", url.strip()).split("?print-view")[0]
    return text.rstrip("/").lower()


def join(
    folders: Iterable[Folder], same: Mapping[str, str] | None = None
) -> tuple[list[Row], dict[tuple[str, str], str]]:
    """Sources once each, and the id that stands for every (folder, old id).

    Two entries are one document if they share the address of a page (not of a site, nor of a data repository, which
    hold several), or the id and nearly the title, or if it was decided so (`same`: id -> id of the same document; an
    id that stands for itself is one document whatever its titles say). A document that was decided on has that id.
    """
    decided = same or {}
    chosen = frozenset(decided.values())
    groups: list[list[tuple[str, Row]]] = []
    by_page: dict[str, int] = {}
    by_id: defaultdict[str, list[int]] = defaultdict(list)
    for folder in folders:
        for row in folder.rows("sources"):
            page, named = _page(row), decided.get(row["source_id"], row["source_id"])
            group = by_page.get(page) if page else None
            if group is None and named in chosen and by_id[named]:
                group = by_id[named][0]
            if group is None:
                group = next((g for g in by_id[named] if _same(row, groups[g][0][1])), None)
            if group is None:
                groups.append([])
                group = len(groups) - 1
            leads = row["source_id"] in chosen and groups[group] and groups[group][0][1]["source_id"] not in chosen
            groups[group].insert(0 if leads else len(groups[group]), (folder.name, row))
            by_id[named].append(group)
            if page:
                by_page.setdefault(page, group)
    sources: list[Row] = []
    new_ids: dict[tuple[str, str], str] = {}
    taken: set[str] = set()
    for entries in groups:
        folder_name, first = entries[0]
        named = decided.get(first["source_id"], first["source_id"])
        new_id = named if named not in taken else f"{named}-{folder_name}"
        new_id = new_id.replace("_", "-")
        taken.add(new_id)
        new_ids.update({(name, row["source_id"]): new_id for name, row in entries})
        sources.append({"source_id": new_id} | {column: _merged(entries, column) for column in _COLUMNS[1:]})
    return sorted(sources, key=lambda row: row["source_id"]), new_ids


def _page(row: Row) -> str:
    site = unquote(address(row["url"]))  # one page is printed with its letters and with percent signs for them
    if "/" not in site or site.endswith(("/authors", "/aps")):
        return ""
    return f"{site} {row['title'].lower()}" if site.startswith("github.com/") else site


def _same(row: Row, other: Row) -> bool:
    return fuzz.token_set_ratio(row["title"].lower(), other["title"].lower()) >= _SAME_TITLE


def _merged(entries: list[tuple[str, Row]], column: str) -> str:
    cells = list(dict.fromkeys(row.get(column, "") for _, row in entries if row.get(column)))
    cells.sort(key=lambda cell: cell in (UNDATED, NOT_STATED))
    if column == "note":
        return "; ".join(cells)
    return cells[0] if cells else ""
