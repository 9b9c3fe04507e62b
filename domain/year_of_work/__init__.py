"""The year of some cultivars at a site: stages, frost, picking, health, and the work by hand."""
