"""A given planting judged: tree by tree and as a whole, causes of complaints told apart, changes proposed."""
