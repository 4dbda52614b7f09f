#!/usr/bin/env python3
"""The main job by the typed calls, in Python: from an empty notebook to a proved hole and its sheet.

The casting and all its numbers are invented for this sample.

    bindings/mobile/generate python target/python
    PYTHONPATH=target/python python3 samples/barn.py [FOLDER]

FOLDER is made and holds the notebook and the sheet; without one a folder is taken that goes afterwards.
"""

import sys
import tempfile
from pathlib import Path

import holebook_mobile as hb

PHOTO = Path(__file__).parent / "pump-end-cover" / "joint-face.jpg"


def mm(value):
    return hb.length_from_mm(value)


def inch(length):
    return hb.show_length(length, hb.LengthUnit.INCH)


def begin(book):
    """A casting, its face, a photo by path, and one hole marked in it."""
    book.set_settings(
        hb.Settings(person="Ada", device_name="barn phone", unit=hb.LengthUnit.INCH, keep_location=False)
    )
    casting = book.add_casting(hb.CastingBody(name="Pump end (invented)", metal="ASTM A48 class 25"))
    face = book.add_face(hb.FaceBody(casting=casting, name="Cover joint"))
    book.plan_face_cut(face, mm(0.5))
    photo = book.add_photo(face, str(PHOTO), PHOTO.name)
    hole = book.add_hole(face)
    book.mark(hole, hb.MarkBody(photo=photo.photo, x_px=photo.width_px / 2, y_px=photo.height_px / 2))
    print(f"photo: {photo.width_px} by {photo.height_px} pixels, thumbnail in {book.photo_thumbnail(photo.photo)}")
    return face, hole


def measure(book, hole):
    """What is there: readings and damage; and what the hole shall hold."""
    read = {
        hb.Quantity.DEPTH: mm(34),
        hb.Quantity.FLOOR: mm(12),
        hb.Quantity.NEAREST_EDGE: hb.parse_length("1-3/16", None),
        hb.Quantity.NEAREST_HOLE: mm(60),
    }
    for quantity, value in read.items():
        book.read(hole, hb.Reading(quantity=quantity, value=value, instrument="depth gauge"))
    worn = hb.Station(
        span=hb.Span(_from=mm(0), to=mm(20)), diameter=mm(9.4), offset=mm(0), direction_deg=0
    )
    book.damage(hole, hb.Damage(stations=[worn]))
    book.want(hole, hb.Wanted(thread="3/8-16", bolt="SAE J429 grade 5", through=False))


def choose(book, hole):
    """Looks at every way with its reasons, and takes a key-locking insert that fits."""
    ways = book.plan(hole).ways
    for way in ways:
        print(f"{way.work.remedy.name.lower()}: {way.verdict.name.lower()}")
        for check in way.checks:
            if check.passes is False:
                print(f"    {check.check}: {check.has} {check.unit}, limit {check.needs} ({check.limit_from})")
    good = (hb.Verdict.FITS, hb.Verdict.FITS_WITH_CARE)
    way = next(w for w in ways if w.remedy == hb.Remedy.KEY_LOCKING_INSERT and w.verdict in good)
    book.choose(hole, hb.Choice(work=way.work, reason="it is in the drawer"))
    return way


def do_step(book, face, hole, way, key):
    """Records one step as done, as the plan says it."""
    work = way.work
    if key.is_CUT():
        depth = {hb.CutStep.DRILL: way.depths.drill, hb.CutStep.TAP: way.depths.full_thread}.get(key.step)
        book.cut(hole, hb.Cut(work=work, step=key.step, depth=depth))
    elif key.is_DRY_FIT():
        book.dry_fit(hole, hb.DryFit(work=work, fits=True))
    elif key.is_FACE_CUT():
        book.record_face_milled(face, hb.FaceMilled(taken=mm(0.5), instrument="height gauge"))
    elif key.is_SET_INSERT():
        finished = book.plan(hole).face_is_finished
        book.set_insert(hole, hb.InsertSet(work=work, below_face=mm(0.5), after_face_cut=finished))
    elif key.is_DRIVE_KEYS():
        book.drive_keys(hole, hb.KeysDriven(work=work, driven=way.insert.keys))
    elif key.is_CHECK():
        book.check(hole, hb.Checked(check=key.check, passes=True))
    else:
        book.prove(hole, hb.Proof(work=work, passes=True, how="new bolt", torque_nm=20.0))


def work_through(book, face, hole, way):
    """Does the next step until none is left."""
    while True:
        plan = book.plan(hole)
        if not plan.next.is_TAKE_STEP():
            return plan
        key = plan.next.step
        step = next(step for step in plan.steps if step.key == key)
        print(f"{step.title}")
        for caution in step.cautions:
            print(f"    Care. {caution}")
        do_step(book, face, hole, way, key)


def main(folder):
    book = hb.Notebook.open(str(folder / "notebook"))
    face, hole = begin(book)
    measure(book, hole)
    way = choose(book, hole)
    print(f"drill {way.drill.name} to {inch(way.depths.drill)} from today's face")
    plan = work_through(book, face, hole, way)
    state = book.hole(hole).standing.state
    print(f"{state.name.lower()}: {plan.next_words}")
    sheet = folder / "sheet.html"
    sheet.write_text(book.sheet(face, hb.LengthUnit.INCH), encoding="utf-8")
    print(f"the sheet has {sheet.stat().st_size} bytes")
    book.shutdown()
    try:
        book.castings()
    except hb.NotebookError.Closed as closed:
        print(f"after shutdown: {closed.reason}")
    return 0 if state == hb.State.PROVED else 1


if __name__ == "__main__":
    if len(sys.argv) > 1:
        sys.exit(main(Path(sys.argv[1])))
    with tempfile.TemporaryDirectory() as folder:
        sys.exit(main(Path(folder)))
