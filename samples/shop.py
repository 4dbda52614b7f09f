"""Drives a shop computer from a script: the program `holebook`, and its screens over HTTP."""

import json
import signal
import subprocess
from html.parser import HTMLParser
from http.cookiejar import CookieJar
from urllib.parse import urlencode, urljoin
from urllib.request import HTTPCookieProcessor, Request, build_opener


class Shop:
    """A notebook on the shop computer; within `with` its screens and its sync server are open."""

    def __init__(self, program, notebook):
        self.program, self.notebook = str(program), str(notebook)

    def run(self, *words):
        """Runs a command and returns its JSON."""
        done = subprocess.run(
            [self.program, *words, "--json", "--notebook", self.notebook],
            capture_output=True, text=True, timeout=120,
        )
        if done.returncode != 0:
            raise SystemExit(f"holebook {words[0]}: {done.stderr.strip()}")
        return json.loads(done.stdout)

    def start(self, *words):
        """Starts a command that keeps running; returns the process and its first JSON value."""
        running = subprocess.Popen(
            [self.program, *words, "--json", "--notebook", self.notebook],
            stdout=subprocess.PIPE, text=True,
        )
        output = ""
        for line in running.stdout:
            output += line
            try:
                return running, json.loads(output)
            except json.JSONDecodeError:
                continue  # incomplete
        raise SystemExit(f"holebook {words[0]} exited with {running.wait()} and printed no JSON")

    def __enter__(self):
        self.open, answer = self.start("open", "--no-open", "--by-address", "--port", "0")
        self.address = answer["address"]
        self.browser = build_opener(HTTPCookieProcessor(CookieJar()))
        self.get("")  # the address contains the key; the response sets the cookie
        return self

    def __exit__(self, *_):
        self.open.send_signal(signal.SIGINT)
        self.open.wait(timeout=60)
        self.open.stdout.close()

    def get(self, path):
        """Fetches a page."""
        page = Page()
        with self.browser.open(self._at(path), timeout=60) as response:
            page.feed(response.read().decode())
        return page

    def submit(self, form, **typed):
        """Submits a form with the values that the person typed."""
        origin = self._at("/").rstrip("/")
        fields = [(name, value) for name, value in form.fields if name not in typed]
        body = urlencode(fields + list(typed.items())).encode()
        request = Request(self._at(form.action), data=body, headers={"Origin": origin})
        with self.browser.open(request, timeout=60):
            pass

    def _at(self, path):
        return urljoin(self.address, path) if path else self.address


class Form:
    """A form: its address, its fields, and its visible text."""

    def __init__(self, action):
        self.action, self.fields, self.text = action, [], ""

    def field(self, name):
        """Returns the value of a field, or None."""
        return next((value for other, value in self.fields if other == name), None)


class Page(HTMLParser):
    """Parses the forms of a page."""

    def __init__(self):
        super().__init__()
        self.forms, self._open, self._select = [], None, None

    def forms_to(self, name):
        """Returns the forms whose address ends with this name."""
        return [form for form in self.forms if form.action.rsplit("/", 1)[-1] == name]

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        if tag == "form":
            self._open = Form(attrs.get("action"))
            self.forms.append(self._open)
        elif self._open and tag == "select":
            self._select = attrs["name"]
        elif self._open and tag == "option" and "selected" in attrs:
            self._open.fields.append((self._select, attrs.get("value")))
        elif self._open and tag == "input" and "name" in attrs and self._is_sent(attrs):
            self._open.fields.append((attrs["name"], attrs.get("value") or ""))

    def handle_endtag(self, tag):
        if tag == "form":
            self._open.text = " ".join(self._open.text.split())
            self._open = None

    def handle_data(self, data):
        if self._open:
            self._open.text += f" {data}"

    @staticmethod
    def _is_sent(attrs):
        if attrs.get("type") in ("checkbox", "radio"):
            return "checked" in attrs
        return attrs.get("type") != "file"
