"""Diseases and insects of the fruit: pressure at a site beside the tolerance of a cultivar."""
