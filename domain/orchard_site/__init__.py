"""All that holds at a site for every cultivar alike, computed once a site."""
