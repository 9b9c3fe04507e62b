"""One cultivar at one site: what holds it back, factor by factor, its rank, its verdict, and the words."""
