//! Who waits for whom, flat, seen from both ends.

/// The end a schedule is built from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Forward,
    Backward,
}

impl Side {
    pub fn other(self) -> Side {
        if self == Side::Forward { Side::Backward } else { Side::Forward }
    }
}

/// Rows of one flat list.
#[derive(Clone, Debug, Default)]
struct Rows {
    from: Vec<u32>,
    items: Vec<u32>,
}

impl Rows {
    fn new(rows: &[Vec<u32>]) -> Rows {
        let mut out = Rows { from: vec![0], items: Vec::new() };
        for r in rows {
            out.items.extend_from_slice(r);
            out.from.push(out.items.len() as u32);
        }
        out
    }

    fn row(&self, i: usize) -> &[u32] {
        &self.items[self.from[i] as usize..self.from[i + 1] as usize]
    }
}

/// An acyclic set of needs.
#[derive(Clone, Debug)]
pub struct Needs {
    before: [Rows; 2],
    topo: [Vec<u32>; 2],
    /// Place in the topological order, per side.
    place: [Vec<u32>; 2],
    /// Bit `b` of row `a`: one needs the other directly.
    linked: Vec<u64>,
    stride: usize,
}

impl Needs {
    /// `needs[s]`: the steps before `s`; each counts once however often it is named.
    ///
    /// # Errors
    /// A step on a circle, or one that needs a step there is not.
    pub fn new(needs: &[Vec<usize>]) -> Result<Needs, usize> {
        let n = needs.len();
        let mut before: Vec<Vec<u32>> = vec![Vec::new(); n];
        let mut after: Vec<Vec<u32>> = vec![Vec::new(); n];
        let stride = n.div_ceil(64);
        let mut linked = vec![0u64; n * stride];
        for (s, list) in needs.iter().enumerate() {
            for &p in list {
                if p >= n || p == s {
                    return Err(s);
                }
                if before[s].contains(&(p as u32)) {
                    continue;
                }
                linked[s * stride + p / 64] |= 1 << (p % 64);
                linked[p * stride + s / 64] |= 1 << (s % 64);
                before[s].push(p as u32);
                after[p].push(s as u32);
            }
        }
        let mut left: Vec<usize> = before.iter().map(Vec::len).collect();
        let mut heap: std::collections::BinaryHeap<std::cmp::Reverse<usize>> =
            (0..n).filter(|&s| left[s] == 0).map(std::cmp::Reverse).collect();
        let mut topo = Vec::with_capacity(n);
        while let Some(std::cmp::Reverse(s)) = heap.pop() {
            topo.push(s as u32);
            for &f in &after[s] {
                left[f as usize] -= 1;
                if left[f as usize] == 0 {
                    heap.push(std::cmp::Reverse(f as usize));
                }
            }
        }
        if topo.len() < n {
            return Err((0..n).find(|&s| left[s] > 0).unwrap_or(0));
        }
        let back: Vec<u32> = topo.iter().rev().copied().collect();
        let place = [&topo, &back].map(|t| {
            let mut p = vec![0; n];
            t.iter().enumerate().for_each(|(i, &s)| p[s as usize] = i as u32);
            p
        });
        Ok(Needs { before: [Rows::new(&before), Rows::new(&after)], topo: [topo, back], place, linked, stride })
    }

    pub fn len(&self) -> usize {
        self.topo[0].len()
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Steps to be placed before `s` when building from this side.
    pub fn before(&self, side: Side, s: usize) -> &[u32] {
        self.before[side as usize].row(s)
    }

    /// Steps that wait for `s` when building from this side.
    pub fn after(&self, side: Side, s: usize) -> &[u32] {
        self.before[1 - side as usize].row(s)
    }

    /// A topological order from this side.
    pub fn topo(&self, side: Side) -> &[u32] {
        &self.topo[side as usize]
    }

    /// Place of a step in [`Needs::topo`].
    pub fn place(&self, side: Side, s: usize) -> u32 {
        self.place[side as usize][s]
    }

    /// Whether one of the two needs the other directly.
    pub fn linked(&self, a: usize, b: usize) -> bool {
        self.linked[a * self.stride + b / 64] >> (b % 64) & 1 == 1
    }
}
