"""Clients made from the contract by generators of the registries, compiled, and asking README's first request."""
