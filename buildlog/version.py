"""The version of buildlog: pages, working and reports say which one made them."""

__version__ = "0.2.0"
