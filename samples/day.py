#!/usr/bin/env python3
"""A day of two people and two notebooks: apart, together, two answers, settled.

R. Sample is in the barn with the phone, and there is no network; K. Sample is at the bench with the shop computer. The
phone is the typed calls that its app has, the shop computer is the program itself, with its screens; they are paired by
the words of a code and meet over the local network. The casting, the people and all numbers are invented for this sample.

    cargo build -p holebook
    bindings/mobile/generate python target/python
    PYTHONPATH=target/python python3 samples/day.py [FOLDER]

FOLDER is made and holds both notebooks and the sheet; without one a folder is taken that goes afterwards.
HOLEBOOK_BIN names another build of the program. What does not hold ends the day with a sentence and exit status 1.
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
WANDERED, CLEANED = 4, 5  # the holes of the day


def tell(words):
    print(f"  {words}")


def holds(true, words):
    """Says what was looked at and holds; the day ends here where it does not."""
    if not true:
        raise SystemExit(f"This does not hold: {words}.")
    tell(f"✓ {words}")


def count(number, one, more):
    return f"{number} {one if number == 1 else more}"


def moved(entries, photos):
    words = count(entries, "entry", "entries")
    return f"{words} and {count(photos, 'photo', 'photos')}" if photos else words


def mm(value):
    return hb.length_from_mm(value)


def hole_of(book, number):
    """The hole of this number on the sample's one face."""
    return next(hole.id for hole in book.list()[0].faces[0].holes if hole.number == number)


def exchange(book):
    """The phone exchanges with the shop computer that it is paired with, over the network; gives what that did."""
    (shop,) = book.shops()
    (outcome,) = book.begin_exchange(hb.ExchangeWith.SHOP(shop.id)).result()
    holds(outcome.is_DONE(), f"the phone exchanged with {outcome.shelf}")
    return outcome.report


def morning(book, shop):
    print("Morning, at the bench. The shop computer has the casting; the phone is new.")
    settings = shop.look("/settings").to("settings")[0]
    shop.press(settings, person="K. Sample", device="Bench computer")
    book.set_settings(
        hb.Settings(person="R. Sample", device_name="Barn phone", unit=hb.LengthUnit.INCH, keep_location=False)
    )
    waiting, code = shop.begin("pair")
    tell(f"The shop computer shows a code: {code['words']}.")
    paired = book.pair(code["words"])
    holds(paired.name == "Bench computer", "R. Sample types its words into the phone, which is paired now")
    holds(waiting.wait(timeout=60) == 0, "the shop computer says so too")
    waiting.stdout.close()

    took = exchange(book)
    tell(f"The phone took {moved(took.entries_taken, took.photos_taken)}.")
    holds(took.entries_taken > 0 and took.photos_taken == 1, "the photo of the face came with its holes")
    casting = book.list()[0]
    holds(casting.name == shop.run("list")["castings"][0]["name"], f"both know {casting.name}")


def barn(book):
    print("In the barn, without a network. R. Sample measures, photographs, and chooses.")
    cleaned, wandered = hole_of(book, CLEANED), hole_of(book, WANDERED)
    read = {
        hb.Quantity.DEPTH: (30.1, "depth rod in caliper"),
        hb.Quantity.FLOOR: (8.2, "outside caliper over the flange, less the depth"),
        hb.Quantity.BORE: (8.05, "pin gauges"),
        hb.Quantity.NEAREST_EDGE: (14.4, "steel rule"),
        hb.Quantity.NEAREST_HOLE: (53.7, "caliper, pin in hole"),
    }
    for quantity, (value, instrument) in read.items():
        book.read(cleaned, hb.Reading(quantity=quantity, value=mm(value), error=mm(0.2), instrument=instrument))
    book.damage(cleaned, hb.Damage(stations=[]))
    tell(f"Hole {CLEANED}, its gasket paste picked out, is {book.hole(cleaned).standing.state.name.lower()} now.")

    photo = book.add_photo(book.hole(wandered).face, str(PHOTO), PHOTO.name)
    book.mark(wandered, hb.MarkBody(photo=photo.photo, x_px=photo.width_px / 2, y_px=photo.height_px / 2))
    ways = book.plan(wandered).ways
    way = next(way for way in ways if way.work.family == hb.Family.KEY_LOCKING_THIN_WALL)
    book.choose(wandered, hb.Choice(work=way.work, reason="it takes the least of the wall, and one is in the drawer"))
    tell(f"Hole {WANDERED} has a photo of its own, and shall get an insert of thin wall ({way.work.outside_thread}).")
    waiting = book.entries_to_bring_home()
    holds(waiting > 0, f"the phone says that {waiting} entries lie on it alone")


def bench(shop, hole):
    print("At the bench, the same day. K. Sample does not know of that, and plans the same hole otherwise.")
    page = shop.look(f"/hole/{hole.id}")
    heavy = next(form for form in page.to("choose") if "key-locking insert, heavy duty" in form.field("way"))
    shop.press(heavy, reason="two of these are ordered already")
    listed = {hole["id"]: hole for hole in shop.run("list")["castings"][0]["faces"][0]["holes"]}[hole.id]
    holds(listed["state"] == "planned" and not listed["in_question"], f"for the bench hole {WANDERED} is planned")


