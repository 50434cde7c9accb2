"""What a folder holds, for the list of files. No Kivy here."""

from __future__ import annotations

from pathlib import Path

PICTURES = (".jpg", ".jpeg", ".png", ".heic", ".heif", ".webp")  # the last three are refused


def first_folder(kept: str) -> Path:
    """The folder used last where it is still there, else the user's own."""
    folder = Path(kept) if kept else Path.home()
    return folder if folder.is_dir() else Path.home()


def listing(folder: Path, suffixes: tuple[str, ...]) -> tuple[list[Path], list[Path]]:
    """Folders and files of these kinds, by name; a folder that cannot be read has none."""
    try:
        seen = [path for path in folder.iterdir() if not path.name.startswith(".")]
    except OSError:
        return [], []
    by_name = sorted(seen, key=lambda path: path.name.casefold())
    folders = [path for path in by_name if path.is_dir()]
    files = [path for path in by_name if path.suffix.lower() in suffixes]
    return folders, files
