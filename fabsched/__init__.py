"""Plans a maker's weekend: prints, cuts and handwork on one timeline, with the odds of being done."""

__version__ = "0.1.0"
