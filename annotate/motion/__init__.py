"""What moves in a clip, and what that suggests. The machine proposes, the trainer decides.

OpenCV is imported by `backdrop`, `camera`, `close_look`, `cuts`, `greys`, `likeness`, `recognising` and `stirring`,
onnxruntime by `recognising`. What needs them, up to `watching`, is imported by `worker` only, which runs as a
process of its own: importing anything else of this package must not import cv2 or onnxruntime.

All times inside are seconds of the horse's time from the clip's first frame, unless a name says otherwise.
"""
