"""Where things live on this machine when nobody says otherwise."""

from __future__ import annotations

from pathlib import Path

from platformdirs import user_data_path

ROOT = Path(__file__).resolve().parent.parent
SAMPLE_MEDIA = ROOT / "sample_media"


def usual_barn() -> Path:
    """The trainer's own barn."""
    return user_data_path("railside", appauthor=False) / "my.barn"


def demonstration_folder() -> Path:
    """Where the demonstration barn and its highlight list are made."""
    return user_data_path("railside", appauthor=False) / "demonstration"
