"""The rectangular element of thin plates: twelve terms, deflection and both slopes at each corner.

The non-conforming element of Adini & Clough and Melosh, as in Zienkiewicz & Taylor, The Finite Element
Method, "Thin plate bending" (from memory); it passes the patch test on rectangles, so that it
converges. Kirchhoff's theory holds for plates much wider than thick that sag by less than about half
their thickness.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

POWERS = np.array(
    [(0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3), (3, 1), (1, 3)]
)
"""Powers of x and y of the twelve terms."""
CORNERS = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
"""Corners of an element, in sides, in the order of its unknowns."""
GAUSS = 4
"""Points of the quadrature along each side: exact for products of these terms."""


def _derived(coefficient: Floats, powers: NDArray[np.int64]) -> tuple[Floats, NDArray[np.int64]]:
    """Derivative of x to some powers, with a factor each."""
    return coefficient * powers, np.maximum(powers - 1, 0)


def terms(points: Floats, *, along_x: int = 0, along_y: int = 0) -> Floats:
    """Derivatives of the terms at points.

    Args:
        points: (n, 2) in any unit.
        along_x: how often each is derived along x.
        along_y: the same along y.

    Returns:
        (n, 12).
    """
    factor, (px, py) = np.ones(len(POWERS)), POWERS.T
    for _ in range(along_x):
        factor, px = _derived(factor, px)
    for _ in range(along_y):
        factor, py = _derived(factor, py)
    return np.asarray(factor * points[:, :1] ** px * points[:, 1:] ** py)


@dataclass(frozen=True, slots=True, eq=False)
class Element:
    """One rectangle of a plate; lengths in mm.

    Attributes:
        sides_mm: along x and y.
        shape: (12, 12) from unknowns to coefficients of the terms.
        stiffness: (12, 12) for a plate of stiffness 1 N mm.
        load: (12,) forces on the unknowns under a pressure of 1 N/mm^2.
    """

    sides_mm: tuple[float, float]
    shape: Floats
    stiffness: Floats
    load: Floats

    def deflection(self, points: Floats) -> Floats:
        """How the unknowns deflect points of the element, (n, 12); points in mm from its corner."""
        return np.asarray(terms(points) @ self.shape)

    def slope(self, points: Floats, directions: Floats) -> Floats:
        """The same for the slope of each point in a direction of its own, (n, 12)."""
        dx, dy = terms(points, along_x=1), terms(points, along_y=1)
        return np.asarray((directions[:, :1] * dx + directions[:, 1:] * dy) @ self.shape)


def element(sides_mm: tuple[float, float], poisson: float) -> Element:
    """The element of a size.

    Args:
        sides_mm: along x and y.
        poisson: Poisson's ratio of the material.
    """
    corners = CORNERS * sides_mm
    rows = [terms(corners), terms(corners, along_x=1), terms(corners, along_y=1)]
    shape: Floats = np.linalg.inv(np.stack(rows, axis=1).reshape(12, 12)).astype(np.float64)
    at, weight = np.polynomial.legendre.leggauss(GAUSS)
    grid = np.stack(np.meshgrid(at, at, indexing="ij"), axis=-1).reshape(-1, 2)
    points = 0.5 * (grid + 1.0) * sides_mm
    weights = np.outer(weight, weight).ravel() * 0.25 * sides_mm[0] * sides_mm[1]
    bent = np.stack(
        [
            terms(points, along_x=2),
            terms(points, along_y=2),
            2.0 * terms(points, along_x=1, along_y=1),
        ],
        axis=1,
    )
    law = np.array([[1, poisson, 0], [poisson, 1, 0], [0, 0, 0.5 * (1 - poisson)]])
    inner = np.einsum("q,qia,ij,qjb->ab", weights, bent, law, bent)
    return Element(
        sides_mm=sides_mm,
        shape=shape,
        stiffness=shape.T @ inner @ shape,
        load=shape.T @ (weights @ terms(points)),
    )
