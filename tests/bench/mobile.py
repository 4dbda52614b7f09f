"""Measures the typed face; run by tests/bench/mobile. Prints medians and ratios of one run, and asserts nothing."""

import http.client
import re
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import holebook_mobile as hb

TOP = Path(__file__).resolve().parents[2]
PHOTO = TOP / "samples" / "pump-end-cover" / "joint-face.jpg"


def median_ms(work, times):
    """The median over `times` runs, after three that warm up."""
    for _ in range(3):
        work()
    taken = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        taken.append((time.perf_counter() - begun) * 1000)
    return statistics.median(taken)


def get(book, path):
    """A page, or the bytes of a file, by the typed call."""
    body = book.answer(hb.Request(method=hb.Method.GET, path=path)).body
    return Path(body.path).read_bytes() if body.is_FILE() else body.text.encode()


class Server:
    """The same notebook shown by the shop computer's program, over one connection that stays open."""

    def __init__(self, folder):
        program = [TOP / "target/release/holebook", "--notebook", folder, "open", "--no-open"]
        self.child = subprocess.Popen(program, stdout=subprocess.PIPE, text=True)
        for line in self.child.stdout:
            found = re.search(r"http://127\.0\.0\.1:(\d+)/\?key=([0-9a-f]+)", line)
            if found:
                break
        self.wire = http.client.HTTPConnection("127.0.0.1", int(found[1]))
        self.fields = {}
        self.wire.request("GET", f"/?key={found[2]}")
        answer = self.wire.getresponse()
        answer.read()
        self.fields = {"Cookie": answer.getheader("set-cookie").split(";")[0]}

    def get(self, path):
        self.wire.request("GET", path, headers=self.fields)
        answer = self.wire.getresponse()
        if answer.status != 200:
            raise RuntimeError(f"{path}: {answer.status}")
        return answer.read()

    def stop(self):
        self.child.terminate()
        self.child.wait()


def small(folder):
    """A notebook with one face, a photo and a hole that is read; gives the hole and the photo."""
    book = hb.Notebook.open(str(folder))
    face = book.add_face(hb.FaceBody(casting=book.add_casting(hb.CastingBody(name="Invented")), name="Joint"))
    photo = book.add_photo(face, str(PHOTO)).photo
    hole = book.add_hole(face)
    book.read(hole, hb.Reading(quantity=hb.Quantity.DEPTH, value=hb.length_from_mm(34)))
    book.want(hole, hb.Wanted(thread="3/8-16", through=False))
    book.damage(hole, hb.Damage())
    return book, hole, photo


def carriers(folder):
    """A page and a photograph by the call and over HTTP."""
    book, hole, photo = small(folder)
    server = Server(folder)
    for what, path, times in [
        ("a hole's page", f"/hole/{hole.id}", 200),
        ("a photograph", f"/photo/{photo.id}/original", 200),
    ]:
        size = len(get(book, path)) / 1000
        called = median_ms(lambda: get(book, path), times)
        carried = median_ms(lambda: server.get(path), times)
        print(f"{what}, {size:.0f} kB: answer() {called:.2f} ms, HTTP {carried:.2f} ms, ratio {carried / called:.2f}")
    server.stop()
    marks(book, hole, photo)
    book.shutdown()


def marks(book, hole, photo):
    """Marks acknowledged, each on the disk."""
    begun, over, count = time.perf_counter(), [], 300
    for number in range(count):
        over = [book.mark(hole, hb.MarkBody(photo=photo, x_px=float(number), y_px=1.0), over)]
    taken = time.perf_counter() - begun
    print(f"marks: {count / taken:.0f} a second, each on the disk before the next")


def first_page(folder):
    """From opening to the first page in hand, in a process that has the library loaded."""
    def work():
        book = hb.Notebook.open(str(folder))
        get(book, "/")
        book.shutdown()
    return median_ms(work, 5)


def main(entries):
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        carriers(folder / "small")
        few = first_page(folder / "small")
        program = [TOP / "target/release/large-notebook", folder / "large", str(entries)]
        subprocess.run(program, check=True)
        many = first_page(folder / "large")
        print(f"open to first page: {few:.1f} ms with few entries, {many:.1f} ms with {entries}, ratio {many / few:.1f}")


main(int(sys.argv[1]))
