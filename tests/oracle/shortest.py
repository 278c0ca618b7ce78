"""The shortest finish the rules of `src/schedule/verify` allow, job by job, by CP-SAT.

    shortest.py JOBS.json RESULTS.json            solve what is not proven there yet
    shortest.py JOBS.json RESULTS.json --again N  solve N of the quick jobs anew, fail on a difference

Written from the rules, not from the program: calendars, drying and pieces are counted here from the
weekly tables of JOBS.json. Every time is a whole minute; nothing is rounded to a grid.

Modelled to the minute
  Shift, Crew, Busy   joint hours of everybody on a run, closed house, noise hours; who and how many; begun and
                      ended on shift; nobody in two places
  Labor               thousandths of labor by the people's rates, a helper's slowing of those beside him in one run,
                      whole minutes a run, ten minutes to pick up again
  Fit, SetDown        pieces in one go within pauses of an hour; between two pieces to other work only where the next
                      does not fit; what may not be set down is done in one run
  LateStart           with no more left than half an hour or the set-up, only what fits
  Need, Gate          the five kinds of links with lags; deliveries, decisions, elapsed times
  Window, Earliest, Humidity, Air   when a step may begin
  Drying              stages by the air's table, slowed by one wet skim coat beside them for twelve hours
  Recoat              scuff-sanding where a recoat window has passed, within two minutes either way
  Dust, Closed, Racks dusty and wet apart in one air, a closed place, racks held to the stage of handling
  Trip                both ways at the head of a run, not across a long pause, the day's first place free
  methods             chosen with everything else

One rule is first left out and then made stricter than it is: a second change of place in a day (allowed only
where nothing else could begin). Where both answers are the same it does not matter; else `least` is the first,
`best` the second.

Narrower than the rules, by choice: a step that may be set down is worked on in at most RUNS runs; a piece is cut
where the program cuts it (verification leaves it a minute). Left out, and kept out of the jobs: two skim coats
damping a third, a helper beside others at another step, holds, reservations (verification does not judge them).
"""

import json
import multiprocessing
import os
import sys

from ortools.sat.python import cp_model

DAY = 1440
PAUSE = 60  # a longer pause ends a stretch of work
PICK_UP = 10
LEAST = 30
DAMP = 720
UNIT = 1_000_000
RUNS = 3
FAR = 400 * DAY
WORK = (1.0, float(os.environ.get("WORK", 15)))  # deterministic seconds a job: plain search, all in turn
QUICK = 0.5  # those solved again


