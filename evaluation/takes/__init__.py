"""A generator of takes whose truth is known, for the evaluation of hearing.

Notes come from recorded packs or sound fonts (`packs`), songs from an independent table of
grips (`songs`), timing from a made-up player (`players`), and the way to the listener from a
made-up room (`rooms`). `make` puts them together. Nothing here is part of the product, and no
sample is kept in the project.
"""
