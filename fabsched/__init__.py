"""Plans a maker's weekend: prints, cuts and handwork on one timeline, with the odds of being done."""

from importlib.metadata import version

__version__ = version("fabsched")