class Calendar:
    """Minutes worked together: stretches, work before each, and the end of its block in work."""

    def __init__(self, job, people, place, noisy, horizon):
        spans = []
        for day in range(horizon // DAY + 2):
            both = None
            for w in people:
                own = dict(job["people"][w]["other"]).get(day, job["people"][w]["week"][day % 7])
                if place is not None and job["places"][place]["house"]:
                    if day in job["closed"]:
                        own = []
                    elif noisy and job["noise"]:
                        own = meet(own, [job["noise"]])
                both = own if both is None else meet(both, own)
            for a, b in both:
                if spans and spans[-1][1] == day * DAY + a:
                    spans[-1][1] = day * DAY + b
                else:
                    spans.append([day * DAY + a, day * DAY + b])
        self.spans, done = [], 0
        ends = []
        for k, (a, b) in enumerate(spans):
            self.spans.append((a, b, done))
            done += b - a
            ends.append(done)
        # Block ends from the back.
        self.block = [0] * len(spans)
        for k in reversed(range(len(spans))):
            joined = k + 1 < len(spans) and spans[k + 1][0] - spans[k][1] <= PAUSE
            self.block[k] = self.block[k + 1] if joined else ends[k]
        self.total = done


def meet(a, b):
    out = [[max(x[0], y[0]), min(x[1], y[1])] for x in a for y in b]
    return sorted(x for x in out if x[1] > x[0])


class Speed:
    """A speed for every stretch of minutes, from a place's hours: progress and its inverse."""

    def __init__(self, place, work, off, horizon):
        self.cuts = [0]  # first minutes
        self.speeds = []
        self.sums = [0]  # progress at each cut
        for day in range(horizon // DAY + 2):
            a, b = place["hours"]
            parts = [(0, a, off), (a, b, work), (b, DAY, off)] if place["days"][day % 7] and b > a else [(0, DAY, off)]
            for x, y, v in parts:
                if y > x:
                    self.speeds.append(v)
                    self.cuts.append(day * DAY + y)
                    self.sums.append(self.sums[-1] + v * (y - x))

    def pieces(self, horizon):
        """(from, to, progress at from, speed) up to the horizon."""
        for k, v in enumerate(self.speeds):
            if self.cuts[k] < horizon:
                yield self.cuts[k], min(self.cuts[k + 1], horizon), self.sums[k], v

    def reach(self, need, horizon):
        """Stretches of minutes `l` with what the first minute `u` at which `need` is done after `l` satisfies:
        (from, to, None) where it is the horizon or later, else (from, to, (p, q, r)) with p*u >= q*l + r."""
        own = list(self.pieces(horizon))
        out = []
        for a, b, base, v in own:
            # `l` in [a, b): progress wanted runs from base + need.
            at = a
            for c, d, sum_, w in own:
                if w == 0 or at >= b:
                    continue
                # Reached in (c, d]: wanted in (sum_, sum_ + w * (d - c)].
                top = sum_ + w * (d - c)
                if v == 0:
                    if sum_ < base + need <= top:
                        out.append((at, b, self.line(w, 0, c, sum_, base + need)))
                        at = b
                    continue
                last = a + (top - need - base) // v  # the last `l` reached by then
                to = min(b, last + 1)
                if to > at and base + v * (at - a) + need > sum_:
                    out.append((at, to, self.line(w, v, c, sum_, base + need - v * a)))
                    at = to
            if at < b:
                out.append((at, b, None))
        return out

    @staticmethod
    def line(w, v, c, sum_, want):
        """sum_ + w (u - c) >= want + v l."""
        return (w, v, want - sum_ + w * c)


class Model:
    def __init__(self, job, by, strict=False, runs=RUNS, loose=False):
        """`strict`: no second change of place in a day. `loose`: no trips, no damp air, for bounds of larger jobs."""
        self.job, self.by, self.strict, self.runs_most, self.loose = job, by, strict, runs, loose
        self.m = cp_model.CpModel()
        self.steps = job["steps"]
        self.calendars = {}
        self.speeds = {}
        self.methods = [[self.m.new_bool_var("") for _ in range(max(1, n))] for n, _ in job["methods"]]
        for options, (_, fixed) in zip(self.methods, job["methods"]):
            self.m.add_exactly_one(options)
            if fixed is not None:
                self.m.add(options[fixed] == 1)
        self.one = self.m.new_constant(1)
        self.finish = self.m.new_int_var(0, by, "finish")
        self.here = [self.present(s) for s in self.steps]
        self.begin, self.laid, self.end = {}, {}, {}
        self.runs = {}  # step -> list of runs
        self.needed = self.leads_to_labor()
        for i, s in enumerate(self.steps):
            if s is None or i not in self.needed:
                continue
            if "who" in s:
                self.labor(i, s)
            else:
                self.gate(i, s)
        self.links()
        self.scuffs()
        self.order = self.precedes()
        self.people()
        self.interrupters()
        self.load()
        self.between()
        self.trips()
        self.air()
        self.closed()
        self.racks()
        self.m.minimize(self.finish)

    # -- presence and calendars

    def present(self, s):
        if s is None:
            return None
        if "scuff" in s:
            there = self.m.new_bool_var("scuff")
            for c, o in s.get("when", []):
                self.m.add_implication(there, self.methods[c][o])
            return there
        return self.all_of([self.methods[c][o] for c, o in s.get("when", [])])

    def all_of(self, literals):
        literals = [x for x in literals if x is not self.one]
        if not literals:
            return self.one
        if len(literals) == 1:
            return literals[0]
        b = self.m.new_bool_var("")
        self.m.add_bool_and(literals).only_enforce_if(b)
        self.m.add_bool_or([b] + [x.negated() for x in literals])
        return b

    def leads_to_labor(self):
        """Steps that bear on labor; the others may happen whenever they like."""
        need = {i for i, s in enumerate(self.steps) if s and "who" in s}
        while True:
            more = {l["from"] for l in self.job["links"] if l["to"] in need} - need
            if not more:
                return need
            need |= more

    def calendar(self, people, s):
        place = s.get("place")
        house = place is not None and self.job["places"][place]["house"]
        key = (people, house, house and "noisy" in s["flags"])
        if key not in self.calendars:
            self.calendars[key] = Calendar(self.job, people, place if house else None, key[2], self.by)
        return self.calendars[key]

    def may_begin(self, s, most):
        """Minutes at which a step may begin, other steps apart; from the horizon on all."""
        place = s.get("place")
        minutes = []
        for day in range(self.by // DAY + 1):
            spans = [[0, DAY]]
            if "windows" in s:
                spans = [[a, b] for days, d, a, b in s["windows"] if (days[day % 7] if d is None else d == day)]
            if "may" in s and place is not None:
                a, b = self.job["places"][place]["hours"]
                inside = [[a, b]] if self.job["places"][place]["days"][day % 7] and b > a else []
                outside = [[0, a], [b, DAY]] if inside else [[0, DAY]]
                spans = meet(spans, (inside if s["may"][0] else []) + (outside if s["may"][1] else []))
            minutes += [[day * DAY + a, day * DAY + b - 1] for a, b in spans if b > a]
        first = s.get("earliest", 0)
        minutes = [[max(a, first), min(b, self.by - 1)] for a, b in minutes if b >= first and a < self.by]
        minutes = [x for x in minutes if x[0] <= x[1]]
        if most > self.by:
            minutes.append([self.by, most])
        return cp_model.Domain.from_intervals(minutes)

    # -- steps

    def gate(self, i, s):
        m = self.m
        begin = m.new_int_var_from_domain(self.may_begin(s, FAR), "")
        end = m.new_int_var(0, 2 * FAR, "")
        if "elapsed" in s:
            m.add(end >= begin + s["elapsed"])
        elif "decided" in s:
            m.add(end >= begin)
            m.add(end >= s["decided"])
        else:
            b = self.job["business"]
            other = dict(b["other"])
            speed = Speed.__new__(Speed)
            speed.cuts, speed.speeds, speed.sums = [0], [], [0]
            for day in range(self.by // DAY + 2):
                v = 1 if other.get(day, b["week"][day % 7]) else 0
                speed.speeds.append(v)
                speed.cuts.append((day + 1) * DAY)
                speed.sums.append(speed.sums[-1] + v * DAY)
            self.after(speed, s["business"], begin, end, [])
        self.begin[i], self.laid[i], self.end[i] = begin, end, end

    def labor(self, i, s):
        m = self.m
        here = self.here[i]
        total = sum(s["pieces"])
        one_go, set_down = "one_go" in s["flags"], "set_down" in s["flags"]
        count = len(s["pieces"]) if one_go else self.runs_most if set_down else 1
        lo, hi = s["hands"]
        sets = [()]
        for w in s["who"]:
            sets += [x + (w,) for x in sets]
        sets = [x for x in sets if lo <= len(x) <= hi]
        runs, done = [], []
        for k in range(count):
            r = {"step": i, "piece": k if one_go else 0, "k": k}
            r["here"] = here if one_go or k == 0 else m.new_bool_var("")
            r["s"], r["e"] = m.new_int_var(0, self.by - 1, ""), m.new_int_var(0, self.by, "")
            r["ws"], r["we"] = m.new_int_var(0, self.by, ""), m.new_int_var(0, self.by, "")
            r["trip"] = m.new_int_var(0, 4 * max(self.job["away"], default=0), "") if self.far() else 0
            r["sets"] = {x: m.new_bool_var("") for x in sets}
            m.add(sum(r["sets"].values()) == r["here"])
            if runs and not one_go:
                m.add_implication(r["here"], runs[-1]["here"])
                m.add(r["e"] == 0).only_enforce_if(r["here"].negated())
                m.add(r["s"] == 0).only_enforce_if(r["here"].negated())
            if runs:
                m.add(r["s"] >= runs[-1]["e"]).only_enforce_if(r["here"])
            r["starts"], r["ends"] = [], []
            r["own_s"] = {w: m.new_int_var(0, self.own_before(w, self.by), "") for w in s["who"]}
            r["own_e"] = {w: m.new_int_var(0, self.own_before(w, self.by), "") for w in s["who"]}
            least = max(LEAST, s.get("setup", 0) if k == 0 else 0)
            early = m.new_bool_var("")
            pick = 0 if k == 0 or one_go else PICK_UP * 1000
            if one_go:
                r["done"] = s["pieces"][k]
            elif set_down:
                r["done"] = m.new_int_var(0, total, "")
                m.add(r["done"] >= 1).only_enforce_if(r["here"])
                m.add(r["done"] == 0).only_enforce_if(r["here"].negated())
            else:
                r["done"] = total
            left = total - sum(done)
            r["pick"] = pick
            r["work"] = m.new_int_var(0, self.by, "")
            # The same without a condition, for the linear relaxation.
            rates = {x: self.rate(x, s) for x in sets}
            if isinstance(r["done"], int):
                m.add(r["work"] == sum(-(-r["done"] // rates[x]) * there for x, there in r["sets"].items()))
            else:
                m.add(max(rates.values()) * r["work"] >= r["done"] + pick * r["here"])
                m.add(r["work"] <= self.by * r["here"])
            if self.far():
                m.add(r["trip"] <= 4 * max(self.job["away"]) * r["here"])
            for people, there in r["sets"].items():
                cal = self.calendar(people, s)
                own = [x for x in range(len(cal.spans)) if cal.spans[x][0] < self.by]
                rate = self.rate(people, s)
                m.add(r["we"] == r["ws"] + r["trip"] + r["work"]).only_enforce_if(there)
                if set_down and not one_go:
                    m.add(r["done"] + pick <= rate * r["work"]).only_enforce_if(there)
                    m.add(r["done"] + pick > rate * r["work"] - rate).only_enforce_if(there)
                xs, ys = [], []
                for j in own:
                    a, b, before = cal.spans[j]
                    x, y = m.new_bool_var(""), m.new_bool_var("")
                    m.add_linear_constraint(r["s"], a, b - 1).only_enforce_if(x)
                    m.add(r["ws"] == r["s"] - a + before).only_enforce_if(x)
                    m.add_linear_constraint(r["e"], a + 1, b).only_enforce_if(y)
                    m.add(r["we"] == r["e"] - a + before).only_enforce_if(y)
                    block = cal.block[j]
                    if self.far():
                        m.add(r["ws"] + r["trip"] <= block).only_enforce_if(x)
                    if one_go:
                        m.add(r["we"] <= block).only_enforce_if(x)
                    else:
                        m.add(r["ws"] <= block - least - 1).only_enforce_if(x, early)
                        plain = sum(self.job["people"][w]["rate"] for w in people)
                        m.add(plain * (block - r["ws"] - r["trip"]) >= left + pick).only_enforce_if(x, early.negated())
                    xs.append(x)
                    ys.append(y)
                    r["starts"].append((x, a // DAY, people, j))
                    r["ends"].append((y, (b - 1) // DAY, people, j))
                    for w in people:
                        # The same minute counted in the whole working time of one person.
                        base = self.own_before(w, a)
                        m.add(r["own_s"][w] == r["s"] - a + base).only_enforce_if(x)
                        m.add(r["own_e"][w] == r["e"] - a + base).only_enforce_if(y)
                m.add(sum(xs) == there)
                m.add(sum(ys) == there)
            m.add(self.finish >= r["e"])
            done.append(r["done"])
            runs.append(r)
        if set_down and not one_go:
            m.add(sum(done) == total * here)
        self.runs[i] = runs
        self.begin[i] = runs[0]["s"]
        begins = self.may_begin(s, 0)
        m.add_linear_expression_in_domain(runs[0]["s"], begins).only_enforce_if(here)
        if len(runs) == 1 or one_go:
            self.laid[i] = runs[-1]["e"]
        else:
            self.laid[i] = m.new_int_var(0, self.by, "")
            m.add_max_equality(self.laid[i], [r["e"] for r in runs])
        held = any(l["to"] == i and l["ask"].startswith("end_after") for l in self.job["links"])
        self.end[i] = self.laid[i]
        if held:
            self.end[i] = m.new_int_var(0, 3 * FAR, "")
            m.add(self.end[i] >= self.laid[i])

    def rate(self, people, s):
        p = self.job["people"]
        helped = lambda w: s.get("place") is not None and any(h != w and p[h]["helper"] for h in people)
        return sum(p[w]["rate"] * 900 // 1000 if helped(w) else p[w]["rate"] for w in people)

    def far(self):
        return not self.loose and self.trip_between() > 0

    def trip_between(self):
        at = {s["place"] for s in self.steps if s and "who" in s and "place" in s}
        return max((self.trip(a, b) for a in at for b in at), default=0)

    def trip(self, a, b):
        x, y = self.job["places"][a]["base"], self.job["places"][b]["base"]
        return 0 if x == y else 2 * (self.job["away"][x] + self.job["away"][y])

    # -- links and drying

    def after(self, speed, need, l, u, when, lag=0):
        """u >= reach(l, need) + lag where all of `when` hold."""
        m = self.m
        parts = []
        for a, b, line in speed.reach(need, self.by):
            x = m.new_bool_var("")
            m.add_linear_constraint(l, a, b - 1).only_enforce_if(x)
            if line is None:
                m.add(u >= self.by).only_enforce_if(x)
            else:
                p, q, r = line
                if p == q:
                    m.add(u - lag >= l + -(-r // p)).only_enforce_if(x)
                elif q == 0:
                    m.add(u - lag >= -(-r // p)).only_enforce_if(x)
                else:
                    m.add(p * (u - lag) >= q * l + r).only_enforce_if(x)
            parts.append(x)
        x = m.new_bool_var("")
        m.add(l >= self.by).only_enforce_if(x)
        m.add(u >= self.by).only_enforce_if(x)
        m.add_exactly_one(parts + [x]).only_enforce_if(when) if when else m.add_exactly_one(parts + [x])

    def speed(self, place, work, off):
        key = (place, work, off)
        if key not in self.speeds:
            self.speeds[key] = Speed(self.job["places"][place], work, off, self.by + 2 * DAY)
        return self.speeds[key]

    def ready(self, i, stage):
        """When the coat of a step has reached a stage, not before."""
        if (i, stage) in self.__dict__.setdefault("stages", {}):
            return self.stages[i, stage]
        m, s = self.m, self.steps[i]
        u = m.new_int_var(0, 3 * FAR, "")
        self.stages[i, stage] = u
        work, off, damp_work, damp_off = s["dry"][stage]["speeds"]
        need = s["dry"][stage]["minutes"] * UNIT
        speed = self.speed(s["place"], work, off)
        here = self.here[i]
        dampers = s.get("damped_by", [])
        if self.loose and max(damp_work - work, damp_off - off) > 0:
            raise ValueError("damp air quickens it")
        if self.loose or not dampers or (damp_work, damp_off) == (work, off):
            self.after(speed, need, self.laid[i], u, [here])
            return u
        if len(dampers) > 1:
            raise ValueError("two skim coats damp one coat")
        j = dampers[0]
        l, d = self.laid[i], self.laid[j]
        # Untouched: the damp is over before, or begins after; or the other is no part of it.
        touched = m.new_bool_var("")
        m.add_implication(touched, self.here[j])
        m.add_implication(touched, here)
        over, later = m.new_bool_var(""), m.new_bool_var("")
        m.add(d + DAMP <= l).only_enforce_if(over)
        m.add(d >= u).only_enforce_if(later)
        m.add_bool_or([touched, over, later, self.here[j].negated(), here.negated()])
        dry = self.all_of([here, touched.negated()])
        self.after(speed, need, l, u, [dry])
        # Touched: progress less what the damp takes between `o1` and `o2`.
        late = m.new_bool_var("")
        m.add(u >= self.by).only_enforce_if(late)
        o1, o2, to = (m.new_int_var(0, 4 * FAR, "") for _ in range(3))
        m.add_max_equality(o1, [l, d])
        m.add_min_equality(to, [u, d + DAMP])
        m.add_max_equality(o2, [o1, to])
        wet = self.speed(s["place"], damp_work, damp_off)
        counted = self.all_of([touched, late.negated()])
        P = lambda t: self.value(speed, None, t, counted)
        Q = lambda t: self.value(speed, wet, t, counted)
        m.add(P(u) - P(l) - Q(o2) + Q(o1) >= need).only_enforce_if(counted)
        return u

    def value(self, speed, less, t, when):
        """Progress to the minute `t`, less that of another speed with the same cuts."""
        m = self.m
        out = m.new_int_var(-(10**13), 10**13, "")
        parts = []
        for k, (a, b, base, v) in enumerate(speed.pieces(self.by + DAY)):
            if less:
                base, v = base - less.sums[k], v - less.speeds[k]
            x = m.new_bool_var("")
            m.add_linear_constraint(t, a, b - 1).only_enforce_if(x)
            m.add(out == base + v * (t - a)).only_enforce_if(x)
            parts.append(x)
        m.add_exactly_one(parts).only_enforce_if(when)
        return out

    def links(self):
        m = self.m
        for l in self.job["links"]:
            a, b = l["from"], l["to"]
            if b not in self.needed or a not in self.needed:
                continue
            when = self.all_of([self.methods[c][o] for c, o in l.get("when", [])] + [self.here[a], self.here[b]])
            ask, lag = l["ask"], l["lag"]
            if ask == "begun":
                rule = m.add(self.begin[b] >= self.begin[a] + lag)
            elif ask == "end_after_end":
                rule = m.add(self.end[b] >= self.end[a] + lag)
            elif ask == "end_after_begin":
                rule = m.add(self.end[b] >= self.begin[a] + lag)
            elif ask != "done" and ask in self.steps[a].get("dry", {}):
                rule = m.add(self.begin[b] >= self.ready(a, ask) + lag)
            else:
                rule = m.add(self.begin[b] >= self.end[a] + lag)
            rule.only_enforce_if(when)

    def scuffs(self):
        """Scuff-sanding where the recoat window of a link into `b` has passed, only there."""
        m = self.m
        for x, s in enumerate(self.steps):
            if s is None or "scuff" not in s:
                continue
            b = s["scuff"]
            m.add(self.begin[b] >= self.end[x]).only_enforce_if(self.here[x])
            m.add_implication(self.here[x], self.here[b])
            windows = [l for l in self.job["links"] if l["to"] == b and "longest" in l]
            if not windows:
                m.add(self.here[x] == 0)
            for l in windows:
                a, (minutes, work, off) = l["from"], l["longest"]
                when = [self.methods[c][o] for c, o in l.get("when", [])] + [self.here[a], self.here[b]]
                speed = self.speed(self.steps[a]["place"], work, off)
                # Passed for certain, and possibly passed.
                u = m.new_int_var(0, 3 * FAR, "")
                self.before(speed, (minutes + 2) * UNIT + 1, self.end[a], self.begin[b],
                            when + [self.here[x].negated()])
                self.after(speed, (minutes - 2) * UNIT + 1, self.end[a], u, when + [self.here[x]])
                m.add(self.begin[x] >= u).only_enforce_if(when + [self.here[x]])
            for l in windows:
                m.add_implication(self.here[x], self.here[l["from"]])

    def before(self, speed, need, l, t, when):
        """t < reach(l, need) where all of `when` hold."""
        m = self.m
        parts = []
        for a, b, line in speed.reach(need, self.by):
            x = m.new_bool_var("")
            m.add_linear_constraint(l, a, b - 1).only_enforce_if(x)
            if line is not None:
                p, q, r = line
                m.add(p * t < q * l + r).only_enforce_if(x)
            parts.append(x)
        m.add_exactly_one(parts).only_enforce_if(when)

    # -- people

    def all_runs(self):
        return [r for i in self.runs for r in self.runs[i]]

    def has(self, r, w):
        return [x for people, x in r["sets"].items() if w in people]

    def people(self):
        m = self.m
        for w in range(len(self.job["people"])):
            spans, own = [], []
            for r in self.all_runs():
                sets = self.has(r, w)
                if not sets:
                    continue
                there = r["here"] if len(sets) == len(r["sets"]) else m.new_bool_var("")
                if there is not r["here"]:
                    m.add(sum(sets) == there)
                r.setdefault("with", {})[w] = there
                size = m.new_int_var(0, self.by, "")
                spans.append(m.new_optional_interval_var(r["s"], size, r["e"], there, ""))
                # Follows from the above; counted in his own working minutes it is plainer to see.
                least = m.new_int_var(1, self.by, "")
                m.add(least >= r["work"] + r["trip"])
                own.append(m.new_optional_interval_var(r["own_s"][w], least, r["own_e"][w], there, ""))
            m.add_no_overlap(spans)
            m.add_no_overlap(own)

    def own_before(self, w, t):
        """Working minutes of one person before a minute."""
        key = ("own", w)
        if key not in self.calendars:
            self.calendars[key] = Calendar(self.job, (w,), None, False, self.by)
        return sum(min(b, t) - a for a, b, _ in self.calendars[key].spans if a < t)

    def precedes(self):
        """Steps that are done before others begin whenever both are there."""
        n = len(self.steps)
        order = set()
        for l in self.job["links"]:
            a, b = self.steps[l["from"]], self.steps[l["to"]]
            both = {tuple(x) for x in a.get("when", []) + b.get("when", [])}
            if not l["ask"].startswith(("begun", "end_after")) and {tuple(x) for x in l.get("when", [])} <= both:
                order.add((l["from"], l["to"]))
        # Through steps that are always there.
        for k in range(n):
            if self.here[k] is self.one:
                order |= {(a, b) for a, x in list(order) if x == k for y, b in list(order) if y == k}
        return order

    def interrupters(self):
        """A step is set down only for another begun before it is picked up by the same people again: without one
        both runs are one, sooner done and without picking up. No answer is lost."""
        m = self.m
        for i, runs in self.runs.items():
            if "one_go" in self.steps[i]["flags"] or "dry" in self.steps[i]:
                continue
            for r, nxt in zip(runs, runs[1:]):
                found = []
                for people in r["sets"]:
                    if len(r["sets"]) > 1:
                        other = m.new_bool_var("")
                        m.add_implication(other, r["sets"][people])
                        m.add_implication(other, nxt["sets"][people].negated())
                        found.append(other)
                for o in self.all_runs():
                    if o["step"] == i or (o["step"], i) in self.order or (i, o["step"]) in self.order:
                        continue
                    for w in set(r.get("with", {})) & set(o.get("with", {})):
                        x = m.new_bool_var("")
                        m.add_implication(x, o["with"][w])
                        m.add_implication(x, r["with"][w])
                        m.add(o["s"] >= r["e"]).only_enforce_if(x)
                        m.add(o["s"] < nxt["s"]).only_enforce_if(x)
                        found.append(x)
                m.add_bool_or(found + [nxt["here"].negated()])

    def load(self):
        """What follows for the finish from the labor alone: everybody's working minutes by then hold it."""
        m = self.m
        lasts = []
        for w, p in enumerate(self.job["people"]):
            last = m.new_int_var(0, self.own_before(w, self.by), "")
            parts = [m.new_bool_var("")]
            m.add(last == 0).only_enforce_if(parts[0])
            for a, b, before in self.calendar_of(w).spans:
                if a < self.by:
                    z = m.new_bool_var("")
                    m.add_linear_constraint(last, before + 1, before + b - a).only_enforce_if(z)
                    m.add(self.finish >= last - before + a).only_enforce_if(z)
                    parts.append(z)
            m.add_exactly_one(parts)
            alone = [r for r in self.all_runs() if set(r.get("with", {})) == {w}]
            for r in self.all_runs():
                if w in r.get("with", {}):
                    m.add(last >= r["own_e"][w]).only_enforce_if(r["with"][w])
            m.add(last >= sum(r["work"] + r["trip"] for r in alone))
            lasts.append(p["rate"] * last)
        m.add(sum(lasts) >= sum(r["done"] * r["here"] if isinstance(r["done"], int) else r["done"] + r["pick"] * r["here"]
                                for r in self.all_runs()))

    def calendar_of(self, w):
        self.own_before(w, 0)
        return self.calendars["own", w]

    def between(self):
        """Between two pieces to other work only if the next did not fit before the next long pause."""
        m = self.m
        for i, runs in self.runs.items():
            s = self.steps[i]
            if "one_go" not in s["flags"]:
                continue
            for r, nxt in zip(runs, runs[1:]):
                stays = m.new_bool_var("")
                fits_not = m.new_bool_var("")
                for y, _, people, j in r["ends"]:
                    cal = self.calendar(people, s)
                    a, b, _ = cal.spans[j]
                    rate = sum(self.job["people"][w]["rate"] * 900 // 1000 for w in people)
                    need = (nxt["done"] + rate - 1) // max(rate, 1)
                    m.add(r["we"] > cal.block[j] - need).only_enforce_if(y, stays.negated(), fits_not)
                    m.add(r["e"] == b).only_enforce_if(y, stays.negated(), fits_not.negated())
                for o in self.all_runs():
                    if o["step"] == i:
                        continue
                    for w, there in r.get("with", {}).items():
                        if w not in o.get("with", {}):
                            continue
                        before = m.new_bool_var("")
                        m.add(o["s"] < r["e"]).only_enforce_if(stays, there, o["with"][w], before)
                        m.add(o["s"] >= nxt["s"]).only_enforce_if(stays, there, o["with"][w], before.negated())

    def trips(self):
        """Who goes where after what; a change of place on one day costs the way back and forth."""
        m = self.m
        if not self.far():
            return
        runs = self.all_runs()
        first = {id(r): k for k, r in enumerate(runs)}
        for r in runs:
            r["day"], r["last_day"] = m.new_int_var(0, FAR, ""), m.new_int_var(0, FAR, "")
            m.add(r["day"] == sum(x * d for x, d, _, _ in r["starts"]))
            m.add(r["last_day"] == sum(x * d for x, d, _, _ in r["ends"]))
            r["trips"] = []
        for w in range(len(self.job["people"])):
            own = [r for r in runs if w in r.get("with", {})]
            arcs = [(0, 0, m.new_bool_var(""))]
            ways = {}
            for b in own:
                n = 1 + first[id(b)]
                arcs += [(n, n, b["with"][w].negated()), (n, 0, m.new_bool_var(""))]
                head = m.new_bool_var("")
                arcs.append((0, n, head))
                way = m.new_int_var(0, 4 * max(self.job["away"]), "")
                ways[n] = way
                m.add(way == 0).only_enforce_if(head)
                m.add(way == 0).only_enforce_if(b["with"][w].negated())
                for a in own:
                    if a is b or (b["step"], a["step"]) in self.order or a["step"] == b["step"] and a["k"] > b["k"]:
                        continue
                    arc = m.new_bool_var("")
                    arcs.append((1 + first[id(a)], n, arc))
                    m.add(b["s"] >= a["e"]).only_enforce_if(arc)
                    t = self.trip(self.steps[a["step"]]["place"], self.steps[b["step"]]["place"])
                    if t == 0:
                        m.add(way == 0).only_enforce_if(arc)
                        continue
                    same = m.new_bool_var("")
                    m.add(b["day"] == a["last_day"]).only_enforce_if(arc, same)
                    m.add(way == t).only_enforce_if(arc, same)
                    m.add(b["day"] > a["last_day"]).only_enforce_if(arc, same.negated())
                    m.add(way == 0).only_enforce_if(arc, same.negated())
                b["trips"].append(way)
            m.add_circuit(arcs)
            if self.strict:
                for day in range(self.by // DAY + 1):
                    changes = []
                    for b in own:
                        on = [x for x, d, _, _ in b["starts"] if d == day]
                        c = m.new_bool_var("")
                        m.add(ways[1 + first[id(b)]] == 0).only_enforce_if(
                            self.all_of([sum_bool(m, on), c.negated()]))
                        changes.append(c)
                    m.add(sum(changes) <= 1)
        for r in runs:
            m.add_max_equality(r["trip"], r["trips"] + [0])

    # -- places

    def both(self, i, j):
        return [x for x in {self.here[i], self.here[j]} if x is not self.one]

    def apart(self, i, until_i, j, until_j):
        """One is over, to its own end, before the other begins."""
        first = self.m.new_bool_var("")
        both = [self.here[i], self.here[j]]
        self.m.add(self.begin[j] >= until_i).only_enforce_if(both + [first])
        self.m.add(self.begin[i] >= until_j).only_enforce_if(both + [first.negated()])

    def free(self, i):
        """Dust-free, or laid where the coat has no such stage."""
        return self.ready(i, "dust_free") if "dust_free" in self.steps[i].get("dry", {}) else self.laid[i]

    def air(self):
        for d in self.runs:
            for w in self.runs:
                a, b = self.steps[d], self.steps[w]
                if d == w or "dusty" not in a["flags"] or not b.get("wet") or "place" not in a:
                    continue
                at, to = self.job["places"][a["place"]], self.job["places"][b["place"]]
                if at["air"] == to["air"]:
                    self.apart(d, self.laid[d] + at["settle"], w, self.free(w))

    def closed(self):
        for c in self.runs:
            for o in self.runs:
                a, b = self.steps[c], self.steps[o]
                if c == o or "closes" not in a["flags"] or "place" not in a or a["place"] != b.get("place"):
                    continue
                self.apart(c, self.free(c), o, self.laid[o])

    def racks(self):
        m = self.m
        for p, place in enumerate(self.job["places"]):
            held = [i for i in self.runs if self.steps[i].get("place") == p and self.steps[i].get("racks", 0) > 0]
            if place["racks"] is None or not held:
                continue
            spans = []
            for i in held:
                until = self.ready(i, "handle") if "handle" in self.steps[i].get("dry", {}) else self.laid[i]
                size = m.new_int_var(0, 3 * FAR, "")
                spans.append(m.new_optional_interval_var(self.begin[i], size, until, self.here[i], ""))
            m.add_cumulative(spans, [self.steps[i]["racks"] for i in held], place["racks"])


def sum_bool(m, literals):
    b = m.new_bool_var("")
    m.add(sum(literals) == b)
    return b


def solve(model, log=False, seconds=None):
    """The plain search first, then all of them in turn, one thread, with so much deterministic work each."""
    spent = 0.0
    for turns, work in ((False, WORK[0]), (True, WORK[1])):
        solver = cp_model.CpSolver()
        p = solver.parameters
        p.num_workers, p.random_seed = 1, 1
        p.interleave_search, p.log_search_progress = turns, log
        p.max_deterministic_time = work
        if seconds:
            p.max_time_in_seconds, p.max_deterministic_time = seconds, 1e9
        status = solver.solve(model.m)
        spent += solver.response_proto.deterministic_time
        if status == cp_model.OPTIMAL:
            break
        if status == cp_model.FEASIBLE:
            model.m.clear_hints()
            for k in range(len(model.m.proto.variables)):
                model.m.add_hint(model.m.get_int_var_from_proto_index(k), solver.response_proto.solution[k])
    return solver, solver.status_name(status), spent


def plan(model, solver):
    """The runs of the answer and the methods."""
    runs = []
    changes = {}
    for r in sorted(model.all_runs(), key=lambda r: (solver.value(r["s"]), r["step"])):
        if not solver.value(r["here"]):
            continue
        people = next(p for p, x in r["sets"].items() if solver.value(x))
        trip = solver.value(r["trip"]) if model.far() else 0
        pick = r["pick"] // 1000
        done = solver.value(r["done"]) + r["pick"]
        runs.append([r["step"], solver.value(r["s"]), solver.value(r["e"]), list(people), r["piece"], trip, done, pick])
        if trip:
            for w in people:
                key = (w, solver.value(r["s"]) // DAY)
                changes[key] = changes.get(key, 0) + 1
    methods = [next(k for k, x in enumerate(o) if solver.value(x)) for o in model.methods]
    return runs, methods, max(changes.values(), default=0) > 1


def answer(entry, runs=RUNS):
    out = {"name": entry["name"], "hash": entry["hash"]}
    model = Model(entry["job"], entry["by"], runs=runs)
    solver, status, spent = solve(model)
    if status not in ("OPTIMAL", "FEASIBLE"):
        return out | {"status": status}
    out["least"] = round(solver.best_objective_bound)
    out["best"] = round(solver.objective_value)
    out["methods"], out["runs"] = None, None
    out["runs"], out["methods"], twice = plan(model, solver)
    if twice:
        model = Model(entry["job"], entry["by"], strict=True, runs=runs)
        solver, status, more = solve(model)
        spent += more
        if status not in ("OPTIMAL", "FEASIBLE"):
            return out | {"status": status, "strict": True}
        out["best"] = round(solver.objective_value)
        out["runs"], out["methods"], _ = plan(model, solver)
    out["work"] = round(spent, 1)
    return out


def main():
    jobs = json.load(open(sys.argv[1]))
    if "--again" in sys.argv:
        stored = {j["name"]: j for j in json.load(open(sys.argv[2]))["jobs"]}
        quick = [e for e in jobs if stored.get(e["name"], {}).get("work", QUICK + 1) <= QUICK]
        most = int(sys.argv[sys.argv.index("--again") + 1])
        # A job stored otherwise than it stands is solved again in any case.
        quick += [e for e in jobs if stored.get(e["name"], {}).get("hash") != e["hash"] and e not in quick]
        jobs = quick[:: max(1, -(-len(quick) // most))]
        wrong = 0
        for got in each(jobs):
            want = stored.get(got["name"], {})
            same = all(got.get(k) == want.get(k) for k in ("hash", "least", "best"))
            wrong += not same
            if not same:
                print(f"{got['name']}: stored {want}, now {got}", file=sys.stderr)
        print(f"shortest: {len(jobs)} jobs solved again, {wrong} differ")
        sys.exit(wrong > 0)
    # What was proven of the same job before stands.
    known = {}
    if os.path.exists(sys.argv[2]):
        known = {j["name"]: j for j in json.load(open(sys.argv[2]))["jobs"] if j.get("least", 0) == j.get("best", 1)}
    same = lambda e: known.get(e["name"], {}).get("hash") == e["hash"]
    out = {e["name"]: known[e["name"]] for e in jobs if same(e)}
    for j in each([e for e in jobs if not same(e)]):
        out[j["name"]] = j
        if j.get("least", 0) != j.get("best", 1):
            print(j["name"], {k: v for k, v in j.items() if k != "runs"}, file=sys.stderr, flush=True)
        lines = ",\n".join(json.dumps(out[e["name"]], separators=(",", ":")) for e in jobs if e["name"] in out)
        with open(sys.argv[2], "w") as f:
            f.write('{"jobs":[\n' + lines + "\n]}\n")


def each(jobs):
    with multiprocessing.Pool(2) as pool:
        yield from pool.imap_unordered(answer, jobs)


if __name__ == "__main__":
    main()
