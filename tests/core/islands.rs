//! The search over lists: on pools against an independent check and an optimum known by hand,
//! on crew jobs against dispatch and verification; the same for any number of threads.

use std::sync::atomic::{AtomicUsize, Ordering};

use roomback::desk;
use roomback::schedule::{Order, State, plan, verify};
use roomback::search::islands::{Builder, Built, Genes, Habits, Way, search};
use roomback::search::needs::Side;
use roomback::search::pools::{BadPools, Pools};
use roomback::search::{bound, orders};

use crate::random::{Draws, Size, how_many, random};

struct Plain {
    duration: Vec<u32>,
    needs: Vec<Vec<usize>>,
    demand: Vec<Vec<u32>>,
    capacity: Vec<u32>,
}

impl Plain {
    fn drawn(seed: u64) -> Plain {
        let mut d = Draws::new(seed);
        let (n, pools) = (d.int(1, 25) as usize, d.int(1, 9) as usize);
        let capacity: Vec<u32> = (0..pools).map(|_| d.int(0, 12) as u32).collect();
        let mut out = Plain { duration: vec![], needs: vec![], demand: vec![], capacity };
        for s in 0..n {
            out.duration.push(d.int(0, 9) as u32);
            out.needs.push((0..s).filter(|_| d.chance(15)).collect());
            let demand = out.capacity.iter().map(|&c| if d.chance(50) { d.int(0, i64::from(c)) as u32 } else { 0 });
            out.demand.push(demand.collect());
        }
        out
    }

    fn pools(&self) -> Pools {
        Pools::new(&self.duration, &self.needs, &self.demand, &self.capacity).expect("a sound problem")
    }

    /// Begins from the start, whichever side they were counted from.
    fn begins(side: Side, b: &Built) -> Vec<i64> {
        if side == Side::Forward { b.begin.clone() } else { b.end.iter().map(|e| b.finish - e).collect() }
    }

    fn check(&self, begin: &[i64], finish: i64) {
        let end = |s: usize| begin[s] + i64::from(self.duration[s]);
        assert_eq!((0..begin.len()).map(end).max().unwrap_or(0), finish);
        for (s, needs) in self.needs.iter().enumerate() {
            assert!(begin[s] >= 0);
            needs.iter().for_each(|&p| assert!(end(p) <= begin[s], "{p} before {s}"));
        }
        for t in 0..finish {
            for (p, &c) in self.capacity.iter().enumerate() {
                let on = (0..begin.len()).filter(|&s| begin[s] <= t && t < end(s));
                assert!(on.map(|s| self.demand[s][p]).sum::<u32>() <= c, "pool {p} at {t}");
            }
        }
    }
}

#[test]
fn the_optimum_of_the_allocation_example_is_found() {
    // R package ProjectManagement, allocation example; the optimum by exhaustion.
    let p = Plain {
        duration: vec![3, 4, 2, 1],
        needs: vec![vec![], vec![0], vec![], vec![2]],
        demand: vec![vec![4], vec![1], vec![3], vec![3]],
        capacity: vec![4],
    };
    let pools = p.pools();
    assert_eq!(pools.path(), 7);
    assert_eq!(pools.windows(), [(0, 3), (3, 7), (0, 6), (2, 7)]);
    let found = search(&pools, &[], 100, Habits::new(100, 4), &|| false);
    assert_eq!(found.best[0].score, 7);
    // Longer than its path: the two of three cannot stand beside the one of four.
    let q = Plain { demand: vec![vec![4], vec![2], vec![3], vec![3]], ..p };
    assert_eq!(search(&q.pools(), &[], 100, Habits::new(100, 4), &|| false).best[0].score, 10);
}

#[test]
fn every_schedule_keeps_needs_and_capacities() {
    for seed in 0..how_many(200) {
        let p = Plain::drawn(seed);
        let pools = p.pools();
        let mut bench = pools.bench();
        let mut out = Built::default();
        let mut first = Genes { list: pools.needs().topo(Side::Forward).to_vec(), ..Genes::default() };
        for way in [Way::Serial, Way::Dispatch] {
            for side in [Side::Forward, Side::Backward] {
                first.list = pools.needs().topo(side).to_vec();
                let finish = pools.build(&mut bench, side, way, &mut first, &mut out).expect("always");
                p.check(&Plain::begins(side, &out), finish);
                assert!(finish >= pools.path());
            }
        }
        let found = search(&pools, &[], 200, Habits { hand_back: 5, ..Habits::new(200, 25) }, &|| false);
        assert!(found.schedules <= 200 && !found.unfinished);
        let mut seen: Vec<Vec<i64>> = Vec::new();
        for b in &found.best {
            let finish = pools.build(&mut bench, b.side, b.way, &mut b.genes.clone(), &mut out).expect("always");
            assert_eq!(finish, b.score);
            let begins = Plain::begins(b.side, &out);
            p.check(&begins, finish);
            seen.push(begins);
        }
        assert!(found.best.is_sorted_by_key(|b| b.score));
        assert!(p.duration.len() > 3 || found.best.len() <= 24);
    }
}

