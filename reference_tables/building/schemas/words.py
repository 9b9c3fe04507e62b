"""Tables of words: the text of every code of an answer, one table a language."""

from reference_tables.building.schemas.common import NOTE
from reference_tables.building.schemas.description import Column, Table

_COLUMNS = (
    Column(
        "code",
        "code of a sentence, or family.code of a label",
        "chill_enough",
        required=True,
        pattern=r"[a-z0-9_.-]+",
    ),
    Column("text", "what is said, with slots {name} or {name:kind}", "{years:of_ten} winters", required=True),
    NOTE,
)
TABLES: tuple[Table, ...] = (
    Table("words/en", "What the codes of the answers say in English", _COLUMNS, key=("code",)),
    Table("words/de", "What the codes of the answers say in German", _COLUMNS, key=("code",)),
)
