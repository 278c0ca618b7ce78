/* The dispatch of the trials in plain C, one thread: what the library is compared with.
 *
 * Rules: a step may begin when every step it needs has ended and its lag has passed, and its
 * one worker is free; at every instant the first such step in the order of the file begins.
 * Nothing is begun in the last 30 minutes of a day of 24 hours unless its median fits (the
 * library's rule for the end of a stretch of work, for somebody always at work). Durations
 * are lognormal, scores clamped to +-3, whole minutes, at least 1.
 *
 * plain FILE TRIALS REPEATS prints: best milliseconds, mean and standard deviation of the
 * finish in minutes. Sampling is part of the time: a quantile table of 1,024 cells with
 * linear interpolation, the two outermost cells exactly.
 */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { STEPS = 64, WORKERS = 8, NEEDS = 8, CELLS = 1024, SIGMAS = 16 };

static int steps, workers, sigmas;
static int64_t median[STEPS];
static double sigma[STEPS];
static int worker[STEPS], needs[STEPS], shape[STEPS];
static int followers[STEPS], next_step[STEPS][STEPS];
static int64_t next_lag[STEPS][STEPS];
static double table[SIGMAS][CELLS + 1], table_sigma[SIGMAS];

static uint64_t state[4];

/* xoshiro256+ (Blackman and Vigna 2021). */
static inline uint64_t rotl(uint64_t x, int k) { return (x << k) | (x >> (64 - k)); }
static inline uint64_t draw(void) {
    uint64_t result = state[0] + state[3], t = state[1] << 17;
    state[2] ^= state[0];
    state[3] ^= state[1];
    state[1] ^= state[2];
    state[0] ^= state[3];
    state[2] ^= t;
    state[3] = rotl(state[3], 45);
    return result;
}

static void seed(uint64_t s) {
    for (int i = 0; i < 4; i++) {
        s += 0x9e3779b97f4a7c15ULL;
        uint64_t z = s;
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
        state[i] = z ^ (z >> 31);
    }
}

/* Score with share u below it, by bisection on erfc: for the table and its two ends. */
static double score(double u) {
    double lo = -3, hi = 3;
    if (u <= 0.5 * erfc(3 * M_SQRT1_2)) return -3;
    if (u >= 1 - 0.5 * erfc(3 * M_SQRT1_2)) return 3;
    for (int i = 0; i < 60; i++) {
        double mid = 0.5 * (lo + hi);
        if (0.5 * erfc(-mid * M_SQRT1_2) < u) lo = mid;
        else hi = mid;
    }
    return 0.5 * (lo + hi);
}

static int64_t takes(int s) {
    uint64_t bits = draw();
    unsigned cell = bits >> 54;
    double part = ((bits >> 2) & 0xfffffffffffffULL) * 0x1p-52;
    const double *t = table[shape[s]];
    double x;
    if (cell == 0 || cell == CELLS - 1) x = exp(sigma[s] * score((cell + part) / CELLS));
    else x = t[cell] + part * (t[cell + 1] - t[cell]);
    int64_t m = (int64_t)(x * (double)median[s] + 0.5);
    return m < 1 ? 1 : m;
}

static int64_t trial(void) {
    int64_t ready[STEPS] = {0}, free_at[WORKERS] = {0}, finish = 0, least = 0;
    int left[STEPS];
    uint64_t open = 0;
    for (int s = 0; s < steps; s++) {
        left[s] = needs[s];
        if (!left[s]) open |= 1ULL << s;
    }
    for (int n = 0; n < steps; n++) {
        int best = -1;
        int64_t begin = INT64_MAX;
        for (uint64_t rest = open; rest; rest &= rest - 1) {
            int s = __builtin_ctzll(rest);
            int64_t at = ready[s] > free_at[worker[s]] ? ready[s] : free_at[worker[s]];
            int64_t day = 1440 - at % 1440;
            if (day <= 30 && median[s] > day) at += day;
            if (at < begin) {
                begin = at;
                best = s;
                if (at == least) break;
            }
        }
        int64_t end = begin + takes(best);
        open &= ~(1ULL << best);
        free_at[worker[best]] = end;
        least = free_at[0];
        for (int w = 1; w < workers; w++)
            if (free_at[w] < least) least = free_at[w];
        if (end > finish) finish = end;
        for (int i = 0; i < followers[best]; i++) {
            int f = next_step[best][i];
            int64_t at = end + next_lag[best][i];
            if (at > ready[f]) ready[f] = at;
            if (--left[f] == 0) open |= 1ULL << f;
        }
    }
    return finish;
}

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec * 1e3 + t.tv_nsec * 1e-6;
}

int main(int argc, char **argv) {
    if (argc != 4) return 2;
    FILE *f = fopen(argv[1], "r");
    long trials = atol(argv[2]), repeats = atol(argv[3]);
    if (!f || trials < 2 || fscanf(f, "%d %d", &steps, &workers) != 2) return 2;
    if (steps < 1 || steps > STEPS || workers < 1 || workers > WORKERS) return 2;
    for (int s = 0; s < steps; s++) {
        long m;
        if (fscanf(f, "%ld %lf %d %d", &m, &sigma[s], &worker[s], &needs[s]) != 4) return 2;
        if (needs[s] > NEEDS || worker[s] < 0 || worker[s] >= workers) return 2;
        median[s] = m;
        for (int i = 0; i < needs[s]; i++) {
            int from;
            long lag;
            if (fscanf(f, "%d %ld", &from, &lag) != 2 || from < 0 || from >= s) return 2;
            next_step[from][followers[from]] = s;
            next_lag[from][followers[from]++] = lag;
        }
        for (shape[s] = 0; shape[s] < sigmas && table_sigma[shape[s]] != sigma[s]; shape[s]++) {}
        if (shape[s] == SIGMAS) return 2;
        if (shape[s] == sigmas) {
            table_sigma[sigmas] = sigma[s];
            for (int i = 0; i <= CELLS; i++) table[sigmas][i] = exp(sigma[s] * score((double)i / CELLS));
            sigmas++;
        }
    }
    int64_t *finish = malloc(sizeof *finish * trials);
    if (!finish) return 2;
    double best = 1e300;
    for (long r = 0; r < repeats; r++) {
        seed(r + 1);
        double from = now();
        for (long t = 0; t < trials; t++) finish[t] = trial();
        double took = now() - from;
        if (took < best) best = took;
    }
    double mean = 0, square = 0;
    for (long t = 0; t < trials; t++) mean += finish[t];
    mean /= trials;
    for (long t = 0; t < trials; t++) square += (finish[t] - mean) * (finish[t] - mean);
    printf("%.4f %.4f %.4f\n", best, mean, sqrt(square / (trials - 1)));
    return 0;
}
