"""What the server reports, in words; and that whoever writes waits for the other."""

from __future__ import annotations

import psycopg
import pytest

from annotate.errors import BarnTrouble
from store.address import ServerAddress
from store.barn import Barn
from store.server.connecting import LOCK, trouble_for
from store.unreachable import LostServer
from tests.postgres import Server
from tests.store.made_barns import event, put


@pytest.mark.parametrize(
    ("state", "words"),
    [
        ("53100", "no room left on the server's disk"),
        ("25006", "can only be read"),
        ("42501", "rail may not do that in centre on stable.example"),
        ("23514", "refused what makes no sense; nothing was changed"),
        ("40P01", "being written by somebody else"),
        ("42P01", "could not be used; nothing was changed"),
        ("57P01", "cannot be reached"),
    ],
)
def test_what_the_server_reports_is_said_in_words(state: str, words: str) -> None:
    error = psycopg.errors.lookup(state)("as the server has it")
    assert words in str(trouble_for(error, ServerAddress("centre", "stable.example", user="rail", password="oats")))


def test_an_error_without_a_state_is_a_server_that_did_not_answer() -> None:
    error = psycopg.OperationalError('connection to server at "stable.example" failed: Connection refused')
    trouble = trouble_for(error, ServerAddress("centre", "stable.example"))
    assert isinstance(trouble, LostServer)
    assert str(trouble) == "centre on stable.example cannot be reached: Connection refused."


def test_who_waits_too_long_for_another_writer_is_told_and_nothing_is_lost(
    barn: Barn, server: Server, session_id: int
) -> None:
    assert isinstance(barn.place, ServerAddress)
    put(barn, session_id, event("spook", 1))
    with Barn.open(barn.place, patience_ms=10) as hasty, server.connect(barn.place) as bare:
        bare.execute(f"SELECT pg_advisory_lock({LOCK})")
        with pytest.raises(BarnTrouble, match="being written by somebody else; nothing was changed"):
            put(hasty, session_id, event("calm", 2))
        assert len(hasty.tags(session_id)) == 1
        bare.execute(f"SELECT pg_advisory_unlock({LOCK})")
        put(hasty, session_id, event("calm", 2))
    assert len(barn.tags(session_id)) == 2


def test_a_connection_is_durable_whatever_the_server_is_set_to(barn: Barn, server: Server) -> None:
    assert isinstance(barn.place, ServerAddress)
    server.run(f"ALTER DATABASE {barn.place.name} SET synchronous_commit = off")
    with Barn.open(barn.place) as again:
        again.keep_setting("a", "b")
        writer = again._transactions._writer
        assert writer is not None
        assert writer.exec_driver_sql("SHOW synchronous_commit").scalar() == "on"
        writer.rollback()
    server.run(f"ALTER DATABASE {barn.place.name} RESET synchronous_commit")
