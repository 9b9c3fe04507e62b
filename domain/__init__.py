"""Pure computation: what a site's years mean for each cultivar, and which lists to plant. No HTTP, no clock."""
