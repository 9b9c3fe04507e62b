"""Pure computation: what a site's years mean for each cultivar, and which lists to plant. No HTTP, no clock."""

__version__ = "0.12.0"
"""Version of the program, named in every answer; the package's own version is the same. Of what is installed nothing is
asked: another version may be installed beside a checkout.
"""
