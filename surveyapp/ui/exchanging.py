"""Surveys brought in from files and sent out to them, through the one table of formats.

Reading and writing are done by `Background`, on a connection of its own. No Kivy here.
"""

from __future__ import annotations

import json
import shutil
import weakref
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import count
from pathlib import Path

from surveyapp.errors import InvalidValue
from surveyapp.exchange.files import new_temporary_folder, temporary_folder
from surveyapp.exchange.formats import LEAD_FORMATS, SURVEY_FORMATS, format_of_file
from surveyapp.model import LatLon, Row, Site, Stop, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.sending import left_out, privacy_of
from surveyapp.ui.words import counted

SENT = "sent"  # the folder beside the notebook
READABLE = sorted(
    {suffix for one in (*SURVEY_FORMATS, *LEAD_FORMATS) if one.read for suffix in one.suffixes}
)
WRITABLE = tuple(
    Choice(value=one.key, label=one.name) for one in SURVEY_FORMATS if one.write is not None
)


class Workspace:
    """A folder for unpacked pictures that goes with the last one who holds it."""

    def __init__(self) -> None:
        self.path = new_temporary_folder()
        weakref.finalize(self, shutil.rmtree, self.path, True)


@dataclass(frozen=True)
class Found:
    """A file that was read: its good rows, each bad row with its place, and what to know."""

    file: str
    noun: str
    rows: tuple[Row, ...]
    pictures: tuple[Path, ...] = ()
    problems: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    workspace: Workspace | None = field(default=None, compare=False)


def read_file(notebook_path: Path, file: str, _leave: Callable[[], bool]) -> Found:
    """What a file holds: a survey, a track or a log, else leads."""
    from surveyapp.exchange.formats import read_leads, read_survey

    path = Path(file)
    has_track = path.suffix.lower() == ".gpx"
    if format_of_file(path) is None and not (has_track and format_of_file(path, tracks=True)):
        leads = read_leads(path)
        return Found(path.name, "lead", leads.leads, problems=tuple(map(str, leads.problems)))
    workspace = Workspace()
    tracks = has_track and format_of_file(path) is None
    brought = read_survey(path, workspace.path, tracks=tracks)
    with Notebook.open(notebook_path) as notebook:
        notebook.refuse_mixing(brought.rows)
        refused = notebook.refusals(brought.rows, brought.pictures)
    bad = {one.row.id for one in refused}
    return Found(
        path.name,
        "row",
        tuple(row for row in brought.rows if row.id not in bad),
        brought.pictures,
        tuple(map(str, (*brought.troubles, *refused))),
        brought.notes,
        workspace,
    )


def is_walk(found: Found) -> bool:
    """Whether a file holds nothing but the stops of a walk."""
    kinds = [type(row) for row in found.rows]
    return kinds.count(Survey) == 1 and set(kinds) == {Survey, Stop}


def into_survey(found: Found, notebook: Notebook, survey: Survey) -> Found:
    """The stops of a walk as further ones of a survey; those it has already keep their number."""
    known = {stop.id: stop.number for stop in notebook.all(Stop, survey_id=survey.id)}
    following = count(notebook.next_stop_number(survey.id))
    stops = [
        replace(row, survey_id=survey.id, number=known.get(row.id) or next(following))
        for row in found.rows
        if isinstance(row, Stop)
    ]
    return replace(found, rows=tuple(stops))


def found_words(found: Found) -> str:
    """'street.csv: 12 rows can come in, 2 cannot.'"""
    bad = counted(len(found.problems), found.noun)
    return f"{found.file}: {counted(len(found.rows), found.noun)} can come in, {bad} cannot."


def bring_in(notebook: Notebook, found: Found) -> tuple[str, tuple[str, ...]]:
    """Keep the good rows as one action; what became of them, and rows the notebook refused."""
    if found.noun == "lead":
        from surveyapp.exchange.leads import new_leads

        leads = [row for row in found.rows if isinstance(row, Site)]
        fresh, old = new_leads(leads, notebook.all(Site))
        if fresh:
            notebook.save(*fresh, what=f"leads of {found.file}")
        return f"{counted(len(fresh), 'new lead')}, {len(old)} known already.", ()
    came = notebook.bring_in(
        found.rows, found.pictures, what=f"rows of {found.file}", all_or_nothing=False
    )
    said = f"{counted(came.added, 'new row')}, {came.changed} changed, "
    return f"{said}{came.same + came.older} known already.", tuple(map(str, came.refused))


def request(
    key: str, survey_ids: Sequence[str], hide: Sequence[str], homes: Sequence[LatLon], out: Path
) -> str:
    """All that `send` needs to know, as the subject of its work."""
    return json.dumps(
        {"key": key, "surveys": survey_ids, "hide": hide, "homes": homes, "out": str(out)}
    )


LONGEST_NAME = 60  # letters of a title: file systems take 255 bytes, and a letter may be four


def out_path(notebook: Notebook, title: str, key: str) -> Path:
    """A file named by the survey in the folder beside the notebook; never one that is there."""
    suffix = next(one.suffixes[0] for one in SURVEY_FORMATS if one.key == key)
    title = title[:LONGEST_NAME]
    folder, name = notebook.path.parent / SENT, plain_name(title)
    path, again = folder / f"{name}{suffix}", count(2)
    while path.exists():
        path = folder / f"{name} {next(again)}{suffix}"
    return path


def plain_name(title: str) -> str:
    """A survey's title as the name of a file."""
    plain = "".join(sign if sign.isalnum() or sign in " -_" else "_" for sign in title).strip()
    return plain or "survey"


def send(notebook_path: Path, asked: str, _leave: Callable[[], bool]) -> str:
    """Write a survey with what is to be hidden hidden; what was done, in sentences."""
    from surveyapp.exchange.content import Content
    from surveyapp.exchange.formats import survey_format
    from surveyapp.exchange.privacy import hidden, told

    wish = json.loads(asked)
    known, out = survey_format(wish["key"]), Path(wish["out"])
    privacy = privacy_of(wish["hide"], wish["homes"])
    out.parent.mkdir(parents=True, exist_ok=True)
    with Notebook.open(notebook_path) as notebook, temporary_folder() as workspace:
        privacy = replace(privacy, salt=notebook.salt_of_copies())
        rows = notebook.rows_of(wish["surveys"] or None)
        files = notebook.pictures_of(rows)
        content = hidden(Content(rows=rows, pictures=files), privacy, workspace)
        if known.write is None:
            raise InvalidValue(f"{known.name} cannot be written.", value=known.key)
        known.write(content, out)
        near = [left_out(notebook, one, wish["homes"]) for one in wish["surveys"]]
    words = told(privacy, pictures=known.has_pictures)
    words = words or ["nothing was hidden: keep it to yourself"]
    lines = [f"Written with {counted(len(content.rows), 'row')}: {out}", *filter(None, near)]
    lines += [f"Privacy: {one}." for one in words]
    return "\n".join([*lines, f"{known.name} does not carry: {known.loses}."])
