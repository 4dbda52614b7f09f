#!/usr/bin/env python3
"""One day, two people, two notebooks: apart, synced, a conflict, resolved.

R. Sample is in the barn with the phone, without a network; K. Sample is at the bench with the shop
computer. The phone is played by the typed calls that its app uses, the shop computer by the program
itself and its screens. They are paired by a pairing code and sync over the local
network. The casting, the people and all numbers are invented for this sample.

    cargo build -p holebook
    bindings/mobile/generate python target/python
    PYTHONPATH=target/python python3 samples/day.py [FOLDER]

FOLDER is created for both notebooks and the sheet; without it, a temporary folder is used.
HOLEBOOK_BIN names another build of the program. A failed check ends the script with a sentence and
exit status 1.
"""

import os
import sys
import tempfile
from datetime import datetime, timezone
from pathlib import Path

import holebook_mobile as hb
from shop import Shop

SAMPLES = Path(__file__).resolve().parent
PROGRAM = os.environ.get("HOLEBOOK_BIN") or SAMPLES.parent / "target" / "debug" / "holebook"
PHOTO = SAMPLES / "pump-end-cover" / "hole-04.jpg"
OFF_CENTER, CLEANED = 4, 5  # the holes of the day


def say(text):
    print(f"  {text}")


def check(passes, text):
    """Prints what was checked; a failed check ends the script."""
    if not passes:
        raise SystemExit(f"Check failed: {text}.")
    say(f"✓ {text}")


def count(number, one, more):
    return f"{number} {one if number == 1 else more}"


def transferred(entries, photos):
    text = count(entries, "entry", "entries")
    return f"{text} and {count(photos, 'photo', 'photos')}" if photos else text


def inch(text):
    """A length as it is read off a rule or a caliper: 37/64, .317."""
    return hb.parse_length(text, hb.LengthUnit.INCH)


def hole_with_number(book, number):
    """Returns the id of a hole on the sample's only face."""
    return next(hole.id for hole in book.list()[0].faces[0].holes if hole.number == number)


def sync(book):
    """Syncs the phone with the shop computer that it is paired with, and returns the report."""
    (shop,) = book.shops()
    (outcome,) = book.start_sync(hb.SyncTarget.SHOP(shop.id)).result()
    check(outcome.is_DONE(), f"the phone synced with {outcome.remote}")
    return outcome.report


def morning(book, shop):
    print("Morning, at the bench. The shop computer has the casting; the phone is new.")
    settings = shop.get("/settings").forms_to("settings")[0]
    shop.submit(settings, person="K. Sample", device="Bench computer")
    book.set_settings(
        hb.Settings(person="R. Sample", device_name="Barn phone", unit=hb.LengthUnit.INCH, keep_photo_gps=False)
    )
    pairing, code = shop.start("pair")
    say(f"The shop computer shows a QR code, and the pairing code {code['code']} to type.")
    paired = book.pair(code["link"])
    check(paired.name == "Bench computer", "R. Sample scans the QR code with the phone, and it is paired")
    check(pairing.wait(timeout=60) == 0, "the shop computer confirms it")
    pairing.stdout.close()

    report = sync(book)
    say(f"The phone pulled {transferred(report.entries_pulled, report.photos_pulled)}.")
    check(report.entries_pulled > 0 and report.photos_pulled == 1, "the face's photo came with its holes")
    casting = book.list()[0]
    check(casting.name == shop.run("list")["castings"][0]["name"], f"both have {casting.name}")


def barn(book):
    print("In the barn, without a network. R. Sample measures, photographs, and chooses.")
    cleaned, off_center = hole_with_number(book, CLEANED), hole_with_number(book, OFF_CENTER)
    readings = {
        hb.Quantity.DEPTH: ("1.185", ".005", "depth rod of a caliper"),
        hb.Quantity.FLOOR: ("21/64", "1/64", "outside caliper over the flange, set against a rule, less the depth"),
        hb.Quantity.BORE: (".317", ".001", "pin gauges, .001 in steps"),
        hb.Quantity.NEAREST_EDGE: ("9/16", "1/64", "6 in rule, 1/64"),
        hb.Quantity.NEAREST_HOLE: ("2.115", ".005", "caliper, .001, over pins in both holes"),
    }
    for quantity, (value, tolerance, instrument) in readings.items():
        reading = hb.Reading(
            quantity=quantity, value=inch(value), tolerance=inch(tolerance), instrument=instrument
        )
        book.record(cleaned, hb.HoleEntry.READING(reading))
    book.record(cleaned, hb.HoleEntry.DAMAGE(hb.Damage()))
    stage = book.hole(cleaned).status.stage.name.lower()
    say(f"Hole {CLEANED}, with its gasket paste picked out, is now {stage}.")

    photo = book.add_photo(book.hole(off_center).face, str(PHOTO), PHOTO.name)
    book.mark(off_center, hb.MarkBody(photo=photo.id, x_px=photo.file.width / 2, y_px=photo.file.height / 2, rim_radius_px=None))
    specs = (remedy.spec for remedy in book.plan(off_center).remedies)
    thin = next(spec for spec in specs if spec.family == hb.Family.KEY_LOCKING_THIN_WALL)
    choice = hb.Choice(spec=thin, reason="it takes the least of the wall, and one is in the drawer")
    book.record(off_center, hb.HoleEntry.REMEDY(choice))
    say(f"Hole {OFF_CENTER} has its own photo, and is to get a thin-wall insert ({thin.outside_thread}).")
    waiting = book.entries_not_synced()
    check(waiting > 0, f"the phone shows {waiting} entries not synced yet")


