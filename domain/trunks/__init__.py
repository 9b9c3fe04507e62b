"""Several cultivars on one trunk that live together, and the scion by which a lone tree sets fruit."""
