"""What every room shares: days of a season, arrays, faults, names, cautions, regions; no apple and no weather."""
