"""Steps that put a part right."""

from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.project import Part
from fabsched.session.cures import cure_for
from fabsched.session.wording import templates

LID = Part(id="lid", name="Lid", file="parts/lid.stl")


def test_a_suspect_unit_is_set() -> None:
    """The part is as before but for the unit the remark names."""
    remark = Finding(code=Remark.UNIT_SUSPECT, where=LID.file, facts={"size": 2, "unit": "inch"})
    cure = cure_for(LID, remark)
    assert cure is not None
    assert cure.part == Part(id="lid", name="Lid", file="parts/lid.stl", unit="inch")
    assert cure.text == "It was drawn in inch"
    assert cure.label in templates()["edit"]
    asked = InputError(Fault.UNIT_MEANT, LID.file, size=2, unit="inch")
    assert cure_for(LID, asked) == cure


def test_a_part_that_fits_turned_is_turned() -> None:
    """The angles are those the fault names, negative and broken ones too."""
    fault = InputError(Fault.PART_FITS_TURNED, LID.file, turn="-90, 0, 12.5")
    cure = cure_for(LID, fault)
    assert cure is not None
    assert cure.part.turn_deg == (-90.0, 0.0, 12.5)
    assert cure.label in templates()["edit"]


def test_most_remarks_have_no_cure() -> None:
    """Where one step does not do, none is offered."""
    assert cure_for(LID, Finding(code=Remark.MESH_OPEN, where=LID.file, facts={"gaps": 3})) is None
    assert cure_for(LID, InputError(Fault.NO_VOLUME, LID.file)) is None
