"""Invented faces and sheets, rich and poor, that the tests of this folder print."""

from __future__ import annotations

from io import BytesIO

from tagtrack.core.axes import Side
from tagtrack.core.cautions import SHEET
from tagtrack.core.faces import FaceKind, TagFace
from tagtrack.core.sheets import Section, Sheet, Signature, Table
from tagtrack.paper.labels import tags_pdf
from tagtrack.paper.template import names

USUAL = ("a4-99x68mm-8up", "letter-4x2in-10up")
TEMPLATES = (*USUAL, *(name for name in names() if name not in USUAL))

JOB = {"registration": "N123AB", "job": "WO 2026-014", "by": "KT 2026-03-02", "proof": "41-9f3a22c1"}

RICH = TagFace(
    code="7K3M9QXT",
    kind=FaceKind.PART,
    side=Side.LEFT,
    title="elevator balance weight",
    marks="mark UP, arrow FWD",
    marks_note="pen mark UP, arrow FWD on the part itself",
    hardware=("2 AN3-5A", "4 AN960-10", "2 MS21044N3"),
    hardware_note="kept in its hole",
    warnings=("CRITICAL", "LIFE-LIMITED"),
    **JOB,
)
BAG = TagFace(
    code="7K3M9QXVB",
    kind=FaceKind.BAG,
    side=Side.RIGHT,
    title="aileron hinge bracket, inboard",
    bag="bag 1 of 2",
    hardware=("2 AN3-5A", "4 AN960-10", "2 MS21044N3", "1 NAS1149F0332P", "12 AN526C832R8"),
    **JOB,
)
WIRE = TagFace(
    code="7K3M9QXWA",
    kind=FaceKind.CONNECTION,
    side=Side.CENTRE,
    title="elevator trim motor, wire P14A22",
    goes_to="end A goes to: terminal 3",
    **JOB,
)
ZONE = TagFace(code="ZN07K3MQ", kind=FaceKind.ZONE, side=Side.RIGHT, title="right wing, outboard", **JOB)
PLACE = TagFace(code="PL07K3MQ", kind=FaceKind.PLACE, title="Shelf B")
PERSON = TagFace(code="PR07K3MQ", kind=FaceKind.PERSON, title="Katarzyna Østergård")
BARE = TagFace(code="7K3M9QX2", kind=FaceKind.PART)
BLANK = TagFace(code="7K3M9QX4", kind=FaceKind.BLANK)
STUFFED = TagFace(
    code="7K3M9QX3AB",
    kind=FaceKind.BAG,
    side=Side.CENTRE,
    title="vertical stabilizer attach fitting, aft spar, lower bolt group of the fuselage frame FS 228.5",
    bag="bag 12 of 13",
    marks="mark UP, arrow FWD, wicks AFT",
    marks_note="with the mark UP, the other side's part would point AFT",
    hardware=tuple(f"{n} AN{950 + n}-10L washer, cadmium plated" for n in range(1, 31)),
    hardware_note="kept in its hole; 2 more from stock at refit, because the former ones were drilled out",
    goes_to="end A goes to: terminal 3 of the block behind the left cabin panel",
    warnings=("CRITICAL", "LIFE-LIMITED", "UNSERVICEABLE", "HOLD FOR ENGINEERING"),
    registration="N123AB",
    job="WO 2026-0143-B annual",
    by="KT/PM 2026-03-02",
    proof="1041-9f3a22c1",
)

FACES = (RICH, BAG, WIRE, ZONE, PLACE, PERSON, BARE, BLANK, STUFFED)

SHEET_SAMPLE = Sheet(
    title="Leftover report",
    verdict="NOT RECONCILED: 2 findings stand",
    facts=(("Aircraft", "N123AB"), ("Job", "WO 2026-014"), ("Record check", "41-9f3a22c1")),
    sections=(
        Section(
            heading="Unaccounted",
            loud=True,
            note="Search, or have a second named person accept a written account of the search.",
            table=Table(
                columns=("Thing", "Last seen", "What to do"),
                rows=(
                    ("1 AN960-10 washer", "tray B, 2026-03-02, KT", "search the bench and the bay at FS 228.5"),
                    ("1 MS24665-132", "bag 7K3M 9QXV", "recount the bag"),
                ),
            ),
        ),
        Section(
            heading="Findings",
            table=Table(
                columns=("Kind", "Where", "Expected", "Seen"),
                rows=(
                    ("short", "elevator hinge bracket, LEFT, the inboard of the two on the aft spar", "4", "3"),
                    ("wrong hardware", "rudder, CENTRE", "AN960-10", 'AN960-10L <thin> & "old"; asked of PM'),
                ),
                widths=(2, 4, 2, 3),
            ),
        ),
        Section(heading="Temporary items", note="None were recorded."),
    ),
    cautions=SHEET,
    signatures=(
        Signature(role="Mechanic", statement="I compared what came off with what went back.", name="K. Østergård"),
        Signature(role="Second person", statement="I read the findings with the mechanic."),
    ),
    foot="WO 2026-014, N123AB, record check 41-9f3a22c1, 2026-03-04",
)


def tags_bytes(faces, template, **how):
    """The PDF of some faces, as bytes."""
    out = BytesIO()
    tags_pdf(faces, template, out=out, **how)
    return out.getvalue()
