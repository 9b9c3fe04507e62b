"""What a table of sites holds, in numbers without words: one site after the other, and nothing of a site is kept."""
