"""CPM of random networks by longest paths (networkx): early and late dates, total and free float.

    networks.py OUT.json

Whole minutes. Four kinds of links with lags, some of them negative: each asks that the later step begin no sooner
than some minutes after the earlier one begins, which is one arc of a graph whose longest paths are the early and late
dates. The inputs are drawn by a fixed seed and stored with the answers.
"""

import json
import random
import sys

import networkx as nx

NETWORKS = 300


def draw(r):
    """Durations and links (earlier, later, kind, lag)."""
    n = r.randint(3, 24)
    d = [r.choice([0, r.randint(1, 60), r.randint(60, 5000)]) for _ in range(n)]
    kinds = ["done"] if r.random() < 0.5 else ["done", "done", "begun", "end_after_end", "end_after_begin"]
    links = []
    for b in range(1, n):
        for a in r.sample(range(b), min(b, r.choice([0, 1, 1, 2, 3]))):
            links.append([a, b, r.choice(kinds), r.choice([0, 0, 30, 1440, -45])])
    return d, links


def arcs(d, links):
    """(earlier, later, minutes from begin to begin)."""
    for a, b, kind, lag in links:
        yield a, b, lag + {
            "done": d[a],
            "begun": 0,
            "end_after_end": d[a] - d[b],
            "end_after_begin": -d[b],
        }[kind]


def longest(g, source):
    return {v: -x for v, x in nx.single_source_bellman_ford_path_length(g, source).items()}


def answer(d, links):
    n = len(d)
    g = nx.MultiDiGraph()
    for i in range(n):
        g.add_edge("from", i, weight=0)
        g.add_edge(i, "to", weight=-d[i])
    for a, b, minutes in arcs(d, links):
        g.add_edge(a, b, weight=-minutes)
    early = longest(g, "from")
    tail = longest(g.reverse(), "to")
    length = early["to"]
    free = []
    for i in range(n):
        slack = [early[b] - early[a] - m for a, b, m in arcs(d, links) if a == i]
        free.append(min(slack + [length - early[i] - d[i]]))
    return {
        "length": length,
        "early": [early[i] for i in range(n)],
        "late": [length - tail[i] for i in range(n)],
        "free": free,
    }


def main():
    r = random.Random(20270301)
    out = []
    for _ in range(NETWORKS):
        d, links = draw(r)
        out.append({"minutes": d, "links": links} | answer(d, links))
    lines = ",\n".join(json.dumps(x, separators=(",", ":")) for x in out)
    with open(sys.argv[1], "w") as f:
        f.write("[\n" + lines + "\n]\n")


if __name__ == "__main__":
    main()
