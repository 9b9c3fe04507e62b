"""A directed search for the request that costs most: no accepted one may pass the ceiling that the service promises."""
