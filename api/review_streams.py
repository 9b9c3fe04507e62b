"""Reviews in bulk at the address of one: NDJSON in and out, or a table (CSV) in and out, streamed.

What is sent is kept in a file until the last of it has come, since most clients read no answer before they have sent
everything. Then it is answered some lines at a time, each time waiting for a turn among the interactive computations;
memory does not grow with the stream. A caller who reads slowly is waited for, and one who leaves ends the work.
"""

import asyncio
import tempfile
import time
from collections import deque
from collections.abc import AsyncIterator, Callable, Iterator
from typing import IO, Any

from api import review_rows, review_tables
from api.advisor import Advisor
from api.answer_forms import chosen
from api.asgi import App, Message, Receive, Scope, Send, header
from api.forms import media_type
from api.frame import answer_problem, varying
from api.problems import BODY_TOO_LARGE, NOT_ACCEPTABLE, Refusal, problem
from api.review_lines import LINE_BYTES, MOST_LINES, TOGETHER, Line, ReviewLines, by_site
from api.settings import MIB, Settings
from api.workers import Workers, busy, gone

ADDRESS = "/v1/planting-list-reviews"
NDJSON, CSV = "application/x-ndjson", "text/csv"
STREAM_BYTES = 64 * MIB
TURN_S = 0.02
"""How long lines are answered before others have their turn, but for a line that takes longer: to come and go costs as
much as a short review."""
HELD_BYTES = MIB
"""Of a stream, kept in memory before it goes to a file."""


def with_review_streams(app: App, advisor: Advisor, workers: Workers, settings: Settings) -> App:
    """Answer streams of reviews; everything else goes to `app`."""
    under_way = 0

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        nonlocal under_way
        kind = _kind(scope)
        if kind is None:
            return await app(scope, receive, send)
        send = varying(send)
        accept = (header(scope, b"accept") or b"").decode("latin-1")
        told_as = chosen(accept, (kind, CSV if kind == NDJSON else NDJSON))
        if told_as is None:
            detail = f"Expected `Accept` to take `{NDJSON}` or `{CSV}` for a stream."
            return await answer_problem(send, problem(NOT_ACCEPTABLE, detail))
        if under_way >= settings.streams_at_a_time:
            return await _refuse(send, busy("As many streams are under way as may be"))
        under_way += 1
        try:
            await one(kind, told_as, receive, send)
        finally:
            under_way -= 1

    async def one(kind: str, told_as: str, receive: Receive, send: Send) -> None:
        with tempfile.SpooledTemporaryFile(HELD_BYTES) as kept:
            if not await _received(kept, receive):
                return  # the caller has gone
            if kept.tell() > STREAM_BYTES:
                detail = f"Expected at most {STREAM_BYTES // MIB} MiB in one stream."
                await answer_problem(send, problem(BODY_TOO_LARGE, detail))
                return
            kept.seek(0)
            lines = ReviewLines(advisor, settings)
            try:
                asked = _lines(kept, lines) if kind == NDJSON else review_tables.asked(kept, lines)
                told: AsyncIterator[bytes] = _answered(asked, lines, workers, review_tables.encoder(told_as == CSV))
                await _sent(told, told_as, receive, send)
            except Refusal as refusal:
                await _refuse(send, refusal)

    return wrapped


def _kind(scope: Scope) -> str | None:
    """The kind of stream that a request is; None for any other request."""
    if scope["type"] != "http" or scope["method"] != "POST" or scope["path"].rstrip("/") != ADDRESS:
        return None
    kind, _ = media_type((header(scope, b"content-type") or b"").decode("latin-1"))
    return kind if kind in {NDJSON, CSV} else None


async def _refuse(send: Send, refusal: Refusal) -> None:
    headers = [(name.lower().encode(), value.encode()) for name, value in (refusal.headers or {}).items()]
    await answer_problem(send, refusal.problem, headers)


async def _received(kept: IO[bytes], receive: Receive) -> bool:
    """Keep the whole stream; what lies beyond its bound is read and thrown away. False where the caller leaves."""
    more = True
    while more:
        message = await receive()
        if message["type"] != "http.request":
            return False
        chunk, more = message.get("body", b""), message.get("more_body", False)
        if kept.tell() <= STREAM_BYTES:
            await asyncio.to_thread(kept.write, chunk)
    return True


def _lines(kept: IO[bytes], lines: ReviewLines) -> Iterator[Line]:
    """The lines of NDJSON; empty ones are passed over. One that is too long is read to its end."""
    while content := kept.readline(LINE_BYTES + 2):
        length = len(content)
        while not content.endswith(b"\n") and (rest := kept.readline(LINE_BYTES)):
            length, content = length + len(rest), rest
        told = content if length == len(content) else b" " * length
        if told.strip() or length > LINE_BYTES:
            yield lines.read(told.rstrip(b"\r\n") if length <= LINE_BYTES else told)
        if lines.seen > MOST_LINES:
            return


async def _answered(asked: Iterator[Line], lines: ReviewLines, workers: Workers, encode: Any) -> AsyncIterator[bytes]:
    """The answers of the lines, in their order, those looked at together in one part."""
    ended = False
    while not ended:
        batch, ended = await asyncio.to_thread(_next, asked)
        left, found = deque(by_site(batch)), dict[int, bytes]()

        def some(left: deque[Line] = left, found: dict[int, bytes] = found) -> None:
            """Answer lines for as long as a turn lasts."""
            began = time.monotonic()
            while left and time.monotonic() - began < TURN_S:
                line = left.popleft()
                found[line.number] = encode(line, lines.answer(line))

        while left:
            await _in_turn(workers, some)
        if batch:
            yield b"".join(found[line.number] for line in batch)


def _next(asked: Iterator[Line]) -> tuple[list[Line], bool]:
    batch: list[Line] = []
    for line in asked:
        batch.append(line)
        if len(batch) == TOGETHER:
            return batch, False
    return batch, True


async def _in_turn(workers: Workers, work: Callable[[], None]) -> None:
    """Do work when its turn comes; a stream stands behind whoever waits by then, and is not refused."""
    await workers.long.run(work, _never, has_waited=True)


async def _never() -> Message:
    await asyncio.Event().wait()
    return {}


async def _sent(told: AsyncIterator[bytes], kind: str, receive: Receive, send: Send) -> None:
    """Send the answers as they come; a caller who leaves ends the work."""
    left = asyncio.ensure_future(gone(receive))
    started = False

    async def begin() -> None:
        nonlocal started
        started = True
        told_as = f"{CSV}; charset=utf-8" if kind == CSV else kind
        headers = [(b"content-type", told_as.encode())]
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        if kind == CSV:
            await send({"type": "http.response.body", "body": review_rows.HEAD.encode(), "more_body": True})

    try:
        async for part in told:
            if not started:
                await begin()
            if left.done():
                return
            await send({"type": "http.response.body", "body": part, "more_body": True})
        if not started:
            await begin()
        await send({"type": "http.response.body", "body": b"", "more_body": False})
    finally:
        left.cancel()
