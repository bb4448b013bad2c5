"""Room for wires, in a sentence."""

from fabsched.advise.wiring import WiringRoom
from fabsched.session.wording import phrase


def wiring_text(room: WiringRoom, name: str = "") -> str:
    """Whether wires fit, with the areas, the limit and where it comes from.

    Args:
        room: the wires and their channel.
        name: of the channel, if it has one.
    """
    told = phrase(
        "wiring-fits" if room.fits else "wiring-full",
        cables=room.cables,
        bundle=round(room.bundle_mm2, 1),
        channel=round(room.channel_mm2, 1),
        fill=round(100 * room.fill),
        limit=round(100 * room.limit),
        least=round(room.least_mm2, 1),
    )
    return f"{name}: {told}" if name else told
