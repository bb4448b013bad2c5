"""What lies under a point of the timeline, in lines."""

from fabsched.desktop.timeline.geometry import Frame, Scale
from fabsched.desktop.timeline.picking import block_at, shade_at
from fabsched.desktop.timeline.scene import Scene
from fabsched.desktop.words import block_text, shade_text


def tip_at(scene: Scene, frame: Frame, scale: Scale, x: float, y: float) -> str:
    """About the block there, else about why nothing can be there; empty where neither is."""
    if (block := block_at(scene, frame, scale, x, y)) is not None:
        return block_text(scene, block)
    found = shade_at(scene, frame, scale, x, y)
    return shade_text(scene, *found) if found else ""
