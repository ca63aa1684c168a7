"""What goes over the wire: every request, answer and event of the bench as a type.

The server decodes into these and encodes from these; `docs/schemas/bench.json` is written from
them by ``scripts/build_bench_schema.py``. Fields are only ever added to answers; a request with a
field that is not here is refused by name. Parts, bars and events are counted from 0.
"""
