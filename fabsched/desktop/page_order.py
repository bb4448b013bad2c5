"""Which pages the window has, in which order their words stand, and in which of two rows."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fabsched.desktop.window import MainWindow


def add_pages(window: "MainWindow") -> None:
    """Put the pages of a window in order: first how the plan goes, then what it is made of."""
    plan, making, deciding, ways = window.plan, window.making, window.deciding, window.actions_
    how = (
        (plan.lanes, ways.lanes),
        (plan.steps, ways.steps),
        (deciding.odds, ways.odds),
        (deciding.advice, ways.advice),
        (making.choices, ways.choices),
        (making.log, ways.log),
    )
    what = (
        (window.part, ways.part),
        (window.needs, ways.needs),
        (window.beds, ways.beds),
        (deciding.compare, ways.compare),
        (window.testcut, ways.testcut),
        (window.shop, ways.shop),
    )
    for subject, pages in enumerate((how, what)):
        for page, way in pages:
            plan.add_page(page, way, subject)
