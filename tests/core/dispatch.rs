//! Every plan of every random job passes verification.

use std::collections::BTreeMap;

use roomback::schedule::{Net, Order, Setting, State, plan, verify};

use crate::random::{Draws, Size, how_many, random};

#[test]
fn dispatched_plans_of_random_jobs_pass() {
    let jobs = how_many(500);
    let mut bad: BTreeMap<String, (usize, u64, String)> = BTreeMap::new();
    for seed in 0..jobs {
        let (job, graph) = random(seed, if seed % 3 == 0 { Size::Small } else { Size::Normal });
        let set = Setting::new(&job, &graph);
        let mut d = Draws::new(seed + 5);
        let methods: Vec<usize> = graph.choices.iter().map(|c| c.fixed.unwrap_or(d.int(0, 1) as usize)).collect();
        let net = Net::new(&graph, &set, &methods);
        let mut order = net.topo();
        // Any order is a plan: shuffle half of them.
        if seed % 2 == 1 {
            for i in (1..order.len()).rev() {
                order.swap(i, d.int(0, i as i64) as usize);
            }
        }
        let order = Order { order, methods, people: vec![None; graph.steps.len()], holds: Vec::new() };
        match plan(&net, &order, &mut State::default()) {
            Ok(p) => {
                for f in verify(&graph, &set, &p) {
                    let e = bad.entry(format!("{:?}", f.kind)).or_insert((0, seed, format!("{f:?}")));
                    e.0 += 1;
                }
            }
            Err(e) => {
                bad.entry(format!("{e:?}").chars().take(8).collect()).or_insert((0, seed, format!("{e:?}"))).0 += 1
            }
        }
    }
    assert!(bad.is_empty(), "{bad:#?}");
}
