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
        program = [TOP / "target/release/holebook", "--notebook", folder, "open", "--no-open", "--no-shelf"]
        self.child = subprocess.Popen(program, stdout=subprocess.PIPE, text=True)
        for line in self.child.stdout:
            found = re.search(r"http://127\.0\.0\.1:(\d+)/\?key=([0-9a-f]+)", line)
            if found:
                break
        self.address = f"http://127.0.0.1:{found[1]}"
        self.wire = http.client.HTTPConnection("127.0.0.1", int(found[1]))
        self.wire.request("GET", f"/?key={found[2]}")
        answer = self.wire.getresponse()
        answer.read()
        self.cookie = answer.getheader("set-cookie").split(";")[0]
        self.fields = {"Cookie": self.cookie}

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
    """A page and photographs by the call and over HTTP, from Python and from the JVM."""
    book, hole, photo = small(folder)
    server = Server(folder)
    asked = {
        f"/hole/{hole.id}": "a hole's page",
        f"/photo/{photo.id}/view.jpg": "a photograph as pages show it",
        f"/photo/{photo.id}/original": "a photograph whole",
    }
    for path, what in asked.items():
        called = median_ms(lambda: get(book, path), 200)
        carried = median_ms(lambda: server.get(path), 200)
        say("Python", what, len(get(book, path)), called, carried)
    for path, size, called, carried in on_the_jvm(server, folder, asked):
        say("JVM", asked[path], int(size), float(called), float(carried))
    server.stop()
    marks(book, hole, photo)
    book.shutdown()


def say(where, what, size, called, carried):
    ratio = carried / called
    print(f"{where}, {what}, {size / 1000:.0f} kB: answer() {called:.2f} ms, HTTP {carried:.2f} ms, ratio {ratio:.2f}")


def on_the_jvm(server, folder, paths):
    """The same by the classes of the phone's shell; nothing where they are not built."""
    app = TOP / "android/app/target"
    if not (app / "classpath").exists():
        print("JVM: not measured, since the phone's shell is not built; a JDK and Maven are needed")
        return []
    classes = [app / "classes", app / "test-classes", (app / "classpath").read_text().strip()]
    program = ["java", "-cp", ":".join(map(str, classes)), f"-Djna.library.path={Path(hb.__file__).parent}"]
    words = [*program, "org.holebook.app.host.MeasureKt", folder, server.address, server.cookie, *paths]
    told = subprocess.run(words, check=True, stdout=subprocess.PIPE, text=True).stdout
    return [line.split() for line in told.splitlines()]


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
