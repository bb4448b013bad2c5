"""The checker's view of a timeline: its blocks sorted for looking things up."""

from dataclasses import dataclass

from fabsched.model.plan import Block, Course, Kind, Plan
from fabsched.model.weekend import Activity, Hands, Run, Weekend
from fabsched.model.windows import Windows


@dataclass(frozen=True, slots=True)
class View:
    """A plan and its timeline.

    Attributes:
        weekend: what was to be planned.
        plan: what was decided.
        course: what follows from it.
    """

    weekend: Weekend
    plan: Plan
    course: Course

    @property
    def activities(self) -> dict[str, Activity]:
        """What is to be done, by id."""
        return {activity.id: activity for activity in self.weekend.activities}

    @property
    def carried(self) -> list[Activity]:
        """What the plan carries out."""
        return [a for a in self.weekend.activities if a.id not in self.plan.dropped]

    def lane(self, resource: str) -> list[Block]:
        """Blocks of a person or machine, in order of start."""
        return sorted(
            (b for b in self.course.blocks if b.resource == resource), key=lambda b: b.start_s
        )

    def of(self, activity: str, *kinds: Kind) -> list[Block]:
        """Blocks of some kinds of an activity, in order of start."""
        return sorted(
            (b for b in self.course.blocks if b.activity == activity and b.kind in kinds),
            key=lambda b: b.start_s,
        )

    def steps(self, activity: str) -> list[Block]:
        """Blocks of an activity, ways left out."""
        return [b for b in self.of(activity, *Kind) if b.kind is not Kind.TRAVEL]

    def hands_of(self, activity: str) -> list[Block]:
        """Blocks in which hands are busy with an activity."""
        return self.of(activity, Kind.TEND, Kind.WORK, Kind.GATE)

    def site_windows(self, place: str) -> Windows:
        """When a place is open."""
        return next(site.windows for site in self.weekend.sites if site.id == place)

    def by_person(self, activity: str) -> dict[str, list[Block]]:
        """Blocks of hands, by the person whose they are."""
        people: dict[str, list[Block]] = {}
        for block in self.hands_of(activity):
            people.setdefault(block.resource, []).append(block)
        return people

    def open_to(self, person: Hands, block: Block) -> Windows:
        """When this person may do this block."""
        windows = person.windows & self.site_windows(block.place)
        activity = self.activities.get(block.activity)
        if isinstance(activity, Run) and activity.attended:
            machine = self.of(block.activity, Kind.RUN)[0].resource
            windows = windows & self.weekend.station(machine).windows
        return windows
