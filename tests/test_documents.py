"""The documents name what is there: files, commands, settings, factors, addresses; and the container file copies it."""

import re
from pathlib import Path
from typing import get_args

import pytest

from api.resources import OPERATIONS, RESOURCES
from domain.suitability.factors import FactorCode
from domain.tables.words import label

PROJECT = Path(__file__).parents[1]
DOCUMENTS = {
    name: (PROJECT / name).read_text(encoding="utf-8")
    for name in ("README.md", "DEVELOPERS.md", "api/OPERATION.md", "domain/METHODS.md", "openapi/CHANGES.md")
}
CONTAINER = (PROJECT / "api" / "Containerfile").read_text(encoding="utf-8")


def modules(text: str) -> set[str]:
    return set(re.findall(r"python -m ((?:api|domain|examples|reference_tables|tests)[\w.]*)", text))


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_module_that_a_document_runs_can_be_run(name: str) -> None:
    for module in modules(DOCUMENTS[name]):
        path = PROJECT / module.replace(".", "/")
        assert path.with_suffix(".py").exists() or (path / "__main__.py").exists(), module


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_file_that_a_document_leads_to_is_there(name: str) -> None:
    top = r"(?:api|domain|examples|openapi|reference_tables|tests)"
    for path in re.findall(rf"`({top}/[\w./-]+\.(?:py|md|csv|json|html|sh|ts|txt))`", DOCUMENTS[name]):
        assert (PROJECT / path).exists(), path


def test_every_factor_has_its_method() -> None:
    told = DOCUMENTS["domain/METHODS.md"].lower()
    other_names = {
        "sunlight": "hours of direct sun",
        "pollination": "**pollination**",
        "proven_in_like_climates": "**proven in",
    }
    for code in get_args(FactorCode):
        assert other_names.get(code, code.replace("_", " ")) in told, code
        assert label("factor", code)


def test_every_resource_is_told_in_the_readme() -> None:
    for resource in RESOURCES:
        assert resource.href in DOCUMENTS["README.md"], resource.href


def test_the_container_holds_what_is_served() -> None:
    copied = {word for line in re.findall(r"^COPY (.*)$", CONTAINER, re.MULTILINE) for word in line.split()}
    for part in ("pyproject.toml", "README.md", "api", "domain", "examples", "reference_tables"):
        assert part in copied
        assert (PROJECT / part).exists()
    version = re.search(r"FROM python:(\d+)\.(\d+)", CONTAINER)
    assert version is not None
    assert tuple(map(int, version.groups())) >= (3, 11)
    assert "USER advisor" in CONTAINER


def test_the_table_of_forms_is_that_of_the_contract() -> None:
    """A cell is filled where the address answers in the form of its column."""
    table = DOCUMENTS["README.md"].partition("## Other forms of an answer")[2]
    head, *rows = [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in table.splitlines()
        if line.startswith("| address") or line.startswith("| `/v1/")
    ][: 1 + len([one for one in OPERATIONS.values() if one.forms])]
    kinds = [cell.strip("`") for cell in head[1:]]
    told = {row[0].strip("`"): {kind for kind, cell in zip(kinds, row[1:], strict=True) if cell} for row in rows}
    assert told == {one.path: {form.media_type for form in one.forms} for one in OPERATIONS.values() if one.forms}
