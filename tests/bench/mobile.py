"""Measures the typed calls; run by tests/bench/mobile. Prints medians and ratios, and asserts nothing."""

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
    """Returns the median of `times` runs, after three warm-up runs."""
    for _ in range(3):
        work()
    taken = []
    for _ in range(times):
        started = time.perf_counter()
        work()
        taken.append((time.perf_counter() - started) * 1000)
    return statistics.median(taken)


def get(book, path):
    """Returns a page, or the bytes of a file, by the typed call."""
    body = book.answer(hb.Request(method=hb.Method.GET, path=path)).body
    return Path(body.value).read_bytes() if body.is_FILE() else body.value.encode()


class Server:
    """The shop computer's program with the same notebook, over one connection that stays open."""

    def __init__(self, folder):
        program = [TOP / "target/dist/holebook", "--notebook", folder, "open", "--no-open", "--by-address", "--no-network"]
        self.child = subprocess.Popen(program, stdout=subprocess.PIPE, text=True)
        for line in self.child.stdout:
            found = re.search(r"http://127\.0\.0\.1:(\d+)/\?key=([0-9a-f]+)", line)
            if found:
                break
        self.address = f"http://127.0.0.1:{found[1]}"
        self.connection = http.client.HTTPConnection("127.0.0.1", int(found[1]))
        self.connection.request("GET", f"/?key={found[2]}")
        response = self.connection.getresponse()
        response.read()
        self.cookie = response.getheader("set-cookie").split(";")[0]
        self.headers = {"Cookie": self.cookie}

    def get(self, path):
        self.connection.request("GET", path, headers=self.headers)
        response = self.connection.getresponse()
        if response.status != 200:
            raise RuntimeError(f"{path}: {response.status}")
        return response.read()

    def stop(self):
        self.child.terminate()
        self.child.wait()


def small(folder):
    """Creates a notebook with one face, a photo and a measured hole; returns it, the hole and the photo."""
    book = hb.Notebook.open(str(folder))
    face = book.add_face(hb.FaceBody(casting=book.add_casting(hb.CastingBody(name="Invented")), name="Joint"))
    photo = book.add_photo(face, str(PHOTO)).id
    hole = book.add_hole(face)
    depth = hb.Reading(quantity=hb.Quantity.DEPTH, value=hb.length_from_mm(34))
    wanted = hb.WantedThread(thread="3/8-16", through=False)
    for entry in (hb.HoleEntry.READING(depth), hb.HoleEntry.WANTED_THREAD(wanted), hb.HoleEntry.DAMAGE(hb.Damage())):
        book.record(hole, entry)
    return book, hole, photo


def typed_and_http(folder):
    """Measures a page and photos by the typed call and over HTTP, from Python and from the JVM."""
    book, hole, photo = small(folder)
    server = Server(folder)
    paths = {
        f"/hole/{hole.id}": "a hole's page",
        f"/photo/{photo.id}/view.jpg": "a photo as pages show it",
        f"/photo/{photo.id}/original": "an original photo",
    }
    for path, what in paths.items():
        typed = median_ms(lambda: get(book, path), 200)
        over_http = median_ms(lambda: server.get(path), 200)
        print_size_and_ratio("Python", what, len(get(book, path)), typed, over_http)
    for path, size, typed, over_http in on_the_jvm(server, folder, paths):
        print_size_and_ratio("JVM", paths[path], int(size), float(typed), float(over_http))
    server.stop()
    marks(book, hole, photo)
    book.shutdown()


def print_size_and_ratio(where, what, size, typed, over_http):
    print_ratio(f"{what}, {size / 1000:.0f} kB, from {where}", typed, "HTTP", over_http)


def print_ratio(what, ours, other, theirs):
    """Prints a result in the form that tests/bench/run gathers; times in milliseconds."""
    print(f"ratio: {what} | {ours:.2f} ms | {other}: {theirs:.2f} ms | {ours / theirs:.2f}")


def on_the_jvm(server, folder, paths):
    """Measures the same with the Android shell's classes; returns nothing if they are not built."""
    app = TOP / "android/app/target"
    if not (app / "classpath").exists():
        print("JVM: not measured, since the Android shell is not built; a JDK and Maven are needed")
        return []
    classes = [app / "classes", app / "test-classes", (app / "classpath").read_text().strip()]
    program = ["java", "-cp", ":".join(map(str, classes)), f"-Djna.library.path={Path(hb.__file__).parent}"]
    words = [*program, "org.holebook.app.host.MeasureKt", folder, server.address, server.cookie, *paths]
    output = subprocess.run(words, check=True, stdout=subprocess.PIPE, text=True).stdout
    return [line.split() for line in output.splitlines()]


def marks(book, hole, photo):
    """Counts acknowledged marks per second."""
    started, replaces, count = time.perf_counter(), [], 300
    for number in range(count):
        replaces = [book.mark(hole, hb.MarkBody(photo=photo, x_px=float(number), y_px=1.0, rim_radius_px=None), replaces)]
    taken = time.perf_counter() - started
    print(f"marks: {count / taken:.0f} per second, each on disk before the next")


def first_page(folder):
    """Returns the time from opening to the first page, with the library already loaded."""
    def work():
        book = hb.Notebook.open(str(folder))
        get(book, "/")
        book.shutdown()
    return median_ms(work, 5)


def main(entries):
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        typed_and_http(folder / "small")
        few = first_page(folder / "small")
        program = [TOP / "target/dist/large-notebook", folder / "large", str(entries)]
        subprocess.run(program, check=True)
        many = first_page(folder / "large")
        print_ratio(f"open to first page, {entries} entries", many, "few entries", few)


main(int(sys.argv[1]))