def bench(shop, hole):
    print("At the bench, the same day. K. Sample does not know that, and chooses another remedy.")
    page = shop.get(f"/hole/{hole.id}")
    forms = page.forms_to("remedy")
    heavy = next(form for form in forms if "key-locking insert, heavy duty" in (form.field("remedy") or ""))
    shop.submit(heavy, reason="two of these are ordered already")
    listed = {hole["id"]: hole for hole in shop.run("list")["castings"][0]["faces"][0]["holes"]}[hole.id]
    check(listed["stage"] == "planned" and not listed["conflict"], f"at the bench, hole {OFF_CENTER} is planned")


def evening(book, shop):
    print("Evening, at the bench. They sync, and the two choices conflict.")
    report = sync(book)
    hole = hole_with_number(book, OFF_CENTER)
    pushed = transferred(report.entries_pushed, report.photos_pushed)
    say(f"The phone pushed {pushed}, and pulled {transferred(report.entries_pulled, report.photos_pulled)}.")
    last = shop.run("devices")["devices"][0]["last_sync"]
    counts = (last["entries_pushed"], last["photos_pushed"])
    check(counts == (report.entries_pushed, 1), "the shop computer counts the same, including the barn's photo")
    check(report.conflicts == [hole], f"only hole {OFF_CENTER} has a conflict")
    check(book.entries_not_synced() == 0, "everything on the phone is synced")
    choices = book.hole(hole).record.choice
    check(choices.differ and len(choices.all) == 2, "both choices are kept, and no clock decides")
    authors = {(choice.by, book.entry(choice.entry).device_name) for choice in choices.all}
    both = {("R. Sample", "Barn phone"), ("K. Sample", "Bench computer")}
    check(authors == both, "each with its person and its device")
    resolve(book, shop, hole, choices)

    print("They sync once more.")
    sync(book)
    choice = book.hole(hole).record.choice
    thin = choice.agreed and choice.agreed.spec.family == hb.Family.KEY_LOCKING_THIN_WALL
    check(thin and len(choice.all) == 1, f"hole {OFF_CENTER} has one remedy on the phone, the barn's")
    check(choice.all[0].by == "K. Sample", "and it was K. Sample who resolved the conflict")


def resolve(book, shop, hole, choices):
    """K. Sample compares both on the hole's page at the bench, and uses the barn's."""
    form = shop.get(f"/hole/{hole.id}").forms_to("resolve")[0]
    for choice in choices.all:
        offset = choice.at.offset_minutes * 60
        day = datetime.fromtimestamp(choice.at.at_ms / 1000 + offset, timezone.utc)
        device = book.entry(choice.entry).device_name
        author = f"{choice.by}, on {device}, {day.day} {day:%b %Y, %H:%M}"
        check(author in form.text, f"the page shows that this was {choice.by}, on which device, and when")
    barn = next(choice.entry.id for choice in choices.all if choice.by == "R. Sample")
    shop.submit(form, kind="remedy", entry=barn)
    say("K. Sample looks at the photo from the barn, and uses that choice.")


def compare(phone, shop, sheet):
    """Compares both notebooks with the program's own commands."""
    print("The two notebooks now:")
    check(phone.run("list") == shop.run("list"), "both list the same castings, faces and holes")
    reports = [notebook.run("verify") for notebook in (phone, shop)]
    entries, photos = reports[0]["entries"], reports[0]["photos"]
    check(not any(report["findings"] for report in reports), "neither has damage: lines, photos, tables")
    check(all((report["entries"], report["photos"]) == (entries, photos) for report in reports),
          f"both have {entries} entries and {photos} photos")
    check(lines(phone) == lines(shop), "and the same lines for every hole, by their hashes")
    shop.run("sheet", "--out", str(sheet))
    row = sheet.read_text(encoding="utf-8").split(f'<th scope="row">{OFF_CENTER}</th>')[1].split("</tr>")[0]
    resolved = "1/2-13 UNC" in row and "conflict" not in row.lower()
    check(resolved, f"the sheet to print has the resolved remedy of hole {OFF_CENTER}")
    say(f"The sheet is in {sheet}.")


def lines(notebook):
    """Returns the hashes of all lines about the holes of a notebook."""
    book = hb.Notebook.open(notebook.notebook)
    holes = [hole.id for hole in book.list()[0].faces[0].holes]
    written = [line.hash for hole in holes for line in book.history(hb.Subject.HOLE(hole), 1000)]
    book.shutdown()
    return sorted(written)


def main(folder):
    if folder.is_dir() and any(folder.iterdir()):
        raise SystemExit(f"{folder} is not empty; name a new folder.")
    folder.mkdir(parents=True, exist_ok=True)
    notebooks = {where: folder / where for where in ("bench", "barn")}
    sheet = folder / "sheet.html"
    at_bench = Shop(PROGRAM, notebooks["bench"])
    at_bench.run("demo", "--no-open")
    book = hb.Notebook.open(str(notebooks["barn"]))
    with at_bench as shop:
        morning(book, shop)
        barn(book)
        bench(shop, hole_with_number(book, OFF_CENTER))
        evening(book, shop)
        book.shutdown()
        compare(Shop(PROGRAM, notebooks["barn"]), shop, sheet)
    print("All checks passed.")


if __name__ == "__main__":
    if len(sys.argv) > 1:
        main(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory() as folder:
            main(Path(folder))
