#!/usr/bin/env python3
"""The main job by the typed calls, in Python: from an empty notebook to a hole that passed, and its sheet.

The casting and all its numbers are invented for this sample.

    bindings/mobile/generate python target/python
    PYTHONPATH=target/python python3 samples/barn.py [FOLDER]

FOLDER is created for the notebook and the sheet; without it, a temporary folder is used.
"""

import sys
import tempfile
from pathlib import Path

import holebook_mobile as hb

PHOTO = Path(__file__).parent / "pump-end-cover" / "joint-face.jpg"


def inch(text):
    """A length as it is read off a rule or a caliper: 1-3/16, .370, 1.340."""
    return hb.parse_length(text, hb.LengthUnit.INCH)


def show(length):
    return hb.show_length(length, hb.LengthUnit.INCH)


def number(value, unit):
    """A number of a check: lengths in inches, loads in pounds."""
    if value is None:
        return "unknown"
    if unit == "mm":
        return show(hb.length_from_mm(value))
    return f"{value / 4.44822:,.0f} lbf" if unit == "N" else f"{value:.2f}"


def words(value):
    """An enum's value as words: does not fit."""
    return value.name.lower().replace("_", " ")


def begin(book):
    """Adds a casting, its face, a photo from a file, and one hole marked in it."""
    book.set_settings(
        hb.Settings(person="Ada", device_name="barn phone", unit=hb.LengthUnit.INCH, keep_photo_gps=False)
    )
    casting = book.add_casting(hb.CastingBody(name="Pump end (invented)", metal="ASTM A48 class 25"))
    face = book.add_face(hb.FaceBody(casting=casting, name="Cover joint"))
    book.plan_face_cut(face, inch(".020"))
    photo = book.add_photo(face, str(PHOTO), PHOTO.name)
    hole = book.add_hole(face)
    file = photo.file
    book.mark(hole, hb.MarkBody(photo=photo.id, x_px=file.width / 2, y_px=file.height / 2, rim_radius_px=None))
    print(f"photo: {file.width} by {file.height} pixels, thumbnail in {book.photo_thumbnail(photo.id)}")
    return face, hole


def measure(book, hole):
    """Records readings, damage, and the wanted thread."""
    readings = {
        hb.Quantity.DEPTH: ("1.340", "depth rod of a caliper"),
        hb.Quantity.FLOOR: ("15/32", "outside caliper and rule, less the depth"),
        hb.Quantity.NEAREST_EDGE: ("1-3/16", "6 in rule"),
        hb.Quantity.NEAREST_HOLE: ("2-3/8", "6 in rule"),
    }
    for quantity, (value, instrument) in readings.items():
        reading = hb.Reading(quantity=quantity, value=inch(value), instrument=instrument)
        book.record(hole, hb.HoleEntry.READING(reading))
    worn = hb.Station(
        span=hb.Span(_from=inch("0"), to=inch("13/16")),
        diameter=inch(".370"),
        offset=inch("0"),
        direction_deg=0,
    )
    book.record(hole, hb.HoleEntry.DAMAGE(hb.Damage(stations=[worn])))
    wanted = hb.WantedThread(thread="3/8-16", bolt="SAE J429 grade 5", through=False)
    book.record(hole, hb.HoleEntry.WANTED_THREAD(wanted))


def choose(book, hole):
    """Prints every remedy with its failed checks, and chooses a key-locking insert that fits."""
    remedies = book.plan(hole).remedies
    for remedy in remedies:
        print(f"{words(remedy.spec.remedy)}: {words(remedy.assessment.verdict)}")
        for check in remedy.assessment.checks:
            if check.passes is False:
                has, needs = number(check.has, check.unit), number(check.needs, check.unit)
                print(f"    {check.check}: {has}, limit {needs}: {check.limit_from}")
    good = (hb.Verdict.FITS, hb.Verdict.MARGINAL)
    fits = (r for r in remedies if r.spec.remedy == hb.Remedy.KEY_LOCKING_INSERT and r.assessment.verdict in good)
    remedy = next(fits)
    book.record(hole, hb.HoleEntry.REMEDY(hb.Choice(spec=remedy.spec, reason="it is in the drawer")))
    return remedy


def entry_for(book, hole, remedy, step):
    """Returns the entry that records a step as done, with the depths of the plan."""
    spec, assessment = remedy.spec, remedy.assessment
    if step.is_CUT():
        depths = {hb.CutStep.DRILL: assessment.depths.drill, hb.CutStep.TAP: assessment.depths.full_thread}
        return hb.HoleEntry.CUT(hb.Cut(spec=spec, step=step.value, depth=depths.get(step.value)))
    if step.is_TRIAL_FIT():
        return hb.HoleEntry.TRIAL_FIT(hb.TrialFit(spec=spec, fits=True))
    if step.is_INSTALL():
        finished = book.plan(hole).face_is_finished
        installed = hb.Install(spec=spec, below_face=inch(".020"), after_face_cut=finished)
        return hb.HoleEntry.INSTALL(installed)
    if step.is_STAKE_KEYS():
        return hb.HoleEntry.STAKE_KEYS(hb.StakeKeys(spec=spec, driven=assessment.insert.keys))
    if step.is_CHECK():
        return hb.HoleEntry.CHECK(hb.CheckResult(check=step.value, passes=True))
    check = hb.FinalCheck(spec=spec, passes=True, how="new bolt, torqued to 15 ft-lb", torque_nm=20.34)
    return hb.HoleEntry.FINAL_CHECK(check)


def work_through(book, face, hole, remedy):
    """Does the next step until none is left."""
    while True:
        plan = book.plan(hole)
        if not plan.next.is_STEP():
            return plan
        step = next(one.step for one in plan.steps if one.step.key == plan.next.step)
        print(f"{step.title}")
        for caution in step.cautions:
            print(f"    Caution: {caution}")
        if step.key.is_FACE_CUT():
            milled = hb.FaceMilled(removed=inch(".020"), instrument="height gauge")
            book.record_face_milled(face, milled)
        else:
            book.record(hole, entry_for(book, hole, remedy, step.key))


def main(folder):
    book = hb.Notebook.open(str(folder / "notebook"))
    face, hole = begin(book)
    measure(book, hole)
    remedy = choose(book, hole)
    drill, depths = remedy.assessment.drill, remedy.assessment.depths
    print(f"drill {drill.name} to {show(depths.drill)} from the face as is")
    plan = work_through(book, face, hole, remedy)
    stage = book.hole(hole).status.stage
    print(f"{words(stage)}: {plan.next_sentence}")
    sheet = folder / "sheet.html"
    sheet.write_text(book.sheet(face, hb.LengthUnit.INCH), encoding="utf-8")
    print(f"the sheet has {sheet.stat().st_size} bytes")
    book.shutdown()
    try:
        book.castings()
    except hb.NotebookError.Closed as closed:
        print(f"after shutdown: {closed.reason}")
    return 0 if stage == hb.Stage.PASSED else 1


if __name__ == "__main__":
    if len(sys.argv) > 1:
        sys.exit(main(Path(sys.argv[1])))
    with tempfile.TemporaryDirectory() as folder:
        sys.exit(main(Path(folder)))
