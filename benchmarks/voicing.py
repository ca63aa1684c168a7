"""How fast grips are searched, fingered and chained, with peers in the same run.

Run ``python benchmarks/voicing.py`` (the peers need the ``eval`` extra). Each row is the best of
a few runs on this machine; `cold` clears what was kept before it. The peers are a plain search
that multiplies out all strings in numpy, scipy's shortest path and ortools' solver on the same
chain.
"""

from __future__ import annotations

import resource
import time
from collections.abc import Callable
from itertools import product
from typing import NamedTuple

import numpy as np
from ortools.sat.python import cp_model
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra

from gripwright.neck import fingering, shapes
from gripwright.neck.effort import Player
from gripwright.neck.tuning import STANDARD_NECK, make_neck
from gripwright.theory.symbol import ChordSymbol, parse_symbol
from gripwright.voicing.arrange import Asked
from gripwright.voicing.change import change_costs, table_of
from gripwright.voicing.limits import Limits
from gripwright.voicing.path import Place, best_chain
from gripwright.voicing.rules import Wish, wish_for
from gripwright.voicing.search import Found, find_grips, pick_different
from gripwright.voicing.tunings import COMMON_TUNINGS, rank_tunings

WHOLE = Limits(frets=(0, 24))
ROOTS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
SONG = "Dm7 G7 Cmaj7 A7 D/F# Em7(b5) A7(b9) Dm9 G13 Cmaj9 Fmaj7 Bm7(b5) E7(#9) Am9 F#dim7"


def forget() -> None:
    """Clear what the fingering has kept."""
    for kept in (fingering.ways, fingering.best_way, shapes.holdings, shapes.hold):
        kept.cache_clear()


class Time(NamedTuple):
    """Seconds on the clock, and seconds of one core: they differ on a busy machine."""

    clock_s: float
    core_s: float


def best_of(runs: int, work: Callable[[], object], *, cold: bool = False) -> Time:
    """Return the shortest of some runs."""
    times = []
    for _ in range(runs):
        if cold:
            forget()
        clock, core = time.perf_counter(), time.process_time()
        work()
        times.append(Time(time.perf_counter() - clock, time.process_time() - core))
    return Time(min(t.clock_s for t in times), min(t.core_s for t in times))


def plain_search(wish: Wish, limits: Limits) -> int:
    """Count the grips before any hand, by multiplying out the strings in numpy (the peer)."""
    opens = np.array([STANDARD_NECK.midi(i, 0) for i in range(6)])
    allowed = np.array([pc in wish.allowed for pc in range(12)])
    total = 0
    for base in range(0, limits.frets[1] + 1):
        choices = []
        for midi in opens:
            frets = [-1, 0, *range(base, min(base + limits.span, limits.frets[1] + 1))]
            choices.append([f for f in dict.fromkeys(frets if base else (-1, 0))
                            if f < 0 or allowed[(midi + f) % 12]])  # fmt: skip
        grid = np.array(list(product(*choices)))
        midis = np.where(grid >= 0, grid + opens, 999)
        classes = np.where(grid >= 0, midis % 12, 12)
        good = np.all([(classes == pc).any(axis=1) for pc in wish.required], axis=0)
        good &= (grid == base).any(axis=1) if base else True
        low = midis.min(axis=1) % 12
        if wish.basses is not None:
            good &= np.isin(low, list(wish.basses))
        total += int(good.sum())
    return total


def with_scipy(places: list[Place]) -> float:
    """Return the cost of the best chain by scipy's shortest path over all candidates."""
    sizes = [len(place.candidates) for place in places]
    starts = np.concatenate([[1], 1 + np.cumsum(sizes)])
    rows, cols, costs = [], [], []
    own = [np.array([one.cost for one in place.candidates]) for place in places]
    rows.append(np.zeros(sizes[0], int)), cols.append(starts[0] + np.arange(sizes[0]))
    costs.append(own[0])
    tables = [table_of(place.candidates) for place in places]
    for index in range(1, len(places)):
        change = change_costs(tables[index - 1], tables[index], places[index].time_s)
        cost = change + own[index][None, :]
        i, j = np.indices(cost.shape)
        rows.append((starts[index - 1] + i).ravel()), cols.append((starts[index] + j).ravel())
        costs.append(cost.ravel())
    count = int(starts[-1])
    graph = coo_matrix((np.concatenate(costs), (np.concatenate(rows), np.concatenate(cols))),
                       (count, count)).tocsr()  # fmt: skip
    return float(dijkstra(graph, indices=0)[starts[-2] : starts[-1]].min())


