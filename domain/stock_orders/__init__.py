"""Which cultivars of a stock together serve most of many gardens: an exact choice with its bound."""
