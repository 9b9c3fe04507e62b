"""Faults in what a request says, as opposed to its shape: an unknown cultivar, a date that no year holds.

The domain collects every fault it can find before it refuses, and names each by an RFC 6901 JSON pointer into the
request in its URI fragment form (``#/site/winter_chill/mean``). How a fault is answered is not the domain's business.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class ContentFault:
    """One fault: where it is, what was expected there, and for a name the nearest known ones.

    line and column lead into a file sent beside the request; the first line is 1, a column is called by its name.
    """

    pointer: str
    detail: str
    nearest: tuple[str, ...] = ()
    line: int | None = None
    column: str | None = None


class ContentFaults(ValueError):  # noqa: N818 - the plural says what it carries: all the faults of one request
    """Every fault found in one request; there is at least one."""

    def __init__(self, faults: Sequence[ContentFault]) -> None:
        if not faults:
            raise ValueError("A refusal needs at least one fault.")
        self.faults = tuple(faults)
        super().__init__("; ".join(f"{fault.pointer}: {fault.detail}" for fault in self.faults))


def pointer(*parts: str | int) -> str:
    """The fragment form of a JSON pointer (RFC 6901, sections 3 and 6): ``pointer("rows", 0)`` is ``#/rows/0``."""
    return "#" + "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in parts)


class collecting:  # noqa: N801 - it stands behind `with` as a word; a class costs a quarter of a generator there
    """Add the faults raised inside the block to the list, so that the next check can still be made."""

    __slots__ = ("_faults",)

    def __init__(self, faults: list[ContentFault]) -> None:
        self._faults = faults

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: object, raised: BaseException | None, trace: object) -> bool:
        if not isinstance(raised, ContentFaults):
            return False
        self._faults.extend(raised.faults)
        return True


def check_all(*checks: Callable[[], object]) -> None:
    """Make every check; raise ContentFaults with the faults of all of them, if there are any."""
    faults: list[ContentFault] = []
    for check in checks:
        with collecting(faults):
            check()
    if faults:
        raise ContentFaults(faults)
