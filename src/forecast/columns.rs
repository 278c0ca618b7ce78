//! Scores once drawn, kept for the next forecast: an edit redraws nothing of what it leaves.
//!
//! A column is the 500 scores of one id in one block: a function of (seed, id, block) alone,
//! so a kept column and a new one are the same numbers.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use super::draws::{BLOCK, normal_block, uniform_block};

/// At most so many columns are kept (4,000 bytes each); then all are dropped.
const MOST: usize = 12_000;

type Key = (u64, u64, u32, bool);

/// The columns kept; copies share them.
#[derive(Clone, Debug, Default)]
pub struct Columns {
    kept: Arc<Mutex<BTreeMap<Key, Arc<[f64; BLOCK]>>>>,
}

impl Columns {
    /// Standard normal scores of an id.
    pub fn normal(&self, seed: u64, id: u64, block: u32) -> Arc<[f64; BLOCK]> {
        self.get((seed, id, block, true))
    }

    /// Uniform numbers of an id.
    pub fn uniform(&self, seed: u64, id: u64, block: u32) -> Arc<[f64; BLOCK]> {
        self.get((seed, id, block, false))
    }

    fn get(&self, key: Key) -> Arc<[f64; BLOCK]> {
        let lock = || self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(column) = lock().get(&key) {
            return column.clone();
        }
        let mut out = [0.0; BLOCK];
        let (seed, id, block, normal) = key;
        if normal {
            normal_block(seed, id, block, &mut out)
        } else {
            uniform_block(seed, id, block, &mut out)
        }
        let column = Arc::new(out);
        let mut kept = lock();
        if kept.len() >= MOST {
            kept.clear();
        }
        kept.insert(key, column.clone());
        column
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kept_columns_are_the_same_numbers() {
        let c = Columns::default();
        let first = c.normal(1, 2, 3);
        assert!(Arc::ptr_eq(&first, &c.clone().normal(1, 2, 3)));
        let mut z = [0.0; BLOCK];
        normal_block(1, 2, 3, &mut z);
        assert_eq!(*first, z);
        assert_ne!(*c.uniform(1, 2, 3), z);
    }

    #[test]
    fn memory_is_bounded() {
        let c = Columns::default();
        (0..MOST as u64 + 1).for_each(|id| drop(c.uniform(1, id, 0)));
        assert_eq!(c.kept.lock().unwrap().len(), 1);
    }
}
