//! Who threads the wire.

/// Who threads the wire on a machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Threading {
    /// As the shop's rates say.
    #[default]
    AsTheShop,
    /// The machine.
    ByItself,
    /// Somebody: longer, and an operator stands there.
    ByHand,
}

impl Threading {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::AsTheShop, Self::ByItself, Self::ByHand];
    /// As written in a file.
    pub fn key(self) -> &'static str {
        match self {
            Self::AsTheShop => "as the shop",
            Self::ByItself => "by itself",
            Self::ByHand => "by hand",
        }
    }
}
