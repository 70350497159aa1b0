"""The journal: what happened to each job and when. Entries are added, never changed.

``sendings_told`` puts the entries of each sending together: one row a sending, for tables.
"""

from __future__ import annotations

import csv
import io
import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from cutpath.send.queue.values import Entry, Event

_ENDS = {Event.FINISHED, Event.INTERRUPTED}
_FIELDS = (
    "sending", "job", "lane", "kind", "origin", "file", "of_job", "cloth", "copy", "copies",
    "machine", "profile_digest", "sha256", "pieces", "began", "ended", "outcome", "estimated_s",
    "real_s", "sent_s", "paused_s", "strokes", "strokes_done", "strokes_in_doubt", "fault", "notes",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Happening:
    """What is to be written down."""

    at: str
    lane: str
    job: int
    event: Event
    facts: Mapping[str, object]


def write_down(base: sqlite3.Connection, what: Happening) -> None:
    """Add one entry within the caller's transaction."""
    facts = json.dumps(what.facts, ensure_ascii=False, sort_keys=True)
    base.execute(
        "INSERT INTO journal(at, lane, job, event, facts) VALUES (?, ?, ?, ?, ?)",
        (what.at, what.lane, what.job, what.event.value, facts),
    )


def entry_of(row: tuple[Any, ...]) -> Entry:
    """Give the entry of a row (number, at, lane, job, event, facts)."""
    number, at, lane, job, event, facts = row
    return Entry(number, at, lane, job, Event(event), json.loads(facts))


def sendings_told(entries: Iterable[Entry]) -> list[dict[str, object]]:
    """Give one table row for each sending that began, in order; open ends are empty.

    A note belongs to the sending before it.
    """
    rows: dict[int, dict[str, object]] = {}
    last: dict[int, dict[str, object]] = {}
    for entry in entries:
        if entry.event is Event.BEGUN:
            row = dict.fromkeys(_FIELDS, None) | {
                key: value for key, value in entry.facts.items() if key in _FIELDS
            }
            row |= {"job": entry.job, "lane": entry.lane, "began": entry.at}
            rows[entry.number] = last[entry.job] = row
        elif entry.job in last and entry.event in _ENDS:
            facts = {key: value for key, value in entry.facts.items() if key in _FIELDS}
            last[entry.job] |= {"ended": entry.at, "outcome": entry.event.value} | facts
        elif entry.job in last and entry.event is Event.NOTE:
            said = [last[entry.job]["notes"], entry.facts.get("words")]
            last[entry.job]["notes"] = "; ".join(str(each) for each in said if each)
    return list(rows.values())


def as_json(entries: Iterable[Entry]) -> str:
    """Give all entries, and the sendings put together, as JSON."""
    kept = list(entries)
    told = [
        {
            "number": entry.number,
            "at": entry.at,
            "lane": entry.lane,
            "job": entry.job,
            "event": entry.event.value,
            **({"facts": dict(entry.facts)} if entry.facts else {}),
        }
        for entry in kept
    ]
    whole = {"sendings": sendings_told(kept), "entries": told}
    return json.dumps(whole, indent=2, ensure_ascii=False) + "\n"


def as_csv(entries: Iterable[Entry]) -> str:
    """Give the sendings as a table (RFC 4180, with a line of names)."""
    out = io.StringIO()
    writer = csv.DictWriter(out, _FIELDS, lineterminator="\r\n")
    writer.writeheader()
    for row in sendings_told(entries):
        writer.writerow({key: _plain(value) for key, value in row.items()})
    return out.getvalue()


def _plain(value: object) -> object:
    """Give a value for a table's cell; a text that a spreadsheet would calculate is quoted."""
    if isinstance(value, list | tuple):
        return ", ".join(str(each) for each in value)
    if isinstance(value, str) and value[:1] in {"=", "+", "-", "@", "\t", "\r"}:
        return f"'{value}"
    return value


def real_and_estimated(entries: Iterable[Entry]) -> Iterator[tuple[str, float, float, int]]:
    """Give (lane, seconds real, seconds estimated, strokes) of each sending that was finished.

    Pauses are taken out of the real time.
    """
    for row in sendings_told(entries):
        real, estimated, strokes = (row[key] for key in ("real_s", "estimated_s", "strokes"))
        if row["outcome"] == Event.FINISHED.value and isinstance(real, int | float):
            assert isinstance(estimated, int | float)
            assert isinstance(strokes, int)
            yield str(row["lane"]), float(real), float(estimated), strokes


def seconds_between(first: str, last: str) -> float:
    """Give the seconds from one time of the journal to another."""
    return (datetime.fromisoformat(last) - datetime.fromisoformat(first)).total_seconds()
