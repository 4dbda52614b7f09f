"""Reads an export with Python's own csv, json and hashlib: nothing here is from Holebook.

Usage: export.py FOLDER. Prints what it found as JSON.
"""

import csv
import hashlib
import json
import pathlib
import sys

folder = pathlib.Path(sys.argv[1])
lines = (folder / "journal.jsonl").read_bytes().split(b"\n")
assert lines.pop() == b"", "the last line ends with a line break"

# The chain that README.txt describes.
last = {}
for line in lines:
    entry = json.loads(line)
    seq, prev = last.get(entry["device"], (0, None))
    assert entry["seq"] == seq + 1, (entry["seq"], seq)
    assert entry["prev"] == prev, entry["id"]
    last[entry["device"]] = (entry["seq"], hashlib.sha256(line).hexdigest())


def table(name):
    with open(folder / name, encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file, strict=True))
    for row in rows:
        assert None not in row and None not in row.values(), (name, row)
    return rows


entries = [json.loads(line) for line in lines]
by_id = {entry["id"]: entry for entry in entries}
for row in table("log.csv"):
    assert json.loads(row["content"]) == by_id[row["entry_id"]]["body"]
for row in table("readings.csv"):
    body = by_id[row["entry_id"]]["body"]
    body = body.get("reading", body)
    assert float(row["value_mm"]) == body["value_mm"], row
    assert abs(float(row["value_in"]) - body["value_mm"] / 25.4) <= 0.5000001e-6, row
for photo in (folder / "photos").iterdir():
    assert hashlib.sha256(photo.read_bytes()).hexdigest() == photo.stem
readme = (folder / "README.txt").read_text("utf-8")
for name in [path.name for path in folder.glob("*.csv")]:
    assert name in readme, name

counts = {path.name: len(table(path.name)) for path in folder.glob("*.csv")}
print(json.dumps({"entries": len(entries), "devices": len(last), "rows": counts,
                  "readings": sum("reading" in e["kind"] for e in entries),
                  "photos": len(list((folder / "photos").iterdir()))}))
