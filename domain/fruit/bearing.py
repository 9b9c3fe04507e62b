"""Where cultivars bear, and how a tree that bears so takes cutting; the forms that suit are told with the forms."""

from domain.fruit.reading import Grounds, keyed
from domain.tables.cultivars import Cultivar


class BearingHabit(Grounds, frozen=True, kw_only=True):
    """One habit. on_tips: cutting all shoots back takes crop. stands_hard_cuts: it crops though held far below size."""

    habit: str
    name: str
    on_tips: bool
    stands_hard_cuts: bool


COLUMNAR = "columnar"
"""The form of growth of one column."""
BEARING_HABITS = keyed("bearing_habits", BearingHabit, lambda row: row.habit)


def bears_on_tips(habit: str | None) -> bool:
    """Whether a habit bears on shoot tips; an unknown one does not."""
    return habit is not None and BEARING_HABITS[habit].on_tips


def stands_hard_cuts(habit: str | None) -> bool:
    """Whether a tree of this habit still crops where it is held far below its own size; an unknown one does not."""
    return habit is not None and BEARING_HABITS[habit].stands_hard_cuts


def is_columnar(cultivar: Cultivar) -> bool:
    """Whether a cultivar grows as one column, which makes no limbs and is not pruned but thinned."""
    form = cultivar.findings.get("growth_form")
    return form is not None and form.value == COLUMNAR
