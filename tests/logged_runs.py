"""Runs somebody has logged, for tests of what is learnt from them."""

from fabsched.files.experience_sqlite import ExperienceFile, default_file
from fabsched.model.estimates import Route
from fabsched.model.experience import RunSeen


def log_runs(count: int, factor: float) -> None:
    """So many prints that took so many times what was computed, for the present user."""
    runs = [
        RunSeen(
            key=f"log/{i}",
            at_s=i,
            machine="printer",
            route=Route.PRINT,
            material="PLA",
            estimated_s=3600.0,
            ran_s=factor * 3600.0,
        )
        for i in range(count)
    ]
    ExperienceFile(default_file()).sync("log/", runs)
