"""The notebook on disk: SQLite rows, their journal, photos and the ground.

The only layer that knows SQL. `Notebook` is the way in.
"""

from surveyapp.store.ground import GroundStore
from surveyapp.store.journal import HistoryEntry
from surveyapp.store.notebook import Notebook, utc_now
from surveyapp.store.reach import Box

__all__ = ["Box", "GroundStore", "HistoryEntry", "Notebook", "utc_now"]
