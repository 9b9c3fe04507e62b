"""A file that was lost, cut or changed after the tables were described ends the start, in one line that names it."""

import itertools
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import reference_tables
from domain.tables import loading as tables
from domain.tables.loading import TableError, needed_files

COMMITTED = Path(reference_tables.__file__).parent
FILES = needed_files(COMMITTED)


def removed(path: Path) -> None:
    path.unlink()


def emptied(path: Path) -> None:
    path.write_bytes(b"")


def cut(path: Path) -> None:
    """Cut in the middle: a table at the end of a line, so that every row left is sound."""
    content = path.read_bytes()
    middle = len(content) // 2
    path.write_bytes(content[: content.index(b"\n", middle) + 1 if path.suffix == ".csv" else middle])


def binary(path: Path) -> None:
    path.write_bytes(bytes(range(256)) * 8)


def changed(path: Path) -> None:
    """One byte in the middle is another one; the size stays."""
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(content)


DAMAGES = (removed, emptied, cut, binary, changed)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("whole") / "reference_tables"
    for name in ("datapackage.json", *FILES):
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(COMMITTED / name, root / name)
    return root


@pytest.fixture
def mended(whole: Path) -> Iterator[Path]:
    """The copy, made whole again after each damage."""
    yield whole
    for name in ("datapackage.json", *FILES):
        shutil.copy(COMMITTED / name, whole / name)


def test_the_copy_is_whole(whole: Path) -> None:
    assert tables.load.__wrapped__(whole).version == tables.load().version


@pytest.mark.parametrize(
    ("name", "damage"),
    [
        *itertools.product(FILES, DAMAGES),
        *itertools.product(["datapackage.json"], [damage for damage in DAMAGES if damage is not changed]),
    ],
)
def test_every_damage_names_its_file(mended: Path, name: str, damage: Callable[[Path], None]) -> None:
    damage(mended / name)
    with pytest.raises(TableError) as refused:
        tables.load.__wrapped__(mended)
    assert "\n" not in str(refused.value)
    assert Path(name).name in str(refused.value)


READING = """
import asyncio, sys
from pathlib import Path
opened = set()
sys.addaudithook(lambda event, about: opened.add(str(about[0])) if event == "open" else None)
from examples.replay import answers
asyncio.run(answers())
print("\\n".join(path for path in opened if path.endswith((".csv", ".npz"))))
"""


def test_every_table_that_the_examples_read_is_checked_at_start() -> None:
    told = subprocess.run(
        [sys.executable, "-c", READING], cwd=COMMITTED.parent, capture_output=True, text=True, timeout=300, check=True
    )
    read = {Path(line) for line in told.stdout.splitlines()}
    names = {path.relative_to(COMMITTED).as_posix() for path in read if path.is_relative_to(COMMITTED)}
    assert names == set(FILES)


def test_a_table_that_the_package_does_not_name_is_refused(mended: Path) -> None:
    path = mended / "datapackage.json"
    package = json.loads(path.read_text(encoding="utf-8"))
    package["resources"] = [row for row in package["resources"] if row["path"] != "adopted/numbers.csv"]
    path.write_text(json.dumps(package), encoding="utf-8")
    with pytest.raises(TableError, match=r"datapackage.json names no content of adopted/numbers.csv"):
        tables.load.__wrapped__(mended)


@pytest.mark.parametrize(
    ("name", "damage"),
    [("adopted/numbers.csv", removed), ("adopted/rootstocks.csv", cut), ("climate/climatology.npz", cut)],
)
def test_the_service_does_not_start(tmp_path: Path, name: str, damage: Callable[[Path], None]) -> None:
    shutil.copytree(COMMITTED, tmp_path / "reference_tables", ignore=shutil.ignore_patterns("published", "__pycache__"))
    damage(tmp_path / "reference_tables" / name)
    for package in ("api", "domain", "openapi", "examples"):
        (tmp_path / package).symlink_to(COMMITTED.parent / package)
    started = subprocess.run(
        [sys.executable, "-m", "api", "--port", "0"],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(tmp_path)},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert started.returncode == 2
    (line,) = started.stderr.splitlines()
    assert line.startswith(f"python -m api: {name} ")
    assert started.stdout == ""
