"""A survey holds against the loss of a worker, of itself, and of a row: nothing is lost, nothing is there twice."""

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import dask
import msgspec
import pytest
from distributed import Client, Worker

import domain.grid.run
from domain import __version__
from domain.grid.__main__ import MEMORY, engine
from domain.grid.folder import SITES, OtherSurveyError
from domain.grid.part import LOST, OtherVersionsError, survey
from domain.grid.run import Progress, TableRefusedError, run
from tests.domain.grid.poison import POISON, deadly_part
from tests.domain.grid.surveys import FEW, answer, rows_of, written
from tests.domain.many_sites.tables_of_sites import bad_rows, marked, sixty_sites, write

TWELVE = marked(sixty_sites()[:4] + sixty_sites()[36:44])


class CutOffError(Exception):
    """The run ends here."""


@pytest.fixture(scope="module")
def undisturbed(here: Client, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("undisturbed")
    answer(write(folder / "sites.parquet", TWELVE), folder, here)
    return folder


def assert_same(folder: Path, undisturbed: Path) -> None:
    for name in ("sites", "suitabilities"):
        assert written(folder, name).equals(written(undisturbed, name)), name
    rows = [row["row"] for row in rows_of(folder, "sites")]
    assert rows == list(range(len(TWELVE)))


def test_a_worker_keeps_no_stacks_of_what_it_did(two_processes: Client, undisturbed: Path, tmp_path: Path) -> None:
    answer(undisturbed / "sites.parquet", tmp_path, two_processes)
    assert set(two_processes.run(stacks_seen).values()) == {0}


def stacks_seen(dask_worker: Worker) -> int:
    """Samples of the engine's profiler that a worker holds."""
    seen: int = dask_worker.profile_recent["count"] + len(dask_worker.profile_history)
    return seen


def test_a_worker_that_is_killed_takes_nothing_with_it(
    two_processes: Client, undisturbed: Path, tmp_path: Path
) -> None:
    killed: list[int] = []

    def kill_one(progress: Progress) -> None:
        if progress.done_parts == 1 and not killed:
            pids = two_processes.run(os.getpid)
            killed.append(next(iter(pids.values())))
            os.kill(killed[0], signal.SIGKILL)

    done = answer(undisturbed / "sites.parquet", tmp_path, two_processes, tell=kill_one)
    assert killed, "the worker was not killed"
    assert done.done_parts == done.parts == 6
    assert_same(tmp_path, undisturbed)


def test_a_run_that_was_cut_off_goes_on_where_it_was(here: Client, undisturbed: Path, tmp_path: Path) -> None:
    def cut_off(progress: Progress) -> None:
        if progress.done_parts == 3:
            raise CutOffError

    with pytest.raises(CutOffError):
        answer(undisturbed / "sites.parquet", tmp_path, here, tell=cut_off)
    there = {file: file.stat().st_mtime_ns for file in (tmp_path / SITES).iterdir()}
    assert len(there) == 3
    half = tmp_path / SITES / ".part-000005.parquet.1.begun"
    half.write_bytes(next(iter(there)).read_bytes()[:200])
    done = answer(undisturbed / "sites.parquet", tmp_path, here)
    assert (done.found_parts, done.done_parts) == (3, 6)
    assert {file: file.stat().st_mtime_ns for file in there} == there
    assert not half.exists()
    assert_same(tmp_path, undisturbed)


def test_the_command_killed_and_run_again_leaves_the_same(undisturbed: Path, tmp_path: Path) -> None:
    folder = tmp_path / "answers"
    table = str(undisturbed / "sites.parquet")
    command = [sys.executable, "-m", "domain.grid", table, str(folder), "--part-rows", "2", "--cultivars", *FEW]
    first = subprocess.Popen(command, stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
    deadline = time.monotonic() + 240.0
    while not list(folder.glob("sites/part-*.parquet")) and time.monotonic() < deadline:
        assert first.poll() is None, "it ended before it was killed"
        time.sleep(0.05)
    first.kill()
    first.wait()
    left = {file: file.stat().st_mtime_ns for file in folder.glob("sites/part-*.parquet")}
    assert 0 < len(left) < 6
    again = subprocess.run(command, capture_output=True, text=True, check=False, timeout=400)
    assert again.returncode == 0, again.stderr
    assert "12 rows answered" in again.stdout
    assert f"({len(left)} were there)" in again.stderr
    assert {file: file.stat().st_mtime_ns for file in left} == left
    assert_same(folder, undisturbed)


def test_a_bad_row_is_answered_in_its_place(here: Client, tmp_path: Path) -> None:
    good = {"id": "good", "latitude": 50.0, "longitude": 8.0}
    rows = [*bad_rows()[:3], good, *bad_rows()[3:]]
    done = answer(write(tmp_path / "rows.parquet", rows), tmp_path, here, warmer_by_c=(0.0, 2.0), part_rows=4)
    assert done.faulty_rows == len(bad_rows())
    answered = rows_of(tmp_path, "sites")
    assert [row["row"] for row in answered] == [n for n in range(len(rows)) for _ in range(2)]
    assert [row["id"] for row in answered[::2]] == [row["id"] for row in rows]
    by_mark = {row["id"]: row for row in answered}
    assert by_mark["good"]["faults"] is None
    assert {row["id"] for row in rows_of(tmp_path, "suitabilities")} == {"good"}
    pointers = {mark: row["faults"][0]["pointer"] for mark, row in by_mark.items() if mark != "good"}
    assert pointers == {
        "at sea": "#/latitude",
        "too far north": "#/latitude",
        "not a number": "#/elevation_m",
        "no such day": "#/last_spring_frost/median",
        "nothing told": "#",
        None: "#",
    }


def test_text_where_a_number_belongs_is_no_number(here: Client, tmp_path: Path) -> None:
    answer(write(tmp_path / "t.parquet", [{"id": "a", "latitude": "50", "longitude": "8"}]), tmp_path, here)
    (row,) = rows_of(tmp_path, "sites")
    assert row["faults"] == [{"pointer": "#/latitude", "detail": row["faults"][0]["detail"]}]
    assert "float" in row["faults"][0]["detail"]


def test_a_column_that_no_site_has_is_told_before_anything_is_done(here: Client, tmp_path: Path) -> None:
    table = write(tmp_path / "t.parquet", [{"id": "a", "latitude": 50.0, "longtitude": 8.0}])
    with pytest.raises(TableRefusedError, match="longtitude"):
        answer(table, tmp_path / "folder", here)
    assert not (tmp_path / "folder").exists()
    unmarked = write(tmp_path / "u.parquet", [{"latitude": 50.0, "longitude": 8.0}])
    with pytest.raises(TableRefusedError, match="`id`"):
        answer(unmarked, tmp_path / "folder", here)


@pytest.mark.parametrize("other", [{"cultivars": ("Fuji",)}, {"part_rows": 5}, {"warmer_by_c": (1.0,)}])
def test_a_folder_is_not_filled_with_answers_to_something_else(
    here: Client, undisturbed: Path, other: dict[str, Any]
) -> None:
    with pytest.raises(OtherSurveyError, match=next(iter(other))):
        answer(undisturbed / "sites.parquet", undisturbed, here, **other)


def test_workers_of_other_versions_are_refused(here: Client, tmp_path: Path) -> None:
    table = write(tmp_path / "one.parquet", TWELVE[:1])
    older = msgspec.structs.replace(survey(FEW, (0.0,), None, no_spray=False), tables="0.0.1")
    with pytest.raises(OtherVersionsError, match=re.escape("0.0.1")):
        run(table, tmp_path / "folder", here, older, part_rows=1)
    assert not list((tmp_path / "folder").glob("*/*.parquet"))


def test_the_version_told_is_that_of_the_code_whatever_is_installed() -> None:
    assert survey(FEW, (0.0,), None, no_spray=False).program == __version__


def test_an_engine_that_runs_already_is_used(here: Client, tmp_path: Path) -> None:
    table = write(tmp_path / "one.parquet", TWELVE[:1])
    with engine(here.scheduler.address, workers=9, memory=MEMORY) as client:
        assert len(client.nthreads()) == 1
        assert answer(table, tmp_path / "folder", client).done_rows == 1
    assert here.submit(int, "7").result() == 7, "it must not end with the run"


def test_a_row_that_takes_every_worker_is_told_and_the_others_answered(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(domain.grid.run, "answer_part", deadly_part)
    rows = [*TWELVE[:2], {"id": POISON, "latitude": 50.0, "longitude": 8.0}, TWELVE[3]]
    table = write(tmp_path / "rows.parquet", rows)
    quick = dask.config.set({"distributed.scheduler.allowed-failures": 0})
    with quick, engine(None, workers=1, memory=MEMORY) as client:
        done = answer(table, tmp_path, client, part_rows=4)
    assert done.sent_alone == 4
    answered = rows_of(tmp_path, "sites")
    assert [row["id"] for row in answered] == [row["id"] for row in rows]
    assert [row["faults"] and row["faults"][0]["detail"] for row in answered] == [None, None, LOST, None]
