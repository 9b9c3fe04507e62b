"""Reads and checks everything in reference_tables once, at start, into frozen records."""
