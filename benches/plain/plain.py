"""The dispatch of the trials in NumPy, vectorised over the trials: what the library is
compared with. The rules are those of plain.c beside it.

plain.py FILE TRIALS REPEATS prints: best milliseconds, mean and standard deviation of the
finish in minutes. Sampling is part of the time.
"""

import sys
import time

import numpy as np

FAR = np.int64(1) << 40


def read(name):
    rows = [line.split() for line in open(name)]
    steps, workers = int(rows[0][0]), int(rows[0][1])
    median = np.array([int(r[0]) for r in rows[1:]], dtype=np.int64)
    sigma = np.array([float(r[1]) for r in rows[1:]])
    worker = np.array([int(r[2]) for r in rows[1:]])
    needs = [[(int(r[4 + 2 * i]), int(r[5 + 2 * i])) for i in range(int(r[3]))] for r in rows[1:]]
    follow = [[] for _ in range(steps)]
    for s, list_ in enumerate(needs):
        for n, lag in list_:
            follow[n].append((s, lag))
    # Followers as tables; step `steps` is nobody.
    most = max(len(f) for f in follow)
    after = np.full((steps, most), steps)
    lags = np.zeros((steps, most), dtype=np.int64)
    for s, list_ in enumerate(follow):
        for i, (f, lag) in enumerate(list_):
            after[s, i], lags[s, i] = f, lag
    count = np.array([len(n) for n in needs] + [0], dtype=np.int64)
    return steps, workers, median, sigma, worker, count, after, lags


def trials(job, n, rng):
    steps, workers, median, sigma, worker, count, after, lags = job
    z = np.clip(rng.standard_normal((steps, n)), -3, 3)
    takes = np.maximum(np.rint(median[:, None] * np.exp(sigma[:, None] * z)), 1).astype(np.int64)
    row = np.arange(n)
    left = np.repeat(count[:, None], n, axis=1)
    # When the needs are met so far; FAR is added while one is not known, and once begun.
    ready = np.where(left[:steps] > 0, FAR, 0)
    ready = np.vstack([ready, np.full((1, n), FAR)])
    known = np.zeros((steps + 1, n), dtype=np.int64)
    free = np.zeros((workers, n), dtype=np.int64)
    finish = np.zeros(n, dtype=np.int64)
    for _ in range(steps):
        at = np.maximum(ready[:steps], free[0] if workers == 1 else free[worker])
        day = 1440 - at % 1440
        at += np.where((day <= 30) & (median[:, None] > day), day, 0)
        # argmin gives the first of equals: the order of the file.
        s = at.argmin(axis=0)
        end = at[s, row] + takes[s, row]
        ready[s, row] = FAR
        free[worker[s], row] = end
        np.maximum(finish, end, out=finish)
        for i in range(after.shape[1]):
            f = after[s, i]
            known[f, row] = np.maximum(known[f, row], end + lags[s, i])
            left[f, row] -= 1
            met = left[f, row] == 0
            ready[f[met], row[met]] = known[f[met], row[met]]
    return finish


def main():
    job, n, repeats = read(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    best = float("inf")
    for r in range(repeats):
        rng = np.random.default_rng(r + 1)
        start = time.perf_counter()
        finish = trials(job, n, rng)
        best = min(best, (time.perf_counter() - start) * 1e3)
    print(f"{best:.4f} {finish.mean():.4f} {finish.std(ddof=1):.4f}")


main()
