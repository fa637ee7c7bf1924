"""Clips: what a file is, when each of its frames is shown, and the exact picture of each."""
