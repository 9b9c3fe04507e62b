"""Room for trees: rootstocks, forms and sizes of trees, plots, set-backs, layouts and sunlight."""
