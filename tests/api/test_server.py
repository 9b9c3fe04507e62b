"""The service through real sockets: several processes, slow and broken callers, bounds, stopping."""

import contextlib
import os
import signal
import socket
import threading
import time
from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

import msgspec
import pytest
import uvicorn

from api import server
from api.connections import BODY_BROKEN
from api.problems import Problem
from api.settings import COUNTS_FOLDER, Settings
from tests.api.served import Served, served, until_closed

SUITABILITIES = "/v1/suitabilities"
AN_ANSWER_WITHOUT_DELAY_S = 0.030
"""With the delay of small parts every answer takes more than 40 ms (RFC 1122, section 4.2.3.2: up to 500)."""


@pytest.fixture(scope="module")
def short_of_patience(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    bounds = {"headers_timeout_s": 1, "body_timeout_s": 1, "connections": 6, "held_body_mib": 1, "answer_timeout_s": 2}
    with served(tmp_path_factory.mktemp("served"), **bounds) as running:
        yield running


@pytest.fixture(scope="module")
def together(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(tmp_path_factory.mktemp("together"), processes=2) as running:
        yield running


def place(number: int) -> dict[str, Any]:
    return {"site": {"latitude": 45 + number / 20, "longitude": 21}, "limit": 1}


def problem_of(answer: bytes) -> Problem:
    """The problem in the bytes of an answer."""
    head, _, body = answer.partition(b"\r\n\r\n")
    assert b"content-type: application/problem+json" in head.lower()
    told = msgspec.json.decode(body, type=Problem)
    assert head.startswith(b"HTTP/1.1 %d " % told.status)
    return told


def test_small_answers_of_several_processes_wait_for_nothing(together: Served) -> None:
    found = []
    for _ in range(3):  # several connections, so that both processes are met
        connection = HTTPConnection("127.0.0.1", together.port, timeout=30)
        for _ in range(30):
            start = time.perf_counter()
            connection.request("GET", "/healthz")
            connection.getresponse().read()
            found.append(time.perf_counter() - start)
        connection.close()
    assert sorted(found)[len(found) // 4] < AN_ANSWER_WITHOUT_DELAY_S


def test_processes_answer_alike_and_count_together(together: Served) -> None:
    answers = {together.post(SUITABILITIES, place(0))[2] for _ in range(6)}
    assert len(answers) == 1
    # A process counts a request when its answer is out: the last may be counted after the next is asked.
    until = time.monotonic() + 10
    while _counted(together) < 6 and time.monotonic() < until:
        time.sleep(0.05)
    assert _counted(together) == 6
    assert len({line["message"] for line in together.lines() if "Started server process" in line["message"]}) == 2


def _counted(together: Served) -> float:
    """Requests for suitabilities that the processes have counted together."""
    lines = together.get("/metrics")[2].decode().splitlines()
    told = (one for one in lines if one.startswith("siting_advisor_requests_total") and SUITABILITIES in one)
    return float(next(told, "none 0").rsplit(" ", 1)[1])


def _remembered(together: Served) -> float:
    """Sites that the processes remember together, as they are counted."""
    lines = together.get("/metrics")[2].decode().splitlines()
    return sum(float(one.rsplit(" ", 1)[1]) for one in lines if one.startswith("siting_advisor_remembered_sites{"))


def _begun(together: Served) -> list[int]:
    """Ids of the processes that have begun to serve, in their order."""
    told = (line["message"] for line in together.lines() if "Started server process" in line["message"])
    return [int(one.partition("[")[2].rstrip("]")) for one in told]


@pytest.mark.parametrize("how", ["hung up", "killed"])
def test_what_a_process_held_that_is_gone_is_no_longer_counted(together: Served, how: str) -> None:
    """Processes replaced (SIGHUP), or started again since they died, remember no site; the service goes on."""
    for number in range(6):
        together.post(SUITABILITIES, place(number))
    assert _remembered(together) > 0
    before = _begun(together)
    if how == "killed":
        for pid in before[-2:]:
            os.kill(pid, signal.SIGKILL)
    else:
        together.process.send_signal(signal.SIGHUP)
    until = time.monotonic() + 90
    while len(_begun(together)) < len(before) + 2 and time.monotonic() < until:
        time.sleep(0.2)
    assert len(_begun(together)) == len(before) + 2
    while _remembered(together) > 0 and time.monotonic() < until:
        time.sleep(0.2)
    assert _remembered(together) == 0
    assert together.get("/healthz")[0] == 200
    assert not [line for line in together.lines() if "aborting" in line["message"]]


def test_a_process_that_starts_slowly_is_not_taken_for_hung(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The server's own 5 seconds are less than a start may take where several share a busy processor."""
    monkeypatch.setenv(COUNTS_FOLDER, str(tmp_path))
    given: list[uvicorn.Config] = []
    monkeypatch.setattr(server.Together, "run", lambda supervisor: given.append(supervisor.config))
    server.serve_together("127.0.0.1", 0, 2, Settings())
    assert given[0].timeout_worker_healthcheck >= 60


def test_who_comes_when_all_processes_end_is_refused(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """And does not wait at a socket that the parent alone still holds."""
    monkeypatch.setenv(COUNTS_FOLDER, str(tmp_path))
    given: list[server.Together] = []

    def keep(supervisor: server.Together) -> None:
        given.append(supervisor)

    monkeypatch.setattr(server.Together, "run", keep)
    server.serve_together("127.0.0.1", 0, 2, Settings())
    address = given[0].sockets[0].getsockname()
    socket.create_connection(address, timeout=5).close()
    given[0].terminate_all()
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(address, timeout=5)


def test_half_a_request_is_given_up(short_of_patience: Served) -> None:
    start = time.monotonic()
    told = problem_of(short_of_patience.said(b"GET /healthz HTTP/1.1\r\nHost: local\r\nX-Slow: "))
    assert told.type == "/problems/request-timeout"
    assert 0.8 < time.monotonic() - start < 20


def test_a_connection_that_says_nothing_is_closed(short_of_patience: Served) -> None:
    start = time.monotonic()
    assert short_of_patience.said(b"") == b""
    assert 0.8 < time.monotonic() - start < 20


def test_a_request_in_slow_drops_is_given_up(short_of_patience: Served) -> None:
    with short_of_patience.connected() as connection:
        connection.sendall(b"POST /v1/suitabilities HTTP/1.1\r\nHost: local\r\nContent-Type: application/json\r\n")
        connection.sendall(b"Content-Length: 50000\r\n\r\n")
        start = time.monotonic()
        try:
            while time.monotonic() - start < 20:
                connection.sendall(b" ")
                time.sleep(0.1)
                connection.settimeout(0.01)
                try:
                    came = connection.recv(65_536)
                    connection.settimeout(10)
                    came += until_closed(connection)
                    break
                except TimeoutError:
                    continue
        except ConnectionError:
            came = b""
    assert time.monotonic() - start < 19
    if came:  # else it was reset before the answer was read
        assert came.startswith(b"HTTP/1.1 408 ")
    if came.endswith(b"}"):  # else it was reset between head and body
        assert problem_of(came).status == 408


def test_more_connections_than_may_be_are_refused(short_of_patience: Served) -> None:
    time.sleep(1.5)  # those of earlier tests are gone
    open_ones = [short_of_patience.connected() for _ in range(6)]
    try:
        told = b""
        for _ in range(3):
            told = told or short_of_patience.said(b"GET /healthz HTTP/1.1\r\nHost: local\r\n\r\n")
        assert problem_of(told).type == "/problems/service-busy"
        assert b"retry-after: 5" in told
    finally:
        for connection in open_ones:
            connection.close()
    time.sleep(0.5)
    assert short_of_patience.get("/healthz")[0] == 200


def test_more_of_bodies_than_may_be_is_refused(short_of_patience: Served) -> None:
    begun = (
        b"POST /v1/site-climates HTTP/1.1\r\nHost: local\r\nContent-Type: application/json\r\n"
        b"Content-Length: 8000000\r\n\r\n"
    )
    with short_of_patience.connected() as connection:
        connection.sendall(begun + b" " * 2_000_000)
        told = until_closed(connection)
    assert problem_of(told).type == "/problems/service-busy"
    assert short_of_patience.post("/v1/cultivar-names", {"names": ["Gala"]})[0] == 200  # what it held is given back


def test_what_is_no_http_is_told_by_a_problem(short_of_patience: Served) -> None:
    assert problem_of(short_of_patience.said(b"\x16\x03\x01 hello\r\n\r\n")).type == "/problems/bad-request"
    assert problem_of(short_of_patience.said(b"GET /%s HTTP/1.1\r\nBad Name: 1\r\n\r\n")).status == 400


@pytest.mark.parametrize(
    ("target", "status"),
    [
        (b"GET http://local/healthz HTTP/1.1", 200),
        (b"GET HTTP://other.example:8000/v1/cultivars/fuji HTTP/1.1", 200),
        (b"GET http://local HTTP/1.1", 200),
        (b"OPTIONS * HTTP/1.1", 204),
        (b"GET /nowhere HTTP/1.1", 404),
    ],
)
def test_forms_of_a_target(short_of_patience: Served, target: bytes, status: int) -> None:
    """RFC 9112, section 3.2: origin form, absolute form, asterisk form."""
    told = short_of_patience.said(target + b"\r\nHost: local\r\nConnection: close\r\n\r\n")
    assert told.startswith(b"HTTP/1.1 %d " % status)


HEALTH = b"GET /healthz HTTP/1.1\r\nHost: local\r\n\r\n"
LAST = HEALTH.replace(b"local", b"local\r\nConnection: close")
NAMES = (
    b"POST /v1/cultivar-names HTTP/1.1\r\nHost: local\r\nContent-Type: application/json\r\n"
    b'Content-Length: 19\r\n\r\n{"names": ["Gala"]}'
)


@pytest.mark.parametrize(
    ("parts", "answers"),
    [
        pytest.param([b"\r\n" + HEALTH, b"\r\n" + LAST], 2, id="before each"),
        pytest.param([HEALTH + b"\r\n" + LAST], 2, id="between two at once"),
        pytest.param([NAMES + b"\r\n", LAST], 2, id="after a body"),
        pytest.param([NAMES[:-4], NAMES[-4:] + b"\r\n" + LAST], 2, id="after a body in parts"),
        pytest.param([NAMES + b"\r", b"\n" + LAST], 2, id="in two parts after a body"),
        pytest.param([b"\r", b"\n", b"\r", b"\n" + LAST], 1, id="byte by byte"),
        pytest.param([b"\r\n\r\n\r\n" + HEALTH + b"\r\n\r", b"\n" + LAST], 2, id="several"),
        pytest.param([HEALTH + b"\r\n", HEALTH, b"\r\n", HEALTH + b"\r\n" + HEALTH + b"\r\n" + LAST], 5, id="many"),
    ],
)
def test_empty_lines_before_a_request_are_passed_over(
    short_of_patience: Served, parts: list[bytes], answers: int
) -> None:
    """RFC 9112, section 2.2; some clients send one after a body."""
    with short_of_patience.connected() as connection:
        for part in parts:
            connection.sendall(part)
            time.sleep(0.1)
        came = until_closed(connection)
    assert came.count(b"HTTP/1.1 ") == came.count(b"HTTP/1.1 200 ") == answers


@pytest.mark.parametrize("said", [b"\r\r\n" + LAST, b"\r" + LAST, b"\r\n \r\n" + LAST])
def test_what_is_no_empty_line_is_not(short_of_patience: Served, said: bytes) -> None:
    assert problem_of(short_of_patience.said(said)).status == 400


@pytest.mark.parametrize("said", [b"\r", b"\r\n", b"\r\n\r"])
def test_after_empty_lines_a_request_is_awaited_no_longer(short_of_patience: Served, said: bytes) -> None:
    with short_of_patience.connected() as connection:
        connection.settimeout(20)
        connection.sendall(said)
        told = until_closed(connection)
    assert told == b"" or problem_of(told).status == 408


def test_empty_lines_without_end_are_given_up(short_of_patience: Served) -> None:
    start = time.monotonic()
    with short_of_patience.connected() as connection, contextlib.suppress(ConnectionError):
        while time.monotonic() - start < 20:
            connection.sendall(b"\r\n" * 100)
            time.sleep(0.05)
    assert time.monotonic() - start < 19


@pytest.mark.parametrize(
    ("version", "status"), [(b"1.1", 200), (b"1.0", 200), (b"1.9", 200), (b"0.9", 505), (b"2.0", 505), (b"9.9", 505)]
)
def test_versions_of_http(short_of_patience: Served, version: bytes, status: int) -> None:
    """RFC 9110, sections 2.5 and 15.6.6: a higher minor version is served as the highest that is known."""
    told = short_of_patience.said(b"GET /healthz HTTP/" + version + b"\r\nHost: local\r\nConnection: close\r\n\r\n")
    assert told.startswith(b"HTTP/1.1 %d " % status)
    if status == 505:
        assert problem_of(told).type == "/problems/http-version"


@pytest.mark.parametrize("size", [33_000, 200_000, 2_000_000])
def test_more_than_is_read_before_a_body_is_refused(short_of_patience: Served, size: int) -> None:
    """RFC 6585, section 5, however it falls into the parts that are read; 30 KiB are taken."""
    for long in (
        b"GET /healthz HTTP/1.1\r\nHost: local\r\nLong: %s\r\n\r\n",
        b"GET /healthz?%s HTTP/1.1\r\nHost: l\r\n\r\n",
    ):
        assert short_of_patience.said(long % (b"a" * 30_000), then_wait=False)[9:12] in {b"200", b"400"}
        told = problem_of(short_of_patience.said(long % (b"a" * size)))
        assert (told.status, told.type) == (431, "/problems/headers-too-large")


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        pytest.param(b"a:b\r\n" * 9_000, 431, id="many tiny headers"),
        pytest.param(b"a:b\r\n" * 6_500, 200, id="as many as fit"),
        pytest.param(b"a:" + b" " * 33_000 + b"b\r\n", 431, id="blanks alone"),
    ],
)
def test_what_stands_before_a_body_is_measured_alike_however_it_comes(
    short_of_patience: Served, headers: bytes, status: int
) -> None:
    asked = b"GET /healthz HTTP/1.1\r\nHost: local\r\nConnection: close\r\n" + headers + b"\r\n"
    whole = short_of_patience.said(asked)
    with short_of_patience.connected() as connection:
        for first in range(0, min(len(asked), 33_000), 11_000):  # where more would come, the answer comes first
            connection.sendall(asked[first : first + 11_000])
            time.sleep(0.05)
        in_parts = until_closed(connection)
    assert whole.startswith(b"HTTP/1.1 %d " % status)
    assert in_parts.startswith(b"HTTP/1.1 %d " % status)
    if status == 431:
        assert in_parts == whole


def test_a_body_with_two_ends_is_refused_and_its_connection_closed(short_of_patience: Served) -> None:
    """RFC 9112, section 6.3, rule 3."""
    told = short_of_patience.said(
        b"POST /v1/cultivar-names HTTP/1.1\r\nHost: local\r\nContent-Type: application/json\r\n"
        b"Content-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n"
    )
    assert problem_of(told).type == "/problems/bad-request"


def test_a_body_of_broken_chunks_is_told_as_one(short_of_patience: Served) -> None:
    """RFC 9112, section 7.1; what stands before the body is in order."""
    told = short_of_patience.said(
        b"POST /v1/cultivar-names HTTP/1.1\r\nHost: local\r\nContent-Type: application/json\r\n"
        b"Transfer-Encoding: chunked\r\n\r\nzz\r\n{}\r\n0\r\n\r\n"
    )
    assert problem_of(told).type == "/problems/bad-request"
    assert problem_of(told).detail == BODY_BROKEN


def test_a_body_too_large_is_refused_before_it_is_sent(short_of_patience: Served) -> None:
    """RFC 9110, section 10.1.1: a final status in place of 100."""
    told = short_of_patience.said(
        b"POST /v1/suitabilities HTTP/1.1\r\nHost: local\r\nContent-Type: application/json\r\n"
        b"Expect: 100-continue\r\nContent-Length: 9000000\r\nConnection: close\r\n\r\n"
    )
    assert told.startswith(b"HTTP/1.1 413 ")


def test_an_answer_that_nobody_takes_is_given_up(tmp_path: Path) -> None:
    with served(tmp_path, answer_timeout_s=1) as running:
        slow = socket.socket()
        slow.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        slow.connect(("127.0.0.1", running.port))
        body = b'{"site": {"latitude": 45, "longitude": 21}, "evidence": true}'
        slow.sendall(
            b"POST /v1/suitabilities HTTP/1.1\r\nHost: l\r\nContent-Type: application/json\r\n"
            b"Content-Length: %d\r\n\r\n%s" % (len(body), body)
        )
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            if any(line.get("route") == SUITABILITIES for line in running.lines()):
                break
            time.sleep(0.2)
        else:
            raise AssertionError("the service waits for the caller to this day")
        slow.close()
        assert running.get("/healthz")[0] == 200


@pytest.mark.parametrize("processes", [1, 2])
def test_what_was_asked_is_answered_when_the_service_is_stopped(tmp_path: Path, processes: int) -> None:
    """SIGTERM while eight new places are computed and wait: every one is answered, and the service ends by itself."""
    with served(tmp_path, processes=processes) as running:
        statuses: list[int] = []

        def ask(number: int) -> None:
            statuses.append(running.post(SUITABILITIES, place(number))[0])

        callers = [threading.Thread(target=ask, args=(number,)) for number in range(8)]
        for caller in callers:
            caller.start()
        time.sleep(1.0)
        running.process.send_signal(signal.SIGTERM)
        for caller in callers:
            caller.join(120)
        assert statuses == [200] * 8
        assert running.process.wait(60) in {0, -signal.SIGTERM}
