"""Many reviews of one stream: each line is answered by itself, whole or by its problem, in the order asked.

Lines are worked on some at a time, those of one site after each other, so that its climate is worked out once; the
answers keep the order of the lines.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

import msgspec

from api import problems, strict_bodies
from api.advisor import Advisor
from api.planting_list_reviews import PlantingListReviewAnswer, checked, reviewed
from api.problems import Problem, Refusal
from api.settings import KIB, Settings
from domain.common.faults import ContentFaults
from domain.orchard_site.conditions import SiteConditions
from domain.reviews.planting import planting
from domain.reviews.review_request import PlantingListReviewRequest

MOST_LINES = 10_000
LINE_BYTES = 64 * KIB
MOST_SITES = 1_000
TOGETHER = 64
"""Lines that are looked at together, to answer those of one site after each other."""


class LineProblem(Problem, frozen=True, kw_only=True):
    """The problem of one line, by its number from 1."""

    line: int


@dataclass
class Line:
    """One line of a stream: what it asks, or why it cannot be answered."""

    number: int
    asked: PlantingListReviewRequest | None = None
    refused: Problem | None = None
    name: str = ""
    """Of its list, where it comes from a table."""

    @cached_property
    def site(self) -> bytes:
        """By what lines of one site are known."""
        return b"" if self.asked is None else msgspec.json.encode(self.asked.site)


@dataclass
class ReviewLines:
    """The lines of one stream, counted."""

    advisor: Advisor
    bounds: Settings
    seen: int = 0
    sites: set[bytes] = field(default_factory=set)
    _last: tuple[bytes, SiteConditions] | None = None
    """The site of the line that was answered last, checked by then, and what it holds."""

    def read(self, content: bytes) -> Line:
        """One line as it was sent."""
        self.seen += 1
        line = Line(self.seen)
        if self.seen > MOST_LINES:
            line.refused = _too_much(f"A stream has at most {MOST_LINES} lines; what follows is not read.")
            return line
        if len(content) > LINE_BYTES:
            line.refused = _too_much(f"This line has {len(content)} bytes; expected at most {LINE_BYTES}.")
            return line
        try:
            line.asked = strict_bodies.decoded(content, PlantingListReviewRequest, self.bounds)
        except Refusal as refusal:
            line.refused = refusal.problem
        self._count(line)
        return line

    def take(self, asked: PlantingListReviewRequest) -> Line:
        """A request that was made of rows of a table."""
        self.seen += 1
        line = Line(self.seen, asked)
        if self.seen > MOST_LINES:
            line.refused = _too_much(f"A table has at most {MOST_LINES} lists; what follows is not read.")
        else:
            self._count(line)
        return line

    def _count(self, line: Line) -> None:
        if line.asked is None:
            return
        if line.site not in self.sites and len(self.sites) >= MOST_SITES:
            line.refused = _too_much(f"This stream asks of more than {MOST_SITES} places; send the rest as another.")
            return
        self.sites.add(line.site)

    def answer(self, line: Line) -> msgspec.Struct:
        """The review of a line, or its problem."""
        if line.refused is None and line.asked is not None:
            try:
                return self._reviewed(line, line.asked)
            except ContentFaults as faults:
                line.refused = problems.content_problem(faults)
            except Refusal as refusal:
                line.refused = refusal.problem
            except Exception as error:
                line.refused = problems.internal_error(error)
        assert line.refused is not None  # what is not asked was refused
        return LineProblem(line=line.number, **msgspec.structs.asdict(line.refused))

    def _reviewed(self, line: Line, asked: PlantingListReviewRequest) -> PlantingListReviewAnswer:
        """Lines of one site follow each other: it is checked and looked up for the first of them."""
        last = self._last  # read once: lines of another site may be answered beside
        if last is None or last[0] != line.site:
            planted, here = checked(asked, self.advisor)
            self._last = (line.site, here)
        else:
            planted, here = planting(asked, self.advisor.tables.names), last[1]
        return reviewed(asked, self.advisor, planted, here)


def by_site(lines: Iterable[Line]) -> Iterator[Line]:
    """The lines so that those of one site stand together, each site where its first line stood."""
    groups: dict[bytes, list[Line]] = {}
    for line in lines:
        groups.setdefault(line.site, []).append(line)
    for group in groups.values():
        yield from group


def _too_much(detail: str) -> Problem:
    return problems.problem(problems.TOO_MANY_LINES, detail)
