"""A general solver as judge of class plans: CP-SAT, of the ortools package, on the tasks themselves, not on our operations.

It is let off one thing: a tutor may be booked as much as there is time. It keeps all else: needs and waits, nods,
stations, a seat's own machine, and the change of foot and thread before a step where somebody else sat there last.
"""

from itertools import pairwise

from guide.teach.model import CHANGE_S, NOD_S

CHANGE, NOD = round(CHANGE_S), round(NOD_S)


class Shop:
    """The model of a class without breaks, in one sitting; `begin`, a plan, is hinted at whole."""

    def __init__(self, course, works, begin) -> None:
        from ortools.sat.python import cp_model

        self.cp = cp_model
        self.model, self.course, self.begin = cp_model.CpModel(), course, begin
        self.opening = round(course.hours.opening_s)
        self.horizon = round(begin.ends_s)
        self.ends, self.stations, self.nods, self.nodes = {}, {}, [], []
        for s, work in enumerate(works):
            self._seat(s, work)
        for name, spans in self.stations.items():
            self.model.add_cumulative(spans, [1] * len(spans), course.stations[name])
        self.model.add_cumulative(self.nods, [1] * len(self.nods), course.tutors)
        self._machines(course.stations["machine"])

    def _var(self, hint: float):
        out = self.model.new_int_var(self.opening, self.horizon, "")
        self.model.add_hint(out, round(hint))
        return out

    def _lit(self, *, hint: bool):
        out = self.model.new_bool_var("")
        self.model.add_hint(out, hint)
        return out

    def _seat(self, s: int, work) -> None:
        model, here = self.model, []
        for i, task in enumerate(work):
            windows = [w for w in self.begin.seats[s].windows if w.step == task.key]
            spans = [w for w in windows if w.kind in {"work", "practice", "change"}]
            sews = task.station == "machine"
            start, end = self._var(spans[0].start_s), self._var(spans[-1].end_s)
            change = self._lit(hint=spans[0].kind == "change") if sews else 0
            takes = round(task.pieces * task.piece_s)
            size = takes + CHANGE * change
            span = model.new_interval_var(start, size, end, "")
            self.ends[s, i] = end
            here.append(span)
            begins = start
            if task.nod:
                begins = self._var(next(w.start_s for w in windows if w.kind == "nod"))
                here.append(model.new_fixed_size_interval_var(begins, NOD, ""))
                self.nods.append(here[-1])
                model.add(begins + NOD <= start)
            for need in task.needs:
                model.add(begins >= self.ends[s, need] + round(work[need].wait_s))
            if sews:
                self.nodes.append((s, start, end, span, change, spans[0].start_s))
            elif task.station in self.course.stations:
                self.stations.setdefault(task.station, []).append(span)
        model.add_no_overlap(here)

    def _machines(self, count: int) -> None:
        """At each machine a tour of the steps there says who follows whom, and where a change is."""
        model, seats = self.model, sorted({node[0] for node in self.nodes})
        sits = {s: self.begin.seats[s].machine - 1 for s in seats}
        at = {s: [self._lit(hint=sits[s] == u) for u in range(count)] for s in seats}
        for mine in at.values():
            model.add_exactly_one(mine)
        model.add_cumulative([node[3] for node in self.nodes], [1] * len(self.nodes), count)
        for u in range(count):
            tour = sorted((node[5], n) for n, node in enumerate(self.nodes, 1) if sits[node[0]] == u)
            chain = [0, *(n for _, n in tour), 0]
            follows = set(pairwise(chain)) if tour else {(0, 0)}
            empty = self._lit(hint=not tour)
            arcs = [(0, 0, empty)]
            for a, (s, _, end, _, change, _) in enumerate(self.nodes, 1):
                first = self._lit(hint=(0, a) in follows)
                arcs += [(a, a, ~at[s][u]), (0, a, first), (a, 0, self._lit(hint=(a, 0) in follows))]
                model.add_implication(empty, ~at[s][u])
                model.add_implication(first, ~change)
                for b, (t, begin, _, _, changes, _) in enumerate(self.nodes, 1):
                    if a != b:
                        then = self._lit(hint=(a, b) in follows)
                        arcs.append((a, b, then))
                        model.add(end <= begin).only_enforce_if(then)
                        model.add_implication(then, changes if s != t else ~changes)
            model.add_circuit(arcs)

    def solved(self, seconds: float) -> tuple[float, float]:
        """The end of the best plan found in so many s, and the bound that none can end before."""
        last = self._var(self.horizon)
        for end in self.ends.values():
            self.model.add(last >= end)
        self.model.minimize(last)
        solver = self.cp.CpSolver()
        solver.parameters.max_time_in_seconds = seconds
        solver.parameters.num_workers = 2
        solver.parameters.random_seed = 1
        found = solver.solve(self.model)
        if found == self.cp.UNKNOWN:  # no time even to begin
            return self.begin.ends_s, 0.0
        assert found in {self.cp.OPTIMAL, self.cp.FEASIBLE}
        return solver.objective_value, solver.best_objective_bound


def soonest(course, works, begin, seconds: float) -> tuple[float, float]:
    """What the solver finds in so many s from a plan it begins with: the end, and the bound that none can end before."""
    return Shop(course, works, begin).solved(seconds)
