//! Streams of chance keyed by what they are for, never by who asked first.
//!
//! Every number is a pure function of (seed, id, event, trial): an edit that adds a step
//! redraws nothing of the others, what-ifs are paired, threads do not matter.
//!
//! Two kinds. *Counter-based uniforms* for anything with a varying number of draws (lost
//! days, chances). *Latin hypercube blocks* of [`BLOCK`] trials for what each trial needs
//! exactly once: in a block each of 500 equal slices of chance is hit exactly once, in an
//! order keyed by (seed, id, block), the place inside the slice keyed by (seed, id, trial).
//! Block k never depends on how many follow, so 2,000 trials are the first four blocks of
//! 10,000. (McKay, Beckman and Conover, *Technometrics* 21 (1979) 239-245.)
//!
//! The hash is a chain of the SplitMix64 finaliser (Steele, Lea and Flood, *Fast splittable
//! pseudorandom number generators*, OOPSLA 2014, with D. Stafford's mix 13). It is fit for
//! simulation and for nothing secret.

use std::convert::Infallible;

use rand::TryRng;

use super::normal;

/// Trials in a block.
pub const BLOCK: usize = 500;

const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;
// Event numbers kept for the blocks: above every date and counter a caller uses.
const ORDER: u64 = u64::MAX;
const JITTER: u64 = u64::MAX - 1;

/// The stream id of a name: FNV-1a, 64 bits (G. Fowler, L. C. Noll, K.-P. Vo). The same
/// name gives the same id in every version of the program.
pub const fn id(name: &str) -> u64 {
    let bytes = name.as_bytes();
    let mut h = 0xcbf2_9ce4_8422_2325_u64;
    let mut i = 0;
    while i < bytes.len() {
        h = (h ^ bytes[i] as u64).wrapping_mul(0x0000_0100_0000_01b3);
        i += 1;
    }
    h
}

/// SplitMix64's finaliser: a bijection of 64 bits in which every input bit moves every
/// output bit with chance about one half.
const fn mix(x: u64) -> u64 {
    let x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^ (x >> 31)
}

/// One more link of the chain: `state` with `word` hashed in.
const fn absorb(state: u64, word: u64) -> u64 {
    mix(state.wrapping_add(GOLDEN) ^ mix(word.wrapping_add(GOLDEN)))
}

/// 52 bits to the open interval 0 to 1: never 0, never 1.
fn open(x: u64) -> f64 {
    ((x >> 12) as f64 + 0.5) * (1.0 / (1u64 << 52) as f64)
}

/// A stream of uniform numbers for one event of one trial.
///
/// It is also a generator of the `rand` crate (`rand::Rng`).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stream {
    state: u64,
}

impl Stream {
    /// The stream of `event` (a day number, a counter; below 2^63) in `trial`, for the id of
    /// [`id`]. Streams of different keys are unrelated.
    pub fn new(seed: u64, id: u64, event: u64, trial: u64) -> Stream {
        Stream { state: absorb(absorb(absorb(absorb(0, seed), id), event), trial) }
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(GOLDEN);
        mix(self.state)
    }

    /// The next uniform number, above 0 and below 1.
    pub fn uniform(&mut self) -> f64 {
        open(self.bits())
    }

    /// A whole number from 0 to `n - 1` (0 when `n` is 0); each has chance `1/n` to within
    /// `n` in 2^64.
    pub fn below(&mut self, n: u64) -> u64 {
        ((u128::from(self.bits()) * u128::from(n)) >> 64) as u64
    }
}

impl TryRng for Stream {
    type Error = Infallible;
    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        Ok((self.bits() >> 32) as u32)
    }
    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        Ok(self.bits())
    }
    fn try_fill_bytes(&mut self, dst: &mut [u8]) -> Result<(), Infallible> {
        for chunk in dst.chunks_mut(8) {
            chunk.copy_from_slice(&self.bits().to_le_bytes()[..chunk.len()]);
        }
        Ok(())
    }
}

/// The first uniform number of [`Stream::new`] with the same key, above 0 and below 1.
pub fn uniform(seed: u64, id: u64, event: u64, trial: u64) -> f64 {
    Stream::new(seed, id, event, trial).uniform()
}

/// The uniform numbers of one id, its part of the key hashed once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Line {
    state: u64,
}

impl Line {
    /// Of an id.
    pub fn new(seed: u64, id: u64) -> Line {
        Line { state: absorb(absorb(0, seed), id) }
    }

    /// [`uniform`] of its key.
    pub fn uniform(&self, event: u64, trial: u64) -> f64 {
        Stream { state: absorb(absorb(self.state, event), trial) }.uniform()
    }
}

/// Uniform numbers (above 0, below 1) of the trials `block * 500 ..` of one id, a complete
/// Latin hypercube column.
pub fn uniform_block(seed: u64, id: u64, block: u32, out: &mut [f64; BLOCK]) {
    let mut slice: [u16; BLOCK] = std::array::from_fn(|i| i as u16);
    let mut order = Stream::new(seed, id, ORDER, u64::from(block));
    // Fisher-Yates, from the end.
    for i in (1..BLOCK).rev() {
        slice.swap(i, order.below(i as u64 + 1) as usize);
    }
    let base = absorb(absorb(absorb(0, seed), id), JITTER);
    let first = u64::from(block) * BLOCK as u64;
    for (i, (u, k)) in out.iter_mut().zip(slice).enumerate() {
        // 32 bits of jitter: slice plus jitter is exact, so no number leaves its slice.
        let bits = Stream { state: absorb(base, first + i as u64) }.bits() >> 32;
        let jitter = (bits as f64 + 0.5) * (1.0 / (1u64 << 32) as f64);
        *u = (f64::from(k) + jitter) / BLOCK as f64;
    }
}

