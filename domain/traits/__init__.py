"""The adopted traits of all cultivars as arrays, and the search of the catalogue by trait."""
