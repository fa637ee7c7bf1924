"""A barn on a PostgreSQL server, for several people at once.

Only loaded where a barn is named by its URL. Its driver is installed only by who needs it: loading this raises
`BarnTrouble`, with the line that installs it, where it is missing.
"""

from __future__ import annotations

import sys

from annotate.errors import BarnTrouble

try:
    import psycopg  # noqa: F401
except ImportError:
    raise BarnTrouble(
        "A barn on a server needs its driver. Install it with: "
        f"{sys.executable} -m pip install 'psycopg[binary]>=3.2,<4'"
    ) from None
