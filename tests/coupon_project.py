"""A project in which a coupon pays: a long print that has to take a bearing, due the next afternoon."""

from pathlib import Path

from manifold3d import Manifold

from fabsched.advise.plates.frames import mesh_of
from fabsched.files.stl import write_stl

PROJECT = """\
name = "Wind vane"
zone = "Europe/Berlin"
start = 2026-10-23T18:00:00
deadline = 2026-10-24T15:00:00
[[part]]
id = "housing"
name = "Housing"
file = "parts/housing.stl"
unit = "mm"
minutes = [450, 480, 520]
[[part.fit]]
id = "bearing"
name = "bearing seat"
at_mm = [30, 25, 15]
size_mm = [16, 16, 30]
clearance_mm = 0.1
[[gate]]
id = "seat"
name = "Seat the bearing"
minutes = [5, 10, 20]
after = ["housing"]
chance = 0.45
redo = ["housing"]
[[work]]
id = "wire"
name = "Wire the vane"
minutes = [60, 90, 150]
after = ["seat"]
"""
"""Eight hours of printing: whoever finds on Saturday morning that the bearing does not go in is late.
The minutes are told, so that the part may be small and a test quick."""

SHOP = """\
[[place]]
id = "home"
[[person]]
id = "me"
name = "Me"
base = "home"
hours = "Mo-Su 07:00-23:00"
[[printer]]
id = "printer"
place = "home"
kit = "medium"
"""


def write_vane(folder: Path) -> Path:
    """Write the project and its part: a tray with a boss that is bored for a bearing of 16 mm."""
    tray = Manifold.cube((60, 50, 30)) - Manifold.cube((52, 42, 30)).translate((4, 4, 5))
    boss = Manifold.cylinder(30, 14, 14, 96).translate((30, 25, 0))
    bore = Manifold.cylinder(40, 8, 8, 96).translate((30, 25, -5))
    (folder / "parts").mkdir(parents=True)
    write_stl(folder / "parts" / "housing.stl", mesh_of((tray + boss) - bore))
    (folder / "project.toml").write_text(PROJECT)
    (folder / "shop.toml").write_text(SHOP)
    return folder
