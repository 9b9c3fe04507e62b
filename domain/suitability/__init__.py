"""One cultivar at one site: crop, sound fruit, quality; factor by factor, with the reasons."""
