"""Where things live on this machine when nobody says otherwise."""

from __future__ import annotations

from pathlib import Path

from platformdirs import user_cache_path, user_data_path

ROOT = Path(__file__).resolve().parent.parent
SAMPLE_MEDIA = ROOT / "sample_media"


def usual_barn() -> Path:
    """The trainer's own barn."""
    return user_data_path("railside", appauthor=False) / "my.barn"


def demonstration_folder() -> Path:
    """Where the demonstration barn and its highlight list are made."""
    return user_data_path("railside", appauthor=False) / "demonstration"


def sound_folder() -> Path:
    """Where the peaks of the clips' sound are kept; they can be read anew."""
    return user_cache_path("railside", appauthor=False) / "sound"


def log_file() -> Path:
    """What went wrong, for who is asked to help."""
    return user_data_path("railside", appauthor=False) / "railside.log"


def preferences_file() -> Path:
    """What one person prefers on this machine."""
    return user_data_path("railside", appauthor=False) / "preferences.json"


def last_folders_file() -> Path:
    """Where that person chose files last."""
    return user_data_path("railside", appauthor=False) / "folders.json"
