"""Writes the adopted tables of rootstocks and tree forms: ``python -m domain.adoption.rootstocks_main``."""

from domain.adoption.rootstocks import adopted_tables
from domain.tables.loading import TABLES


def main() -> None:
    """Recompute and write, and print what was written."""
    for name, text in adopted_tables().items():
        (TABLES / name).write_text(text, encoding="utf-8", newline="")
        print(f"{name:28} {text.count(chr(10)) - 1:5} rows")


if __name__ == "__main__":
    main()
