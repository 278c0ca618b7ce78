//! Steps without hands that share pools, through the plan's own dispatch: against the search's
//! builder, an optimum known by hand, and a bound by energy that never exceeds the best found.

use roomback::clock::At;
use roomback::job::{Job, Scheme};
use roomback::schedule::{FaultKind, Net, Order, Plan, Setting, State, plan, verify};
use roomback::search::bound;
use roomback::search::islands::{Builder, Built, Genes, Habits, Way, search};
use roomback::search::needs::Side;
use roomback::search::pools::Pools;
use roomback::work::{Ask, Kind, Spread, WorkGraph};

use crate::net::{UNIT, allocation, link, plain_step};
use crate::random::Draws;

/// The allocation example with its pool in the graph.
fn small() -> WorkGraph {
    let (mut g, takes, there) = allocation();
    g.pools = vec![there];
    g.steps.iter_mut().zip(takes).for_each(|(s, n)| s.pools = vec![(0, n)]);
    g
}

fn dispatched(g: &WorkGraph, list: &[usize]) -> (Setting, Plan) {
    let set = Setting::new(&Job::default(), g);
    let net = Net::new(g, &set, &[]);
    let order = Order { order: list.to_vec(), methods: Vec::new(), people: vec![None; list.len()], holds: Vec::new() };
    let p = plan(&net, &order, &mut State::default()).expect("pools come free again");
    (set, p)
}

fn units(t: At) -> f64 {
    t.0 as f64 / UNIT
}

#[test]
fn the_allocation_example() {
    // R package ProjectManagement, allocation example: optimum 7 (exhaustive).
    let g = small();
    let (set, best) = dispatched(&g, &[0, 1, 2, 3]);
    assert_eq!(units(best.finish), 7.0);
    assert_eq!(verify(&g, &set, &best), []);
    assert_eq!(units(bound(&g, &set).at), 7.0);
    // The other way round the first has to wait for all of the pool.
    let (_, late) = dispatched(&g, &[2, 3, 0, 1]);
    assert_eq!(units(late.finish), 10.0);
    // Taken too much of: the third begins beside the first.
    let mut over = best.clone();
    let third = over.steps.iter_mut().find(|t| t.step == 2).expect("planned");
    (third.begin, third.end) = (At(0), At(2 * UNIT as i64));
    over.steps.sort_by_key(|t| (t.begin, t.step));
    let found: Vec<FaultKind> = verify(&g, &set, &over).iter().map(|f| f.kind).collect();
    assert_eq!(found, [FaultKind::Pools]);
    // A pool smaller by one than a plan has it.
    let mut less = g.clone();
    less.pools[0] = 3;
    assert!(verify(&less, &set, &best).iter().any(|f| f.kind == FaultKind::Pools));
    // One unit handed on in the minute it comes free is no overuse.
    let mut tight = g.clone();
    tight.steps.iter_mut().for_each(|s| s.pools = vec![(0, 4)]);
    let (set, plan) = dispatched(&tight, &[0, 1, 2, 3]);
    assert_eq!((units(plan.finish), verify(&tight, &set, &plan)), (10.0, vec![]));
}

#[test]
fn energy_alone_tells() {
    // Nine alike, each a third of the pool: no chain and no pair says that it takes three rounds.
    let mut g = WorkGraph { pools: vec![3], ..WorkGraph::default() };
    for k in 0..9 {
        let kind = Kind::Elapsed(Spread::fixed(100.0));
        g.steps.push(roomback::work::Step { kind, pools: vec![(0, 1)], ..plain_step(&format!("{k}")) });
    }
    let set = Setting::new(&Job::default(), &g);
    assert_eq!(bound(&g, &set).at, At(300));
    g.pools[0] = 9;
    assert_eq!(bound(&g, &set).at, At(100));
    // No hands, no pools: nothing is said of them.
    g.pools.clear();
    g.steps.iter_mut().for_each(|s| s.pools.clear());
    assert_eq!(bound(&g, &set).at, At(100));
    // A gate before and behind them narrows the stretch they have.
    g.pools = vec![3];
    g.steps.iter_mut().for_each(|s| s.pools = vec![(0, 1)]);
    let mut gate = |id: &str| {
        g.steps.push(roomback::work::Step { kind: Kind::Elapsed(Spread::fixed(50.0)), ..plain_step(id) });
        g.steps.len() - 1
    };
    let (first, last) = (gate("first"), gate("last"));
    for k in 0..9 {
        g.links.push(link(first, k, Ask::Done));
        g.links.push(link(k, last, Ask::Done));
    }
    assert_eq!(bound(&g, &set).at, At(400));
}

#[test]
fn dispatch_is_the_builders_and_no_bound_is_above_the_best() {
    // 56 of 150 reached, 135 above the longest chain. No step of no time: of two things to be had
    // in one minute the builder and dispatch may then take different ones.
    let (mut reached, mut above_path) = (0, 0);
    for seed in 0..150 {
        let mut d = Draws::new(seed);
        let n = d.int(2, 12) as usize;
        let capacity: Vec<u32> = (0..d.int(1, 3)).map(|_| d.int(2, 6) as u32).collect();
        let duration: Vec<u32> = (0..n).map(|_| d.int(1, 9) as u32).collect();
        let demand: Vec<Vec<u32>> =
            (0..n).map(|_| capacity.iter().map(|&c| d.int(0, i64::from(c)) as u32).collect()).collect();
        let needs: Vec<Vec<usize>> = (0..n).map(|s| (0..s).filter(|_| d.chance(12)).collect()).collect();
        let mut g = WorkGraph { pools: capacity.clone(), ..WorkGraph::default() };
        for s in 0..n {
            let pools = demand[s].iter().copied().enumerate().filter(|x| x.1 > 0).collect();
            let kind = Kind::Elapsed(Spread { scheme: Scheme::Fixed, ..Spread::fixed(f64::from(duration[s])) });
            g.steps.push(roomback::work::Step { kind, pools, ..plain_step(&format!("{s}")) });
            g.links.extend(needs[s].iter().map(|&p| link(p, s, Ask::Done)));
        }
        let pools = Pools::new(&duration, &needs, &demand, &capacity).expect("sound");
        let (mut bench, mut built) = (pools.bench(), Built::default());
        let list: Vec<usize> = pools.needs().topo(Side::Forward).iter().map(|&s| s as usize).collect();
        let mut genes = Genes { list: list.iter().map(|&s| s as u32).collect(), ..Genes::default() };
        let finish = pools.build(&mut bench, Side::Forward, Way::Dispatch, &mut genes, &mut built).expect("always");
        let (set, p) = dispatched(&g, &list);
        assert_eq!(p.finish.0, finish, "seed {seed}");
        assert_eq!(verify(&g, &set, &p), [], "seed {seed}");
        let low = bound(&g, &set).at.0;
        let best = search(&pools, &[], 600, Habits::new(600, n), &|| false).best[0].score;
        assert!(low <= best, "seed {seed}: {low} above {best}");
        reached += usize::from(low == best);
        above_path += usize::from(low > pools.path());
    }
    assert!(reached >= 50 && above_path >= 100, "{reached} reached, {above_path} above the path");
}
