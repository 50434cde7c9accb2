"""`surveyapp merge`: another notebook's entries into this one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.finding import open_notebook
from surveyapp.commands.output import answer, json_option, pairs
from surveyapp.errors import InvalidValue

if TYPE_CHECKING:
    from surveyapp.store.merge import Conflict
    from surveyapp.store.notebook import Notebook


@click.command(cls=Command, short_help="Another notebook's entries into this one.")
@click.argument("notebook", type=click.Path(path_type=Path))
@click.argument("other", type=click.Path(path_type=Path))
@json_option
def command(notebook: Path, other: Path, as_json: bool) -> None:
    """Merge all that OTHER holds into NOTEBOOK, field by field; OTHER's entries stay as they are.

    Where both changed one field without knowledge of each other the later value stands, and
    both are listed. Either order gives the same, and again changes nothing.
    """
    if notebook.exists() and other.exists() and notebook.samefile(other):
        raise InvalidValue("Both names lead to the same notebook: name another one.")
    with open_notebook(notebook) as opened, open_notebook(other) as source:
        merged = opened.merge_from(source)
        conflicts = [_told(opened, conflict) for conflict in merged.conflicts]
        shown = [
            ", ".join(_shown(opened, conflict.field, value) for value in conflict.values)
            for conflict in merged.conflicts
        ]
    counts = {
        "actions": merged.actions,
        "added": merged.added,
        "changed": merged.changed,
        "pictures": merged.pictures,
    }
    lines = pairs((name, str(count)) for name, count in counts.items())
    lines += [
        f"To choose: the {one['field']} of {one['row']}: {values} (the first stands)."
        for one, values in zip(conflicts, shown, strict=True)
    ]
    answer({**counts, "conflicts": conflicts}, lines, as_json=as_json)


def _told(notebook: Notebook, conflict: Conflict) -> dict[str, Any]:
    """A conflict in words a surveyor knows, its values as they are."""
    from surveyapp.store.rows import BY_TABLE, title_of
    from surveyapp.store.values import label_of

    row = notebook.get(BY_TABLE[conflict.kind].made, conflict.row_id)
    return {
        "row": title_of(row),
        "id": conflict.row_id,
        "field": label_of(conflict.field),
        "values": list(conflict.values),
        "when_utc": list(conflict.when_utc),
    }


def _shown(notebook: Notebook, field: str, value: object) -> str:
    """A value as a reader knows it: a row by its name instead of its id, None as nothing."""
    from surveyapp.errors import NotFound
    from surveyapp.store.rows import BY_TABLE, title_of

    if value is None:
        return "nothing"
    kind = BY_TABLE.get(field.removesuffix("_id")) if field.endswith("_id") else None
    if kind is not None:
        try:
            return title_of(notebook.get(kind.made, str(value)))
        except NotFound:
            return f"a {kind.word} that was deleted"
    return f"'{value}'"
