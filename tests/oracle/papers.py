"""Reads the calendar and the table the tests leave again: icalendar (RFC 5545) and Python's own csv (RFC 4180).

    papers.py FOLDER

Fails where an event or a cell is not as it was written.
"""

import csv
import io
import json
import pathlib
import sys

from icalendar import Calendar


def moment(value):
    """A date, or a time without a zone."""
    at = value.dt
    if getattr(at, "tzinfo", None) is not None:
        sys.exit(f"{at} has a zone; it should be local wherever it is read")
    return at.strftime("%Y-%m-%dT%H:%M") if hasattr(at, "hour") else at.isoformat()


def calendar(folder):
    read = Calendar.from_ical((folder / "calendar.ics").read_bytes())
    wanted = json.loads((folder / "calendar.json").read_text(encoding="utf-8"))
    if read.errors or any(e.errors for e in read.walk("VEVENT")):
        sys.exit(f"calendar.ics: {read.errors}")
    got = [
        {
            "uid": str(e["UID"]),
            "start": moment(e["DTSTART"]),
            "end": moment(e["DTEND"]),
            "summary": str(e["SUMMARY"]),
            "description": str(e.get("DESCRIPTION", "")),
        }
        for e in read.walk("VEVENT")
    ]
    return "calendar.ics", got, wanted


def table(folder):
    text = (folder / "plan.csv").read_bytes().decode("utf-8")
    got = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    return "plan.csv", got, json.loads((folder / "plan.json").read_text(encoding="utf-8"))


folder = pathlib.Path(sys.argv[1])
for name, got, wanted in (calendar(folder), table(folder)):
    if got != wanted:
        pair = next((p for p in zip(got, wanted) if p[0] != p[1]), (len(got), len(wanted)))
        sys.exit(f"{name} reads differently:\n{pair[0]}\n{pair[1]}")
    print(f"{name}: {len(got)} read as written")
