"""Places in the window where errors are shown."""

from enum import StrEnum


class Place(StrEnum):
    """Where an error is shown: where its cause is."""

    START = "start"
    PARTS = "parts"
    WORK = "work"
    DEADLINE = "deadline"
    PLAN = "plan"
    FILES = "files"
    PROJECT = "project"
    SHOP = "shop"
    STOCK = "stock"
    LOG = "log"


PASSING = (Place.START, Place.PARTS, Place.WORK, Place.FILES, Place.LOG, Place.STOCK)
"""Errors at these places are of something that was tried; they go when something else succeeds."""

EVERYWHERE = (Place.START, Place.PROJECT, Place.SHOP, Place.FILES, Place.LOG)
"""Errors at these places belong to no panel of their own and share a line above all pages."""
