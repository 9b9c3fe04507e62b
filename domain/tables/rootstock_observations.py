"""Published values of rootstocks and trained forms, as published."""

import msgspec

NOT_ROOTSTOCKS = frozenset(
    {
        "biaxis", "bush", "columnar", "dwarf-bush", "dwarf-pyramid", "dwarf-size-class", "espalier",
        "family-multi-graft", "fan", "fruit-wall", "fuji", "half-standard", "honeycrisp", "idared",
        "intensive-orchard-general", "mcintosh", "northern-spy", "oblique-cordon", "rule-in-row-spacing",
        "rule-row-spacing", "semi-dwarf-size-class", "slender-spindle", "solaxe", "spur-type-scion-general",
        "standard", "standard-size-class", "stepover", "super-spindle", "tall-spindle", "v-trellis",
        "vertical-axis", "vertical-trellis", "vineland-series",
    }
)  # fmt: skip
"""Subjects of the table of observations that are forms, size classes, scions or rules."""


class RootstockObservation(msgspec.Struct, frozen=True, kw_only=True):
    """One published value: `published` as printed, `low` and `high` its numbers, None where it is open or in words."""

    rootstock_id: str
    name: str
    trait: str
    published: str
    source_id: str
    low: float | None = None
    high: float | None = None
    unit: str = ""
    scheme: str = ""
    locator: str = ""
    note: str = ""

    @property
    def is_rootstock(self) -> bool:
        """Whether the subject is a rootstock (an interstem counts), and not a form, a class or a rule."""
        return self.rootstock_id not in NOT_ROOTSTOCKS
