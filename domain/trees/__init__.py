"""The tree that is bought and trained: rootstock and form, its size and its yearly work."""
