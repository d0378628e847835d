//! What has been found once, by all that it rests on.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hash, Hasher};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};

/// Answers by what was asked.
///
/// A question holds everything that its answer rests on, so an answer never grows old: what has changed is another
/// question. The same is never worked out twice at once; who asks while it is being worked out waits for it. Beyond `MOST`
/// answers all are forgotten.
#[derive(Debug)]
pub(super) struct Remembered<Q, A, const MOST: usize> {
    known: Mutex<Known<Q, A>>,
}

type Known<Q, A> = HashMap<Q, Place<A>, BuildHasherDefault<Mixed>>;

/// Where an answer is, or will be.
pub(super) type Place<A> = Arc<OnceLock<A>>;

impl<Q: Eq + Hash, A: Clone, const MOST: usize> Remembered<Q, A, MOST> {
    /// The answer, found now if it is new.
    ///
    /// It is found outside the lock, so that other questions are answered meanwhile; where finding it ends early nothing is
    /// remembered.
    pub(super) fn answer(&self, question: Q, find: impl FnOnce() -> A) -> A {
        let place = place::<Q, A, MOST>(&mut self.lock(), question);
        place.get_or_init(find).clone()
    }

    /// The places of several answers, found or not.
    pub(super) fn places(&self, questions: impl Iterator<Item = Q>) -> Vec<Place<A>> {
        let mut known = self.lock();
        questions
            .map(|q| place::<Q, A, MOST>(&mut known, q))
            .collect()
    }

    fn lock(&self) -> MutexGuard<'_, Known<Q, A>> {
        self.known.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn place<Q: Eq + Hash, A, const MOST: usize>(known: &mut Known<Q, A>, question: Q) -> Place<A> {
    if known.len() >= MOST && !known.contains_key(&question) {
        known.clear();
    }
    Arc::clone(known.entry(question).or_default())
}

impl<Q, A, const MOST: usize> Default for Remembered<Q, A, MOST> {
    fn default() -> Self {
        Self {
            known: Mutex::default(),
        }
    }
}

/// Mixes the numbers of a question: bits of coordinates, and what is a hash already. No stranger chooses these, and they
/// are looked up many thousand times an estimate.
#[derive(Debug, Default)]
pub(super) struct Mixed(u64);

impl Mixed {
    /// Odd, with no order in its bits: the golden ratio's.
    const FACTOR: u64 = 0x9E37_79B9_7F4A_7C15;
}

impl Hasher for Mixed {
    fn write(&mut self, bytes: &[u8]) {
        for chunk in bytes.chunks(8) {
            let mut whole = [0; 8];
            whole[..chunk.len()].copy_from_slice(chunk);
            self.write_u64(u64::from_le_bytes(whole));
        }
    }
    fn write_u64(&mut self, number: u64) {
        // The upper half holds what the multiplication has mixed; it goes down to where the next number comes.
        self.0 = (self.0.rotate_left(32) ^ number).wrapping_mul(Self::FACTOR);
    }
    fn write_usize(&mut self, number: usize) {
        self.write_u64(number as u64);
    }
    fn write_isize(&mut self, number: isize) {
        self.write_u64(number as u64);
    }
    fn finish(&self) -> u64 {
        self.0.rotate_left(32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;
    use std::collections::HashSet;
    use std::hash::BuildHasher;

    #[test]
    fn an_answer_is_found_once_and_forgotten_among_many() {
        let known: Remembered<u32, u32, 3> = Remembered::default();
        let found = Cell::new(0);
        let square = |n: u32| {
            known.answer(n, || {
                found.set(found.get() + 1);
                n * n
            })
        };
        assert_eq!([3, 4, 3, 5, 4].map(square), [9, 16, 9, 25, 16]);
        assert_eq!(found.get(), 3);
        assert_eq!([6, 3].map(square), [36, 9]);
        assert_eq!(found.get(), 5);
    }

    #[test]
    fn half_an_answer_is_none() {
        let known: Remembered<u32, u32, 3> = Remembered::default();
        let broken = std::panic::AssertUnwindSafe(|| {
            known.answer(1, || std::panic::resume_unwind(Box::new("left early")))
        });
        assert!(std::panic::catch_unwind(broken).is_err());
        assert_eq!(known.answer(1, || 7), 7);
    }

    #[test]
    fn neighbouring_coordinates_lie_apart() {
        // Two of 65 536 numbers that are spread at random fall on one of 2³² places with a chance of a half: no more than
        // a few do.
        let hashes = BuildHasherDefault::<Mixed>::default();
        let places: HashSet<u32> = (0..65_536_u32)
            .map(|k| hashes.hash_one((f64::from(k) * 0.125).to_bits()) as u32)
            .collect();
        assert!(places.len() > 65_500, "{}", places.len());
    }
}
