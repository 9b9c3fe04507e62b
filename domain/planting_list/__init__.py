"""Which trees to plant together: chosen exactly, each with a pollen source, ripe over the season."""