/// Standard normal scores of the trials `block * 500 ..` of one id: [`uniform_block`]
/// through the inverse of the normal distribution.
pub fn normal_block(seed: u64, id: u64, block: u32, out: &mut [f64; BLOCK]) {
    uniform_block(seed, id, block, out);
    normal::inverse_all(out);
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::Rng;

    #[test]
    fn names_hash_as_published() {
        // FNV test vectors (IETF draft-eastlake-fnv, appendix; from memory).
        assert_eq!(id(""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(id("a"), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(id("foobar"), 0x8594_4171_f739_67e8);
    }

    #[test]
    fn the_generator_is_splitmix64() {
        // SplitMix64 from state 1234567, the values printed at rosettacode.org (from memory).
        let mut s = Stream { state: 1_234_567 };
        let got: Vec<u64> = (0..5).map(|_| s.next_u64()).collect();
        let want =
            [6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821];
        assert_eq!(got, want);
    }

    #[test]
    fn a_block_is_a_complete_hypercube_whatever_follows() {
        let (mut a, mut b) = ([0.0; BLOCK], [0.0; BLOCK]);
        for block in 0..4 {
            uniform_block(7, id("study/walls/skim-1"), block, &mut a);
            let mut hit = [0; BLOCK];
            a.iter().for_each(|u| hit[(u * BLOCK as f64) as usize] += 1);
            assert_eq!(hit, [1; BLOCK]);
            uniform_block(7, id("study/walls/skim-1"), block, &mut b);
            assert_eq!(a, b);
            for other in [(8, "study/walls/skim-1", block), (7, "study/walls/skim-2", block)] {
                uniform_block(other.0, id(other.1), other.2, &mut b);
                let same = a.iter().zip(&b).filter(|(x, y)| (*x * 500.0) as i32 == (*y * 500.0) as i32).count();
                // Matches of two random orders: Poisson with mean 1.
                assert!(same <= 8, "{same}");
            }
        }
        let mut z = [0.0; BLOCK];
        uniform_block(7, 1, 3, &mut a);
        normal_block(7, 1, 3, &mut z);
        assert!(z.iter().zip(a).all(|(z, u)| (normal::cdf(*z) - u).abs() < 1e-14));
        // Mean and sd of a stratified block hardly differ from 0 and 1.
        let mean = z.iter().sum::<f64>() / 500.0;
        let var = z.iter().map(|z| z * z).sum::<f64>() / 500.0;
        assert!(mean.abs() < 0.003 && (var - 1.0).abs() < 0.03, "{mean} {var}");
    }

    #[test]
    fn streams_are_even_and_unrelated() {
        // Chi-square of 64 bins over 64,000 draws, one axis of the key moved at a time.
        for axis in 0..4 {
            let mut bins = [0i64; 64];
            let (mut prev, mut cross) = (0.0, 0.0);
            for i in 0..64_000u64 {
                let k = |a| if a == axis { i } else { 5 };
                let u = uniform(k(0), k(1), k(2), k(3));
                assert!(u > 0.0 && u < 1.0);
                bins[(u * 64.0) as usize] += 1;
                cross += (u - 0.5) * (prev - 0.5);
                prev = u;
            }
            let chi: f64 = bins.iter().map(|&b| ((b - 1000) * (b - 1000)) as f64 / 1000.0).sum();
            // 63 degrees of freedom: mean 63, sd 11.2.
            assert!(chi > 25.0 && chi < 115.0, "axis {axis}: {chi}");
            // Serial correlation: sd 1/sqrt(n) = 0.004.
            assert!((cross * 12.0 / 64_000.0).abs() < 0.016, "axis {axis}");
        }
        assert_eq!(open(u64::MAX).to_bits(), (1.0 - 1.0 / (1u64 << 53) as f64).to_bits());
        assert!(open(0) > 0.0);
    }

    #[test]
    fn a_seed_gives_the_same_numbers_in_every_version() {
        // Our own first values: a change here changes every forecast ever kept.
        let mut s = Stream::new(1, id("study/walls/skim-1"), 2, 3);
        assert_eq!([s.bits(), s.bits()], [5_085_395_051_857_855_995, 7_861_330_000_710_571_218]);
        let mut u = [0.0; BLOCK];
        uniform_block(1, id("study/walls/skim-1"), 2, &mut u);
        assert_eq!([u[0].to_bits(), u[499].to_bits()], [4_601_997_564_291_416_326, 4_590_348_783_024_819_143]);
    }

    #[test]
    fn a_line_is_its_uniforms() {
        let line = Line::new(3, id("worker/you"));
        for (event, trial) in [(0, 0), (5, 7), (u64::MAX >> 2, 9_999)] {
            assert_eq!(line.uniform(event, trial), uniform(3, id("worker/you"), event, trial));
        }
    }

    #[test]
    fn whole_numbers_are_even() {
        let mut s = Stream::new(1, 2, 3, 4);
        let mut bins = [0; 7];
        (0..70_000).for_each(|_| bins[s.below(7) as usize] += 1);
        assert!(bins.iter().all(|&b| (9_600..10_400).contains(&b)), "{bins:?}");
        assert_eq!(s.below(0), 0);
    }
}
