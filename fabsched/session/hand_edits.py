"""Changes of what a project needs beside what is made: components, and channels for wires."""

from dataclasses import replace

from fabsched.model.project import Channel, Component
from fabsched.session.edits import Edit, with_one
from fabsched.session.wording import figure

CHANGE_LABEL, REMOVE_LABEL = "edit-in-hand", "remove-in-hand"
"""Of such steps, keys of the wording table's `[edit]`."""

MOST_CABLES = 200
"""More cables in one channel are a slip of the pen (own choice)."""


def with_component(component: Component) -> Edit:
    """The edit that puts a component in: in the place of that id, else at the end."""
    return lambda now: replace(now, components=with_one(now.components, component))


def with_channel(channel: Channel) -> Edit:
    """The edit that puts a channel in: in the place of that id, else at the end."""
    return lambda now: replace(now, channels=with_one(now.channels, channel))


def without_component(ident: str) -> Edit:
    """The edit that takes a component out."""
    return lambda now: replace(now, components=tuple(c for c in now.components if c.id != ident))


def without_channel(ident: str) -> Edit:
    """The edit that takes a channel out."""
    return lambda now: replace(now, channels=tuple(c for c in now.channels if c.id != ident))


def cables_of(text: str) -> tuple[float, ...]:
    """Diameters in mm from what was typed; none if that cannot be read.

    Semicolons part them, and commas followed by a blank or used beside points; "6 x 1.5" is six alike.

    >>> cables_of("6 x 1.3; 2,1")
    (1.3, 1.3, 1.3, 1.3, 1.3, 1.3, 2.1)
    >>> cables_of("2, 2, 1.5"), cables_of("thin")
    ((2.0, 2.0, 1.5), ())
    """
    found: list[float] = []
    for piece in _pieces(text):
        count, _, size = piece.rpartition("x")
        try:
            copies, diameter = int(count or 1), float(size.replace(",", "."))
        except ValueError:
            return ()
        if not (diameter > 0 and 0 < copies <= MOST_CABLES - len(found)):
            return ()
        found += [diameter] * copies
    return tuple(found)


def _pieces(text: str) -> list[str]:
    """What was typed, cable by cable, without blanks.

    A comma followed by a blank, or beside a point, parts cables; any other is that of a fraction.
    """
    tidy = text.lower().replace("\u00d7", "x").replace("*", "x").replace(", ", ";")
    tidy = tidy.replace(",", ";") if "." in tidy and ";" not in tidy else tidy
    return [piece for part in tidy.split(";") if (piece := "".join(part.split()))]


def cables_text(cables_mm: tuple[float, ...]) -> str:
    """Diameters as they can be typed, those alike in a row told once.

    >>> cables_text((1.3, 1.3, 2.1))
    '2 \u00d7 1.3; 2.1'
    """
    rows: list[tuple[float, int]] = []
    for diameter in cables_mm:
        if rows and rows[-1][0] == diameter:
            rows[-1] = (diameter, rows[-1][1] + 1)
        else:
            rows.append((diameter, 1))
    return "; ".join(f"{n} \u00d7 {figure(d)}" if n > 1 else figure(d) for d, n in rows)
