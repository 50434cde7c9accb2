"""Files that come with the program: fonts, tables, sample surveys.

In a checkout they lie at the top level (`assets`, `sample_surveys`); an installed wheel
carries them inside the package. Callers ask here and need not know which.
"""

from __future__ import annotations

from pathlib import Path

from surveyapp.errors import NotFound

_PACKAGE = Path(__file__).resolve().parent
_ROOTS = (_PACKAGE / "_shipped", _PACKAGE.parent)


def shipped(*parts: str) -> Path:
    """Path of a shipped file or folder, e.g. `shipped("assets", "fonts")`.

    Raises NotFound where the installation lacks it.
    """
    for root in _ROOTS:
        path = root.joinpath(*parts)
        if path.exists():
            return path
    raise NotFound(f"The installation lacks {'/'.join(parts)}: install surveyapp again.")
