"""When people are somewhere else by their calendars."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from fabsched.model.project import Project
from fabsched.model.shop import Calendar, Person, Place, Shop
from fabsched.model.windows import Windows
from fabsched.session.planning import away_of, hours_of

BUSY = """BEGIN:VCALENDAR
BEGIN:VEVENT
UID:dinner
DTSTART:20270306T180000Z
DTEND:20270306T200000Z
END:VEVENT
END:VCALENDAR
"""


def test_busy_times_are_spent_elsewhere_and_nights_are_not() -> None:
    """Who sleeps is where they are based; whom a calendar calls away is not, and is not free."""
    start, end = (int(datetime(2027, 3, day, tzinfo=UTC).timestamp()) for day in (6, 7))
    calendar = Calendar(file="maker.ics", text=BUSY)
    person = Person(id="maker", name="Maker", base="home", hours="09:00-22:00", busy=calendar)
    shop = Shop(places=(Place(id="home", name="Home"),), people=(person,))
    project = Project(name="Lamp", zone=ZoneInfo("UTC"), deadline=datetime(2027, 3, 7, tzinfo=UTC))
    dinner = Windows.always(start + 18 * 3600, start + 20 * 3600)
    assert away_of(project, shop, start, end) == {"maker": dinner}
    hours = hours_of(project, shop, start, end)["maker"]
    assert hours == Windows.always(start + 9 * 3600, start + 22 * 3600) - dinner
