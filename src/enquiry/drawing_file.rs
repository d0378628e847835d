//! The bytes of a drawing as they came, and the hash that says whether they still are those.

use sha2::{Digest as _, Sha256};
use std::fmt;
use std::sync::Arc;

/// A SHA-256 (FIPS 180-4).
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Hash([u8; 32]);

impl Hash {
    /// Of some bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }
    /// Of several pieces, kept apart: the same bytes cut otherwise give another one.
    pub fn of_pieces(pieces: &[&[u8]]) -> Self {
        let mut hasher = Sha256::new();
        for piece in pieces {
            hasher.update((piece.len() as u64).to_le_bytes());
            hasher.update(piece);
        }
        Self(hasher.finalize().into())
    }
}

impl fmt::Display for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|b| write!(f, "{b:02x}"))
    }
}

impl fmt::Debug for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

/// A drawing's bytes with their hash.
#[derive(Clone, PartialEq, Eq)]
pub struct DrawingFile {
    bytes: Arc<[u8]>,
    hash: Hash,
}

impl DrawingFile {
    /// Of a file's bytes.
    pub fn new(bytes: impl Into<Arc<[u8]>>) -> Self {
        let bytes = bytes.into();
        let hash = Hash::of(&bytes);
        Self { bytes, hash }
    }
    /// The bytes.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }
    /// The bytes, shared.
    pub fn shared(&self) -> Arc<[u8]> {
        Arc::clone(&self.bytes)
    }
    /// What they hash to.
    pub fn hash(&self) -> Hash {
        self.hash
    }
}

impl fmt::Debug for DrawingFile {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} bytes, {}", self.bytes.len(), self.hash)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hashes_are_those_of_the_standard() {
        // FIPS 180-4 example "abc" and the empty message (NIST, Cryptographic Standards and Guidelines, example values).
        assert_eq!(
            Hash::of(b"abc").to_string(),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        assert_eq!(
            Hash::of(b"").to_string(),
            "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
        );
    }

    #[test]
    fn pieces_are_kept_apart() {
        assert_ne!(
            Hash::of_pieces(&[b"ab", b"c"]),
            Hash::of_pieces(&[b"a", b"bc"])
        );
    }
}
