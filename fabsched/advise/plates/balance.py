"""The account of the volume of a part that was taken apart."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Where the volume of the part went, in mm^3; all but `changed` and `trued` are not below zero.

    Attributes:
        whole: the part as it was drawn.
        plates: the plates.
        pieces: the pieces.
        screw_holes: taken out of plates for screws.
        play: taken out of plates around tabs and fingers.
        pilots: taken out of pieces for screws, and for those that pass them.
        crumbs: bodies too small to be made.
        trued: between the slabs as they are and as they are cut; either sign.
        added: spare bosses the part has not; they count among the pieces.
        changed: what the part gained, or lost, when it was changed for a plate.
    """

    whole: float
    plates: float
    pieces: float
    screw_holes: float
    play: float
    pilots: float
    crumbs: float
    trued: float
    added: float = 0.0
    changed: float = 0.0

    @property
    def missing(self) -> float:
        """What the account does not explain; 0 but for rounding."""
        removed = self.screw_holes + self.play + self.pilots + self.crumbs + self.trued
        whole = self.whole + self.changed + self.added
        return whole - self.plates - self.pieces - removed
