"""What moves in a clip, and what that suggests. The machine proposes, the trainer decides.

OpenCV is imported by `camera`, `moving_field` and `watching` only, and those only by `worker`, which runs as a
process of its own: importing anything else of this package must not import cv2.

All times inside are seconds of the horse's time from the clip's first frame, unless a name says otherwise.
"""
