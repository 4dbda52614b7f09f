"""The shop computer, as a script meets it: the program `holebook`, and the screens that it has open for a browser."""

import json
import signal
import subprocess
from html.parser import HTMLParser
from http.cookiejar import CookieJar
from urllib.parse import urlencode, urljoin
from urllib.request import HTTPCookieProcessor, Request, build_opener


class Shop:
    """A notebook whose screens and shelf are open, from `with` to its end."""

    def __init__(self, program, notebook):
        self.program, self.notebook = str(program), str(notebook)

    def run(self, *words):
        """One command of the program, to its end; gives its answer."""
        done = subprocess.run(
            [self.program, *words, "--json", "--notebook", self.notebook],
            capture_output=True, text=True, timeout=120,
        )
        if done.returncode != 0:
            raise SystemExit(f"holebook {words[0]}: {done.stderr.strip()}")
        return json.loads(done.stdout)

    def begin(self, *words):
        """A command that goes on; gives it with the first value that it says."""
        running = subprocess.Popen(
            [self.program, *words, "--json", "--notebook", self.notebook],
            stdout=subprocess.PIPE, text=True,
        )
        said = ""
        for line in running.stdout:
            said += line
            try:
                return running, json.loads(said)
            except json.JSONDecodeError:
                continue  # not all of it yet
        raise SystemExit(f"holebook {words[0]} ended with {running.wait()}, and said nothing")

    def __enter__(self):
        self.open, answer = self.begin("open", "--no-open", "--port", "0")
        self.address = answer["address"]
        self.browser = build_opener(HTTPCookieProcessor(CookieJar()))
        self.look("")  # the address with its key lets the browser in
        return self

    def __exit__(self, *_):
        self.open.send_signal(signal.SIGINT)
        self.open.wait(timeout=60)
        self.open.stdout.close()

    def look(self, path):
        """A page, as the forms and words in it."""
        page = Page()
        with self.browser.open(self._at(path), timeout=60) as answer:
            page.feed(answer.read().decode())
        return page

    def press(self, form, **typed):
        """Sends a form of a page, with what the person typed into it."""
        origin = self._at("/").rstrip("/")
        fields = [(name, value) for name, value in form.fields if name not in typed]
        body = urlencode(fields + list(typed.items())).encode()
        asked = Request(self._at(form.action), data=body, headers={"Origin": origin})
        with self.browser.open(asked, timeout=60):
            pass

    def _at(self, path):
        return urljoin(self.address, path) if path else self.address


class Form:
    """A form: where it goes, what it holds, and the words that a person reads in it."""

    def __init__(self, action):
        self.action, self.fields, self.words = action, [], ""

    def field(self, name):
        """The value of the field of this name; none where there is no such field."""
        return next((value for held, value in self.fields if held == name), None)


class Page(HTMLParser):
    """The forms of a page."""

    def __init__(self):
        super().__init__()
        self.forms, self._open, self._select = [], None, None

    def to(self, last):
        """The forms whose address ends so."""
        return [form for form in self.forms if form.action.rsplit("/", 1)[-1] == last]

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        if tag == "form":
            self._open = Form(attrs.get("action"))
            self.forms.append(self._open)
        elif self._open and tag == "select":
            self._select = attrs["name"]
        elif self._open and tag == "option" and "selected" in attrs:
            self._open.fields.append((self._select, attrs.get("value")))
        elif self._open and tag == "input" and "name" in attrs and self._is_held(attrs):
            self._open.fields.append((attrs["name"], attrs.get("value") or ""))

    def handle_endtag(self, tag):
        if tag == "form":
            self._open.words = " ".join(self._open.words.split())
            self._open = None

    def handle_data(self, data):
        if self._open:
            self._open.words += f" {data}"

    @staticmethod
    def _is_held(attrs):
        if attrs.get("type") in ("checkbox", "radio"):
            return "checked" in attrs
        return attrs.get("type") != "file"
