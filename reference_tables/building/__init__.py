"""The code from `published/` to every other table: `python -m reference_tables.building`; `.check` judges the rows."""
