use roomback::job::Job;
use roomback::work::{WorkGraph, build::build};

pub fn sample(name: &str) -> Job {
    let text = std::fs::read_to_string(format!("{}/sample-jobs/{name}.ron", env!("CARGO_MANIFEST_DIR"))).unwrap();
    ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME).from_str(&text).unwrap()
}

fn graph(name: &str) -> WorkGraph {
    build(&sample(name)).unwrap_or_else(|p| panic!("{name}: {p:#?}"))
}

#[test]
fn show() {
    let g = graph(&std::env::var("JOB").unwrap_or("study".into()));
    let usual = g.usual();
    let mut sum = 0.0;
    for s in g.steps.iter().filter(|s| WorkGraph::holds(&s.when, &usual)) {
        if s.role.planned() {
            sum += s.labor.typ;
        }
        println!("{:40} {:6.2} h {:?} {:?} pcs {}", s.id, s.labor.typ / 60.0, s.place, s.when, s.pieces.len());
    }
    println!("{} steps {} links {:?} {:.1} h", g.steps.len(), g.links.len(), g.choices, sum / 60.0);
}
