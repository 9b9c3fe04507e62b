"""Which cultivar's pollen sets which cultivar's fruit: alleles and ploidy, bloom together, distance."""
