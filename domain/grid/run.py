"""A table of sites answered part by part by the workers of an engine, and written by whoever asked.

A few parts are under way for each worker and no more, so that neither this process nor the engine holds a large table.
A worker that is lost takes nothing with it: its parts go to another. Where a part loses one worker after the other, its
rows are sent one by one at the end, and the row that does it is answered by that.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import msgspec
import pyarrow.parquet as pq
from distributed import Client, Future, as_completed
from distributed.scheduler import KilledWorker

from domain.grid.folder import Asked, Folder, hash_of
from domain.grid.part import PartAnswer, Survey, answer_part, joined, lost_row
from domain.many_sites.site_rows import COLUMNS, unknown_columns

PARTS_AHEAD = 2
"""Parts sent for each thread of the workers: one under way, one waiting."""

Rows = list[dict[str, Any]]


class TableRefusedError(ValueError):
    """The table has columns that no site has, or none by which a row can be told."""


@dataclass
class Progress:
    """How far a run has come.

    cpu_s: of the workers. largest_mib: memory of the largest of them so far. sent_alone: rows of parts that lost their
    workers.
    """

    parts: int
    rows: int
    found_parts: int = 0
    found_rows: int = 0
    done_parts: int = 0
    done_rows: int = 0
    faulty_rows: int = 0
    sent_alone: int = 0
    cpu_s: float = 0.0
    largest_mib: float = 0.0

    @property
    def answered_rows(self) -> int:
        """Rows that this run answered."""
        return self.done_rows - self.found_rows


@dataclass
class _Part:
    """A part under way: its rows, and the answers to them by the first row of each piece."""

    number: int
    first_row: int
    rows: Rows
    pieces: dict[int, PartAnswer] = field(default_factory=dict)

    @property
    def whole(self) -> bool:
        return sum(piece.rows for piece in self.pieces.values()) == len(self.rows)


def check_table(path: Path) -> int:
    """The rows of a table of sites. Raises TableRefusedError for columns that no row can have."""
    names = pq.read_schema(path).names
    unknown = unknown_columns(names)
    if unknown:
        raise TableRefusedError(f"no site has the columns {', '.join(unknown)}; expected some of {', '.join(COLUMNS)}")
    if "id" not in names:
        raise TableRefusedError("the table needs a column `id`, the caller's own mark of each row")
    return int(pq.read_metadata(path).num_rows)


def run(
    table: Path,
    folder: Path,
    client: Client,
    survey: Survey,
    *,
    part_rows: int,
    tell: Callable[[Progress], None] = lambda _: None,
) -> Progress:
    """Answer every row of a table that is not answered yet.

    Raises TableRefusedError for its columns, OtherSurveyError for the folder, OtherVersionsError for the workers.
    """
    rows = check_table(table)
    asked = Asked(table_sha256=hash_of(table), rows=rows, part_rows=part_rows, survey=survey)
    kept = Folder(folder, asked)
    kept.open()
    progress = Progress(asked.parts, rows)
    for number in filter(kept.is_there, range(asked.parts)):
        progress.found_parts += 1
        progress.found_rows += min(part_rows, rows - number * part_rows)
    progress.done_parts, progress.done_rows = progress.found_parts, progress.found_rows
    sending = _Sending(client, msgspec.json.encode(survey))
    waiting = _parts(table, kept)
    tell(progress)

    def ended(part: _Part) -> None:
        if part.whole:
            answer = joined([part.pieces[first] for first in sorted(part.pieces)])
            kept.write(part.number, answer)
            _count(progress, answer)
            tell(progress)

    sending.send_more(waiting)
    for future in sending.ended:
        part = sending.take(future)
        if part is not None:
            ended(part)
        sending.send_more(waiting)
    for part, first_row, told in sending.alone:
        progress.sent_alone += 1
        part.pieces[first_row] = sending.alone_answered(first_row, told, survey)
        ended(part)
    return progress


def _parts(table: Path, kept: Folder) -> Iterator[_Part]:
    """The parts that are not answered, read as they are needed."""
    first_row = 0
    batches = pq.ParquetFile(table).iter_batches(batch_size=kept.asked.part_rows)
    for number, rows in enumerate(_even(batches, kept.asked.part_rows)):
        if not kept.is_there(number):
            yield _Part(number, first_row, rows)
        first_row += len(rows)


def _even(batches: Iterator[Any], size: int) -> Iterator[Rows]:
    """Rows in lists of one size, the last one shorter: batches end where a group of the file does."""
    gathered: Rows = []
    for batch in batches:
        gathered += batch.to_pylist()
        while len(gathered) >= size:
            yield gathered[:size]
            gathered = gathered[size:]
    if gathered:
        yield gathered


def _threads(client: Client) -> int:
    return max(1, sum(int(threads) for threads in client.nthreads().values()))


def _count(progress: Progress, answer: PartAnswer) -> None:
    progress.done_parts += 1
    progress.done_rows += answer.rows
    progress.faulty_rows += answer.faulty
    progress.cpu_s += answer.cpu_s
    progress.largest_mib = max(progress.largest_mib, answer.worker_mib)


class _Sending:
    """What is under way, how it ends, and which rows are to be sent alone when all else is done.

    When a worker is lost, all that it held is under suspicion. Only a row that was sent alone shows that it did it.
    """

    def __init__(self, client: Client, asked: bytes) -> None:
        self.client, self.asked = client, asked
        self.ended = as_completed([])
        self.under_way: dict[Future, _Part] = {}
        self.alone: list[tuple[_Part, int, dict[str, Any]]] = []

    def send_more(self, waiting: Iterator[_Part]) -> None:
        """Send as many parts as may be under way."""
        room = PARTS_AHEAD * _threads(self.client) - len(self.under_way)
        for _, part in zip(range(room), waiting, strict=False):
            future = self.client.submit(answer_part, part.first_row, part.rows, self.asked, pure=False)
            self.under_way[future] = part
            self.ended.add(future)

    def take(self, future: Future) -> _Part | None:
        """The part whose answer came; None where it lost its workers, and its rows will be sent alone."""
        part = self.under_way.pop(future)
        try:
            part.pieces[part.first_row] = future.result()
        except KilledWorker:
            self.alone += [(part, row, told) for row, told in enumerate(part.rows, part.first_row)]
            return None
        future.release()
        return part

    def alone_answered(self, row: int, told: dict[str, Any], survey: Survey) -> PartAnswer:
        """The answer to a row when nothing else is under way; that it was lost, where it takes every worker."""
        future = self.client.submit(answer_part, row, [told], self.asked, pure=False)
        try:
            answer: PartAnswer = future.result()
        except KilledWorker:
            return lost_row(row, told, survey)
        return answer
