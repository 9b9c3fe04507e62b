"""How long a body may take to come and an answer to be taken, and how much of bodies is held at once."""

import asyncio

from api import metrics
from api.asgi import App, Message, Receive, Scope, Send
from api.frame import answer_problem
from api.problems import REQUEST_TIMEOUT, RETRY_AFTER_S, problem
from api.settings import KIB, MIB, Settings
from api.workers import busy

LEAST_BYTES_A_SECOND = 64 * KIB
"""A longer body is given a second more for so many bytes that have come."""


class TooSlowError(Exception):
    """The body did not come in its time."""


class NoRoomError(Exception):
    """More bodies are held than may be."""


class AnswerUntakenError(ConnectionError):
    """The caller takes no more of the answer: the connection is given up."""


class HeldBodies:
    """Bytes of all bodies that are held by the process."""

    def __init__(self, most: int) -> None:
        self._most = most
        self.bytes = 0

    def take(self, size: int) -> None:
        """Count bytes that have come. Raises NoRoomError where they pass the bound."""
        if self.bytes + size > self._most:
            raise NoRoomError
        self.bytes += size
        metrics.HELD_BYTES.set(self.bytes)

    def give_back(self, size: int) -> None:
        """Count bytes that are no longer held."""
        self.bytes -= size
        metrics.HELD_BYTES.set(self.bytes)


def with_patience(app: App, settings: Settings) -> App:
    """Refuse a body that does not come (408) or finds no room (503); give up a caller who takes no answer."""
    held = HeldBodies(settings.held_body_mib * MIB)

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await app(scope, receive, send)
        loop = asyncio.get_running_loop()
        began, came, complete = loop.time(), 0, False

        async def timely() -> Message:
            nonlocal came, complete
            if complete:
                return await receive()
            due = began + settings.body_timeout_s + came / LEAST_BYTES_A_SECOND
            try:
                async with asyncio.timeout_at(due):
                    message = await receive()
            except TimeoutError:
                raise TooSlowError from None
            size = len(message.get("body", b""))
            held.take(size)
            came += size
            complete = not message.get("more_body", False)
            return message

        async def taken(message: Message) -> None:
            try:
                async with asyncio.timeout(settings.answer_timeout_s):
                    await send(message)
            except TimeoutError:
                raise AnswerUntakenError("the answer is not taken") from None

        try:
            await app(scope, timely, taken)
        except TooSlowError:
            detail = f"The body took longer than {settings.body_timeout_s} seconds and a second for each 64 KiB."
            await answer_problem(taken, problem(REQUEST_TIMEOUT, detail), [(b"connection", b"close")])
        except NoRoomError:
            refusal = busy("As much of bodies is held as may be")
            headers = [(b"retry-after", b"%d" % RETRY_AFTER_S), (b"connection", b"close")]
            await answer_problem(taken, refusal.problem, headers)
        finally:
            held.give_back(came)

    return wrapped
