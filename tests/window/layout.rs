use crate::driver::*;
#[test]
fn dump() {
    let w = Used::open("study", SMALL, FEW);
    for n in w.named() {
        eprintln!("{n:?}");
    }
    eprintln!("{:#?}", w.h.root());
}
