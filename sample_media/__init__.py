"""Demonstration clips: drawn, not filmed. The program that renders them, the clips, their truth."""
