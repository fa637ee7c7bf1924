"""The reel: the passages of several clips joined to one MP4 that any phone plays.

`cuts.py` (one folder up) says which frames, `planning.py` what of them is copied and what coded anew,
`coding.py` codes, `sound.py` gives the sound, `mp4.py` writes, `reel.py` runs it.
"""
