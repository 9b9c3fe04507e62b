"""Builds the reference tables from folders of raw evidence: `python -m reference_tables.collect --evidence DIR`."""
