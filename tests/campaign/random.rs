//! A small deterministic source of numbers: the same seed gives the same jobs everywhere.

use sledwright::length::Length;

/// Generator after G. L. Steele, D. Lea and C. H. Flood, "Fast splittable pseudorandom number
/// generators", 2014 (known as splitmix64).
#[derive(Debug, Clone)]
pub struct Random(u64);

impl Random {
    /// A generator for this seed.
    pub fn new(seed: u64) -> Random {
        Random(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A whole number from `low` to `high`, both included.
    pub fn whole(&mut self, low: i64, high: i64) -> i64 {
        let span = (high - low + 1) as u64;
        low + (self.next() % span) as i64
    }

    /// True in `percent` cases of a hundred.
    pub fn chance(&mut self, percent: i64) -> bool {
        self.whole(1, 100) <= percent
    }

    /// One of the items.
    pub fn pick<T: Copy>(&mut self, items: &[T]) -> T {
        items[self.whole(0, items.len() as i64 - 1) as usize]
    }

    /// A multiple of `step` from `low` to `high`.
    pub fn size(&mut self, low: Length, high: Length, step: Length) -> Length {
        let (low, high) = (low.up(step).ticks() / step.ticks(), high.down(step).ticks() / step.ticks());
        step * self.whole(low, high.max(low))
    }
}

#[test]
fn first_numbers_are_those_of_the_published_generator() {
    // First outputs for seed 1234567 as printed with the reference code of splitmix64.
    let mut random = Random::new(1_234_567);
    let first = [random.next(), random.next(), random.next()];
    assert_eq!(first, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
}