def evening(book, shop):
    print("Evening, at the bench. They exchange, and it shows that they do not agree.")
    did = exchange(book)
    hole = hole_of(book, WANDERED)
    tell(f"The phone left {moved(did.entries_left, did.photos_left)}, and took {moved(did.entries_taken, did.photos_taken)}.")
    brought = shop.run("devices")["devices"][0]["last_exchange"]
    counts = (brought["entries_brought"], brought["photos_brought"])
    holds(counts == (did.entries_left, 1), "the shop computer counts the same, the barn's photo among it")
    holds(did.in_question == [hole], f"hole {WANDERED} alone came in question")
    holds(book.entries_to_bring_home() == 0, "the phone has nothing left that is not home")
    answers = book.hole(hole).record.choice
    holds(answers.differ and len(answers.all) == 2, "both answers stand, and neither clock decides")
    said = {(one.by, book.entry(one.entry).device_name) for one in answers.all}
    both = {("R. Sample", "Barn phone"), ("K. Sample", "Bench computer")}
    holds(said == both, "each with who said it, and on which device")
    settle(book, shop, hole, answers)

    print("They exchange once more.")
    exchange(book)
    choice = book.hole(hole).record.choice
    thin = choice.settled and choice.settled.work.family == hb.Family.KEY_LOCKING_THIN_WALL
    holds(thin and len(choice.all) == 1, f"hole {WANDERED} has one answer on the phone, the barn's")
    holds(choice.all[0].by == "K. Sample", "and it was K. Sample who settled it")


def settle(book, shop, hole, answers):
    """K. Sample looks at both on the hole's page at the bench, and lets the barn's stand."""
    forms = shop.look(f"/hole/{hole.id}").to("settle")
    for one in answers.all:
        form = next(form for form in forms if form.field("stands") == one.entry.id)
        tell(f"    {form.words.partition(' This one stands')[0]}")
        offset = one.at.offset_minutes * 60
        day = datetime.fromtimestamp(one.at.at_ms / 1000 + offset, timezone.utc)
        where = book.entry(one.entry).device_name
        words = f"{one.by}, on {where}, {day.day} {day:%b %Y, %H:%M}"
        holds(words in form.words, f"the page at the bench says that this was {one.by}, where and when")
    barns = next(one.entry.id for one in answers.all if one.by == "R. Sample")
    shop.press(next(form for form in forms if form.field("stands") == barns))
    tell("K. Sample looks at the photo from the barn, and lets that answer stand.")


def compare(phone, shop, sheet):
    """Both notebooks by the program's own commands: the same, and whole."""
    print("What the two notebooks say now:")
    holds(phone.run("list") == shop.run("list"), "both list the same castings, faces and holes")
    whole = [notebook.run("verify") for notebook in (phone, shop)]
    entries, photos = whole[0]["entries"], whole[0]["photos"]
    holds(not any(report["findings"] for report in whole), "both are whole: each line, each photo, each table")
    holds(all((report["entries"], report["photos"]) == (entries, photos) for report in whole),
          f"both have {entries} entries and {photos} photos")
    holds(lines(phone) == lines(shop), "and of every hole the same lines, told by their hashes")
    shop.run("sheet", "--out", str(sheet))
    row = sheet.read_text(encoding="utf-8").split(f'<th scope="row">{WANDERED}</th>')[1].split("</tr>")[0]
    holds("1/2-13 UNC" in row and "in question" not in row, f"the sheet to print has what was settled of hole {WANDERED}")
    tell(f"The sheet is in {sheet}.")


def lines(notebook):
    """What was ever written about the holes of a notebook, as the hashes of the lines."""
    book = hb.Notebook.open(notebook.notebook)
    holes = [hole.id for hole in book.list()[0].faces[0].holes]
    written = [line.hash for hole in holes for line in book.history(hb.Subject.HOLE(hole), 1000)]
    book.shutdown()
    return sorted(written)


def main(folder):
    if folder.is_dir() and any(folder.iterdir()):
        raise SystemExit(f"{folder} holds something already; name a new folder.")
    folder.mkdir(parents=True, exist_ok=True)
    notebooks = {where: folder / where for where in ("bench", "barn")}
    sheet = folder / "sheet.html"
    at_bench = Shop(PROGRAM, notebooks["bench"])
    at_bench.run("demo", "--no-open")
    book = hb.Notebook.open(str(notebooks["barn"]))
    with at_bench as shop:
        morning(book, shop)
        barn(book)
        bench(shop, hole_of(book, WANDERED))
        evening(book, shop)
        book.shutdown()
        compare(Shop(PROGRAM, notebooks["barn"]), shop, sheet)
    print("All of it holds.")


if __name__ == "__main__":
    if len(sys.argv) > 1:
        main(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory() as taken:
            main(Path(taken))
