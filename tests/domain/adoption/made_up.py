"""Observations made up for tests: only the fields a test speaks of."""

from domain.tables.observations import Observation


def observed(cultivar_id: str, trait: str, published: str, **fields: object) -> Observation:
    """One observation; `numbers` sets low and high at once."""
    numbers = fields.pop("numbers", None)
    if isinstance(numbers, int | float):
        fields |= {"low": float(numbers), "high": float(numbers)}
    source_id = str(fields.pop("source_id", "a-text"))
    cells = {"cultivar_id": cultivar_id, "trait": trait, "published": published, "source_id": source_id, **fields}
    return Observation(**cells)  # type: ignore[arg-type]  # the names of the fields are the test's own words
