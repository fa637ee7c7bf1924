"""What goes wrong, in words a person can act on.

Every error that a user may cause or meet is a `Trouble`: its text says what happened and what to do.
The rims (the window, the command line) show the text; anything else that is raised is a defect.
"""


class Trouble(Exception):
    """One plain sentence for a person."""


class ClipTrouble(Trouble):
    """A clip that cannot be opened, read or found."""


class TagTrouble(Trouble):
    """A tag that makes no sense where it was put."""


class SheetTrouble(Trouble):
    """A sheet of behaviours that cannot be used as written."""


class BarnTrouble(Trouble):
    """A barn that cannot be opened, written, backed up or restored."""


class Cancelled(Exception):
    """The person asked a long piece of work to stop; nobody needs to be told."""
