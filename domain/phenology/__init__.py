"""Bloom and harvest windows at a site, year by year."""
