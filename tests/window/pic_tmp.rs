use crate::driver::{FEW, LARGE, SMALL, Used};
#[test]
fn pics() {
    for (job, size, n) in [("study", SMALL, "s"), ("study", LARGE, "l"), ("house", SMALL, "s")] {
        let mut w = Used::open(job, size, FEW);
        w.h.render().unwrap().save(format!("/tmp/pic-{job}-{n}.png")).unwrap();
    }
}
