"""A part that ends its worker where a row bears a certain mark, as want of memory would."""

import os
from collections.abc import Mapping, Sequence
from typing import Any

from domain.grid.part import PartAnswer, answer_part

POISON = "poison"


def deadly_part(first_row: int, rows: Sequence[Mapping[str, Any]], asked: bytes) -> PartAnswer:
    """As `answer_part`, but for the rows that bear the mark."""
    if any(row["id"] == POISON for row in rows):
        os._exit(1)
    return answer_part(first_row, rows, asked)
