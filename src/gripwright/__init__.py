"""Gripwright, the workbench of a guitar teacher who publishes song lessons.

Conventions that hold everywhere: string 1 is the highest-sounding in the usual order (the
treble side), fret 0 is the open string or the capo, MIDI 60 is C4, A4 is 440 Hz unless told.
"""

__version__ = "0.1.0"
