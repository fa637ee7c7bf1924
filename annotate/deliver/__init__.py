"""What the owner gets: the highlight list, and the files it is written to."""
