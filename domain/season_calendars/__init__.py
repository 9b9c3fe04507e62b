"""The year of some cultivars at one site: stages, frost, picking, health, and the work by hand."""