#[test]
fn no_problem_is_said_to_be_none() {
    let new = |n: &[Vec<usize>], d: &[Vec<u32>], c: &[u32]| Pools::new(&[1, 2], n, d, c).err();
    let one = [vec![1], vec![1]];
    assert_eq!(new(&[vec![1], vec![0]], &one, &[1]), Some(BadPools::Needs(0)));
    assert_eq!(new(&[vec![], vec![2]], &one, &[1]), Some(BadPools::Needs(1)));
    assert_eq!(new(&[vec![], vec![]], &[vec![1], vec![2]], &[1]), Some(BadPools::Capacity { step: 1, pool: 0 }));
    assert_eq!(new(&[vec![], vec![]], &[vec![1], vec![]], &[1]), Some(BadPools::Shape));
    assert_eq!(new(&[vec![], vec![]], &one, &[40_000]), Some(BadPools::Size));
    assert_eq!(new(&[vec![], vec![0, 0]], &one, &[1]), None);
    let none = Pools::new(&[], &[], &[], &[]).expect("nothing to do");
    assert_eq!(search(&none, &[], 50, Habits::new(50, 0), &|| false).best[0].score, 0);
}

fn threads<T: Send>(n: usize, f: impl FnOnce() -> T + Send) -> T {
    rayon::ThreadPoolBuilder::new().num_threads(n).build().expect("threads").install(f)
}

#[test]
fn any_number_of_threads_finds_the_same() {
    for seed in 0..20 {
        let p = Plain::drawn(seed).pools();
        let go = |n| threads(n, || search(&p, &[], 1_000, Habits::new(1_000, 25), &|| false));
        let (a, b) = (go(1), go(2));
        assert_eq!((a.best, a.schedules), (b.best, b.schedules));
    }
    for seed in 0..how_many(6) {
        let (job, graph) = random(seed, Size::Normal);
        let set = roomback::schedule::Setting::new(&job, &graph);
        let low = bound(&graph, &set);
        let go = |n| threads(n, || orders(&graph, &set, None, &[], &low, 300, &|| false));
        assert_eq!(go(1), go(2), "seed {seed}");
    }
}

#[test]
fn a_stopped_search_says_so_and_still_has_an_order() {
    // One after the other on one pair of hands: nowhere near the longest chain, so it goes on.
    let (duration, capacity) = (vec![5; 12], vec![1]);
    let line = Plain { duration, needs: vec![vec![]; 12], demand: vec![vec![1]; 12], capacity };
    let p = line.pools();
    let asked = AtomicUsize::new(0);
    let stop = || asked.fetch_add(1, Ordering::Relaxed) >= 8;
    let found = search(&p, &[], 1_000_000, Habits::new(1_000_000, 25), &stop);
    assert!(found.unfinished && found.schedules < 10_000 && !found.best.is_empty());

    let sound = desk::open(include_str!("../../sample-jobs/study.ron")).expect("a job file").sound.expect("sound");
    let found = sound.plan_until(true, &|| true).expect("a plan");
    assert!(found.unfinished);
    assert!(verify(&sound.graph, &sound.setting, &found.plan).is_empty());
}

#[test]
fn the_orders_handed_back_are_distinct_and_come_to_the_finish_said() {
    for seed in 0..how_many(8) {
        let (job, graph) = random(seed, Size::Normal);
        let set = roomback::schedule::Setting::new(&job, &graph);
        let low = bound(&graph, &set);
        let tried = orders(&graph, &set, None, &[], &low, 400, &|| false).expect("a plan");
        assert!(tried.schedules <= 400 && tried.orders.is_sorted_by_key(|o| o.0));
        let mut plans: Vec<Vec<(usize, i64)>> = Vec::new();
        for (finish, order) in &tried.orders {
            let net = roomback::schedule::Net::new(&graph, &set, &order.methods);
            let p = plan(&net, order, &mut State::default()).expect("dispatched before");
            assert_eq!(p.finish, *finish, "seed {seed}");
            assert!(p.finish >= low.at);
            assert_eq!(verify(&graph, &set, &p), [], "seed {seed}");
            let times: Vec<(usize, i64)> = p.steps.iter().map(|t| (t.step, t.begin.0)).collect();
            assert!(!plans.contains(&times), "seed {seed}: twice the same plan");
            plans.push(times);
        }
        // Given its own best to start from, a search never ends later.
        let best: &Order = &tried.orders[0].1;
        let again = orders(&graph, &set, Some(best), &best.holds, &low, 100, &|| false).expect("a plan");
        assert!(again.orders[0].0 <= tried.orders[0].0, "seed {seed}");
    }
}
