"""What is remembered: bounded in number and in bytes that are really held, the longest unasked forgotten first."""

import dataclasses
from typing import Any

import numpy as np
import pytest
from litestar.testing import TestClient

from api import site_memory
from api.application import create_app
from api.settings import Settings
from api.site_memory import SiteMemory, array_bytes
from domain.common.kept import Kept

MB = 1_000_000


@dataclasses.dataclass(frozen=True)
class Made:
    values: "np.ndarray[tuple[int, ...], np.dtype[np.uint8]]"


def made(size: int) -> Made:
    return Made(np.zeros(size, dtype=np.uint8))


def test_the_longest_unasked_is_forgotten_when_bytes_pass_the_bound() -> None:
    memory: SiteMemory[Made] = SiteMemory("sites", most=10, most_bytes=3 * MB)
    for key in (b"a", b"b", b"c"):
        memory.get(key, lambda: made(MB))
    memory.get(b"a", lambda: pytest.fail("it is known"))
    memory.get(b"d", lambda: made(MB))
    assert [key in memory for key in (b"a", b"b", b"c", b"d")] == [True, False, True, True]
    memory.get(b"e", lambda: made(5 * MB))  # larger than the bound: it alone
    assert [key in memory for key in (b"a", b"c", b"d", b"e")] == [False, False, False, True]


@dataclasses.dataclass(frozen=True, eq=False)
class Grows:
    kept: Kept = dataclasses.field(default_factory=Kept)


def test_what_is_kept_with_a_thing_later_is_counted_when_the_next_comes() -> None:
    memory: SiteMemory[Grows] = SiteMemory("sites", most=10, most_bytes=3 * MB)
    first, ground = memory.get(b"a", Grows), Grows()
    first.kept.get("on_ground", 1, lambda: ground)
    memory.get(b"b", Grows)
    assert b"a" in memory
    ground.kept.get("fit", 1, lambda: made(4 * MB))  # two steps down, in what was kept later
    memory.get(b"c", Grows)
    assert [key in memory for key in (b"a", b"b", b"c")] == [True, True, True]  # the request still holds the first
    del first
    assert [key in memory for key in (b"a", b"b", b"c")] == [False, True, True]


def test_a_thing_that_did_not_grow_is_not_looked_through_again(monkeypatch: pytest.MonkeyPatch) -> None:
    looked: list[Any] = []

    def look(thing: Any) -> site_memory.Looked:
        looked.append(thing)
        return look_through(thing)

    look_through = site_memory._look_through
    monkeypatch.setattr(site_memory, "_look_through", look)
    memory: SiteMemory[Grows] = SiteMemory("sites", most=40, most_bytes=100 * MB)
    things = [memory.get(bytes([key]), Grows) for key in range(30)]
    assert looked == things
    things[3].kept.get("fit", 1, lambda: made(MB))
    things.append(memory.get(b"one more", Grows))
    assert looked[30:] == [things[3], things[30]]


@pytest.mark.parametrize("filled", ["mapping", "list"])
def test_what_another_request_fills_meanwhile_does_no_harm(filled: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A mapping or a list of the same site grows with each kind that is looked up in it."""
    mapping = {n: np.zeros(10, dtype=np.uint8) for n in range(5)}
    row = list(mapping.values())
    most = 1000

    def kind(thing: Any) -> Any:
        if len(mapping) < most:
            mapping[len(mapping)] = row[0]
        if len(row) < most:
            row.append(row[0])
        return thing.__class__

    monkeypatch.setattr(site_memory, "type", kind, raising=False)
    assert array_bytes(mapping if filled == "mapping" else row) == 50
    assert 5 < len(mapping) < most
    assert 5 < len(row) < most


def test_windows_over_the_same_bytes_count_once() -> None:
    base = np.zeros(MB, dtype=np.uint8)
    windows = np.lib.stride_tricks.sliding_window_view(base, 500)
    assert windows.nbytes > 400 * MB
    assert array_bytes([windows, base, base[5:], windows[::7]]) < 2.1 * MB


def test_a_site_holds_what_operation_tells() -> None:
    """Eleven to thirty MiB; so the usual bound of bytes keeps the usual number of sites."""
    with TestClient[Any](create_app()) as client:
        for step in range(3):
            client.post("/v1/suitabilities", json={"site": {"latitude": 47 + step, "longitude": 8}, "limit": 1})
        told = {
            line.split(" ")[0]: float(line.split(" ")[1])
            for line in client.get("/metrics").text.splitlines()
            if line.startswith("siting_advisor_remembered") and 'what="sites"' in line
        }
    sites, held = (told[f'siting_advisor_remembered_{what}{{what="sites"}}'] for what in ("sites", "bytes"))
    assert sites == 3
    assert held / sites < Settings().remembered_mib * 1.05 * MB / Settings().remembered_sites
