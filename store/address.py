"""Where a barn is: a file of this machine, or a database on a server that is named by its URL.

A password in the URL is used and never shown: what is printed of an address leaves it out. SQLAlchemy is not
loaded here, since every command passes by.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, TypeAlias
from urllib.parse import parse_qsl, quote, unquote, urlsplit

from platformdirs import user_data_path

from annotate.errors import BarnTrouble

_KINDS: Final = ("postgresql", "postgresql+psycopg")
_AS: Final = "postgresql+psycopg://USER@HOST/NAME"
_USUAL_PORT: Final = 5432


@dataclass(frozen=True, slots=True)
class ServerAddress:
    """A barn on a server. `name` is the database's, by which the barn is known; `more` is for the driver."""

    name: str
    server: str = ""
    port: int | None = None
    user: str = ""
    password: str | None = field(default=None, repr=False)
    more: tuple[tuple[str, str], ...] = field(default=(), repr=False)

    @property
    def host(self) -> str:
        """The server as a person knows it."""
        if not self.server:
            return "this machine"
        return self.server if self.port in (None, _USUAL_PORT) else f"{self.server}:{self.port}"

    @property
    def beside(self) -> Path:
        """The name beside which this machine keeps what belongs to the barn: clips that came, what waits."""
        place, file = (re.sub(r"[^\w.-]+", "-", text) for text in (self.host, self.name))
        return user_data_path("railside", appauthor=False) / "servers" / place / f"{file}.barn"

    def __str__(self) -> str:
        user = f"{quote(self.user, safe='')}@" if self.user else ""
        port = f":{self.port}" if self.port is not None else ""
        return f"{_KINDS[1]}://{user}{self.server}{port}/{quote(self.name, safe='')}"


Place: TypeAlias = Path | ServerAddress


def place_of(named: str | Place) -> Place:
    """The place that a person names: a file, or a URL. Raises `BarnTrouble` for another kind of URL."""
    if isinstance(named, ServerAddress):
        return named
    if isinstance(named, Path) or "://" not in named:
        return Path(named)
    kind = named.split("://", 1)[0]
    if kind not in _KINDS:
        raise BarnTrouble(f"'{kind}' is no kind of server that a barn can be on. Write {_AS}")
    try:
        parts = urlsplit(named)
        port = parts.port
    except ValueError:
        raise BarnTrouble(f"The address of the barn cannot be read. Write {_AS}") from None
    name = unquote(parts.path.removeprefix("/"))
    if not name or "/" in name:
        raise BarnTrouble(f"The address of the barn must name one database. Write {_AS}")
    return ServerAddress(
        name=name,
        server=parts.hostname or "",
        port=port,
        user=unquote(parts.username or ""),
        password=None if parts.password is None else unquote(parts.password),
        more=tuple(parse_qsl(parts.query)),
    )
