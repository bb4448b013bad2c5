"""Small solids for the tests, made by reference libraries or by formula."""

import math

import numpy as np
import trimesh
from manifold3d import CrossSection, Manifold

from fabsched.model.materials import Filament
from fabsched.model.shapes import Mesh, Points2
from fabsched.model.shop import Build, Motion, Printer

PLA = Filament(id="PLA", density_g_cm3=1.24)


def printer(build: Build | None = None, motion: Motion | None = None) -> Printer:
    """A printer that is hot at once, so that times are those of the layers alone."""
    return Printer(
        id="printer",
        name="Printer",
        place="home",
        bed_mm=(220.0, 220.0, 250.0),
        heat_s=0.0,
        cool_s=0.0,
        build=build or Build(),
        motion=motion or Motion(),
    )


def of_trimesh(body: trimesh.Trimesh) -> Mesh:
    """A body of trimesh as ours."""
    return Mesh(np.array(body.vertices, dtype=np.float64), np.array(body.faces, dtype=np.int32))


def of_manifold(body: Manifold) -> Mesh:
    """A body of manifold3d as ours."""
    mesh = body.to_mesh64()
    points = np.array(mesh.vert_properties[:, :3], dtype=np.float64)
    return Mesh(points, np.array(mesh.tri_verts, dtype=np.int32))


def joined(*meshes: Mesh) -> Mesh:
    """Several meshes as one with several shells."""
    counts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes)])
    faces = [mesh.faces + count for mesh, count in zip(meshes, counts, strict=False)]
    return Mesh(
        np.concatenate([mesh.vertices for mesh in meshes]),
        np.concatenate(faces).astype(np.int32),
    )


def box(x: float, y: float, z: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Mesh:
    """A box with its lowest corner at a place."""
    return of_manifold(Manifold.cube((x, y, z)).translate(at))


def cylinder(radius: float, height: float, sides: int = 256) -> Mesh:
    """An upright prism of many sides."""
    return of_manifold(Manifold.cylinder(height, radius, radius, sides))


def cone(radius: float, height: float, sides: int = 256) -> Mesh:
    """A cone standing on its base."""
    return of_trimesh(trimesh.creation.cone(radius, height, sections=sides))


def sphere(radius: float, fineness: int = 5) -> Mesh:
    """A sphere of 20 * 4**fineness triangles."""
    return of_trimesh(trimesh.creation.icosphere(subdivisions=fineness, radius=radius))


def torus(major: float, minor: float, sides: int = 128) -> Mesh:
    """A ring lying flat."""
    return of_trimesh(
        trimesh.creation.torus(major, minor, major_sections=sides, minor_sections=sides)
    )


def prism(outlines: list[Points2], height: float) -> Mesh:
    """Polygons raised straight up; inner ones run clockwise."""
    return of_manifold(Manifold.extrude(CrossSection(outlines), height))


def turned(mesh: Mesh, degrees: float) -> Mesh:
    """A mesh turned about the vertical."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    return Mesh(mesh.vertices @ turn.T, mesh.faces)


def tilted(mesh: Mesh, axis: tuple[float, float, float], degrees: float) -> Mesh:
    """A mesh turned about any axis through the origin (Rodrigues' rotation formula)."""
    k = np.array(axis) / np.linalg.norm(axis)
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    along = np.outer(mesh.vertices @ k, k)
    return Mesh(along + c * (mesh.vertices - along) + s * np.cross(k, mesh.vertices), mesh.faces)


def moved(mesh: Mesh, x: float, y: float, z: float) -> Mesh:
    """A mesh moved."""
    return Mesh(mesh.vertices + np.array([x, y, z]), mesh.faces)


def flipped(mesh: Mesh) -> Mesh:
    """A mesh turned inside out."""
    return Mesh(mesh.vertices, np.ascontiguousarray(mesh.faces[:, ::-1]))


def knot(triangles: int) -> Mesh:
    """A wavy tube along a torus knot of about 90 x 94 x 49 mm."""
    rounds = max(4, round(math.sqrt(triangles / 16.0)))
    steps = triangles // 2 // rounds
    u, v = np.arange(steps) * (2 * np.pi / steps), np.arange(rounds) * (2 * np.pi / rounds)
    reach = 30.0 + 11.0 * np.cos(3 * u)
    middle = np.stack([reach * np.cos(2 * u), reach * np.sin(2 * u), 17.0 * np.sin(3 * u)], axis=1)
    along = np.roll(middle, -1, axis=0) - np.roll(middle, 1, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    across = np.cross(along, [0.0, 0.0, 1.0])
    across /= np.linalg.norm(across, axis=1)[:, None]
    third = np.cross(along, across)
    uu, vv = np.meshgrid(u, v, indexing="ij")
    radius = 7.0 + 0.6 * np.sin(9 * vv + 20 * uu) * np.sin(30 * uu)
    ring = np.cos(vv)[..., None] * across[:, None] + np.sin(vv)[..., None] * third[:, None]
    points = (middle[:, None] + radius[..., None] * ring).reshape(-1, 3)
    i, j = np.meshgrid(np.arange(steps), np.arange(rounds), indexing="ij")
    a, b = i * rounds + j, (i + 1) % steps * rounds + j
    c, d = (i + 1) % steps * rounds + (j + 1) % rounds, i * rounds + (j + 1) % rounds
    faces = [np.stack(corners, axis=-1).reshape(-1, 3) for corners in ((a, b, c), (a, c, d))]
    return Mesh(points, np.concatenate(faces).astype(np.int32))


def circle(radius: float, sides: int = 256, at: tuple[float, float] = (0.0, 0.0)) -> Points2:
    """A regular polygon, counter-clockwise."""
    angles = np.arange(sides) * (2 * np.pi / sides)
    return np.stack([at[0] + radius * np.cos(angles), at[1] + radius * np.sin(angles)], axis=1)


def rectangle(x: float, y: float, at: tuple[float, float] = (0.0, 0.0)) -> Points2:
    """A rectangle with its lowest corner at a place, counter-clockwise."""
    corners = np.array([[0.0, 0.0], [x, 0.0], [x, y], [0.0, y]])
    return np.asarray(corners + np.array(at))