def with_ortools(places: list[Place]) -> float:
    """Return the cost of the best chain as a circuit in CP-SAT."""
    model = cp_model.CpModel()
    cut = [place.candidates for place in places]
    own = [[one.cost for one in grips] for grips in cut]
    tables = [table_of(grips) for grips in cut]
    arcs, objective, nodes = [], [], 1
    starts = []
    for grips in cut:
        starts.append(nodes)
        nodes += len(grips)

    def arc(a: int, b: int, cost: float) -> None:
        literal = model.new_bool_var("")
        arcs.append((a, b, literal))
        objective.append(round(cost * 10_000) * literal)

    for i, cost in enumerate(own[0]):
        arc(0, starts[0] + i, cost)
    for index in range(1, len(cut)):
        change = change_costs(tables[index - 1], tables[index], places[index].time_s)
        for i, j in np.ndindex(change.shape):
            arc(starts[index - 1] + i, starts[index] + j, float(change[i, j]) + own[index][j])
    for i in range(len(cut[-1])):
        arc(starts[-1] + i, 0, 0.0)
    arcs += [(node, node, model.new_bool_var("")) for node in range(1, nodes)]
    model.add_circuit(arcs)
    model.minimize(sum(objective))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = 60
    solver.solve(model)
    return solver.objective_value / 10_000


def candidates(symbol: ChordSymbol, count: int) -> tuple[Found, ...]:
    """Return so many candidates of a symbol, best first."""
    found = find_grips(wish_for(symbol, any_bass=True), limits=WHOLE, symbol=symbol)
    return tuple(sorted(found, key=lambda one: one.cost)[:count])


def row(name: str, taken: Time, goal_s: float | None, note: str = "") -> None:
    """Print one measurement."""
    goal = f"{goal_s * 1000:8.0f}" if goal_s else " " * 8
    print(f"{name:56} {taken.clock_s * 1000:9.1f} {taken.core_s * 1000:9.1f} {goal}  {note}")


def main() -> None:
    """Print the table."""
    print(f"{'':56} {'ms':>9} {'core ms':>9} {'goal ms':>8}")
    symbol, thirteenth = parse_symbol("Cmaj7"), parse_symbol("C13")
    ten = best_of(5, lambda: pick_different(find_grips(symbol, limits=WHOLE), 10))
    row("ten fingered grips of Cmaj7, 24 frets, warm", ten, 0.010)
    wish = wish_for(thirteenth, rootless=True)
    five = Limits(frets=(0, 24), span=5)
    count = len(find_grips(wish, limits=five, symbol=thirteenth))
    every = best_of(3, lambda: find_grips(wish, limits=five, symbol=thirteenth), cold=True)
    row("every grip of C13, span 5, fingered and ranked, cold", every, 1.5, f"{count} grips")
    again = best_of(3, lambda: find_grips(wish, limits=five, symbol=thirteenth))
    row("the same, warm", again, None)
    peer = best_of(3, lambda: plain_search(wish, five))
    row("peer: numpy over all strings, no hand", peer, None, f"{plain_search(wish, five)} grips")
    symbols = [parse_symbol(root + kind) for kind in ("maj7", "m7", "7") for root in ROOTS]
    places = [Place(candidates(one, 200), 1.0) for one in symbols]
    print(f"{'path over 36 symbols:':56} {[len(p.candidates) for p in places][:3]} candidates ...")
    row("best chain, least total", best_of(5, lambda: best_chain(places)), 0.050)
    row(
        "best chain, easiest worst moment",
        best_of(5, lambda: best_chain(places, aim="worst")),
        None,
    )
    chain = best_chain(places)
    row("peer: scipy dijkstra", best_of(2, lambda: with_scipy(places)), None,
        f"cost {with_scipy(places):.3f}, ours {chain.cost:.3f}")  # fmt: skip
    small = [Place(place.candidates[:12], 1.0) for place in places[:12]]
    ours = best_of(5, lambda: best_chain(small))
    row("best chain, 12 symbols x 12", ours, None, f"cost {best_chain(small).cost:.3f}")
    costs: list[float] = []
    solved = best_of(1, lambda: costs.append(with_ortools(small)))
    row("peer: ortools, 12 symbols x 12", solved, None, f"cost {costs[0]:.3f}")
    asked = [Asked(parse_symbol(name)) for name in SONG.split() * 14][:200]
    necks = [make_neck(tuning) for tuning in COMMON_TUNINGS]
    tunings = best_of(1, lambda: rank_tunings(asked, Player(), necks), cold=True)
    row(f"200 chords in {len(necks)} common tunings, cold", tunings, 5.0)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory with the peers loaded: {peak:.0f} MB (goal for ours 300 MB)")


if __name__ == "__main__":
    main()
