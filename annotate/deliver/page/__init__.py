"""What an owner opens: a page of one session, the same on paper, and one page of several sessions."""
