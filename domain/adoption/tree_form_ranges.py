"""Sizes, spacings, work and crop of trained forms: published ranges, and practice where nothing is published.

The adopted range of a trait runs from the median of the published lower ends to the median of the upper ends. Rows of
practice (from memory) are used only for a trait of a form of which no number is published.
"""

from collections.abc import Sequence
from statistics import median

import msgspec

from domain.adoption.reading import ROOTSTOCKS, table
from domain.tables.rootstock_observations import RootstockObservation
from domain.tables.tree_form_ranges import AdoptedRange, PracticeRange

RANGE_TRAITS = (
    "mature_height",
    "spread",
    "depth",
    "spacing_in_row",
    "spacing_between_rows",
    "pruning_hours",
    "rootstock_size",
    "yield_per_tree",
    "support_height",
    "support_post_spacing",
    "planting_angle",
    "pot_volume",
    "water",
)


class SetAside(msgspec.Struct, frozen=True, kw_only=True):
    """A published value that is not of the trait as meant here."""

    form_id: str
    trait: str
    source_id: str
    note: str


def adopt_ranges(
    form_ids: Sequence[str], observations: Sequence[RootstockObservation], practice: Sequence[PracticeRange]
) -> dict[tuple[str, str], AdoptedRange]:
    """Adopted ranges by (form id, trait)."""
    key = ("form_id", "trait", "source_id")
    aside = {
        (one.form_id, one.trait, one.source_id) for one in table("form_values_set_aside", SetAside, key, ROOTSTOCKS)
    }
    adopted = {}
    for form in form_ids:
        for trait in RANGE_TRAITS:
            practised = next((row for row in practice if (row.form_id, row.trait) == (form, trait)), None)
            told = [
                o
                for o in observations
                if (o.rootstock_id, o.trait) == (form, trait)
                and (o.rootstock_id, o.trait, o.source_id) not in aside
                and (o.low is not None or o.high is not None)
            ]
            if told:
                ends = [_ends(o, practised) for o in told]
                adopted[form, trait] = AdoptedRange(
                    low=round(median(low for low, _ in ends), 2),
                    high=round(median(high for _, high in ends), 2),
                    unit=told[0].unit,
                    basis="published",
                    observations=len(told),
                    sources=tuple(sorted({o.source_id for o in told})),
                )
                continue
            if practised is not None:
                adopted[form, trait] = AdoptedRange(
                    low=practised.low,
                    high=practised.high,
                    unit=practised.unit,
                    basis="from-memory",
                    sources=(practised.source_id,),
                )
    return adopted


def _ends(o: RootstockObservation, practised: PracticeRange | None) -> tuple[float, float]:
    """Low and high end; an open end, and the low end of an "up to", is that of practice where there is one."""
    open_below = o.low is None or o.note.startswith("up to")
    low = practised.low if open_below and practised is not None else o.low
    high = o.high if o.high is not None else practised.high if practised is not None else None
    known = [end for end in (low, high) if end is not None]
    return min(known), max(known)
