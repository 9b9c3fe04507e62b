"""The ground that trees stand on: plots, set-backs, layouts and hours of sun."""
