"""Requests of an invented orchard group, the answers they get, and a demonstration that runs them."""
