"""Three-point values: a quantity known to lie between a low and a high figure."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Spread:
    """A quantity with its uncertainty, in any one unit.

    For machine times the three figures are P10, P50 and P90; for handwork they are the low, likely
    and high figures a person gave (the three points of a beta-PERT distribution).

    Attributes:
        low: optimistic figure, not below zero.
        likely: middle figure.
        high: pessimistic figure.

    Raises:
        ValueError: the figures are not in ascending order or below zero.
    """

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        """Refuse figures out of order."""
        if not 0 <= self.low <= self.likely <= self.high:
            message = (
                f"wanted 0 <= low <= likely <= high, got {self.low}, {self.likely}, {self.high}"
            )
            raise ValueError(message)

    @property
    def mean(self) -> float:
        """PERT mean (low + 4 likely + high) / 6 (Malcolm et al., Operations Research 7(5), 1959).

        >>> Spread(1, 2, 9).mean
        3.0
        """
        return (self.low + 4 * self.likely + self.high) / 6

    def scaled(self, factor: float) -> "Spread":
        """Every figure multiplied by a factor not below zero.

        >>> Spread(1, 2, 3).scaled(2)
        Spread(low=2, likely=4, high=6)
        """
        return Spread(self.low * factor, self.likely * factor, self.high * factor)

    @classmethod
    def exactly(cls, value: float) -> "Spread":
        """A figure known without doubt."""
        return cls(value, value, value)
