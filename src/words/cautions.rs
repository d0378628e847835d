//! What can hurt somebody at a wire EDM machine: common practice, no source; no list is complete.

use crate::language::said;
use crate::library::Caution;

/// A caution: its title and what to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CautionText {
    /// A few words.
    pub title: &'static str,
    /// What can happen and what to do.
    pub text: &'static str,
}

impl CautionText {
    /// In the language that is spoken.
    #[must_use]
    pub fn spoken(self) -> Self {
        Self {
            title: said(self.title),
            text: said(self.text),
        }
    }
}

/// Where a job has a slug or part that comes free.
pub const SLUGS: CautionText = CautionText {
    title: key!("Slugs that come loose"),
    text: key!(
        "A slug or part that comes free can fall, jam the lower nozzle or short the wire. Heavy ones need a tab, a \
           magnet or a hand; never reach in while the wire runs."
    ),
};
/// On every machine.
pub const LIVE_WIRE: CautionText = CautionText {
    title: key!("The wire is live"),
    text: key!(
        "During cutting the wire and the work carry voltage. Doors and covers stay closed; slugs are taken out with \
           the generator off."
    ),
};
/// Where a wire breaks or is cut off.
pub const WIRE_ENDS: CautionText = CautionText {
    title: key!("Wire ends"),
    text: key!("The end of a wire whips when it breaks or is cut. Wear eye protection and gloves."),
};
/// On machines that run in oil, above all at night.
pub const OIL: CautionText = CautionText {
    title: key!("Oil as the dielectric"),
    text: key!(
        "Oil can burn: fire detection, extinguishing and full submersion, above all with nobody there."
    ),
};
/// In hardened and in rolled work.
pub const STRESS: CautionText = CautionText {
    title: key!("Stress in the work"),
    text: key!(
        "Residual stress can close the slot behind the wire or move the part as it is cut out."
    ),
};
/// On every job, whatever its material and pieces.
pub const ALWAYS: [CautionText; 4] = [LIVE_WIRE, WIRE_ENDS, OIL, STRESS];
/// About every estimate.
pub const PLANNING_AID: CautionText = CautionText {
    title: key!("What these figures are"),
    text: key!(
        "A planning aid, no machine setting. Rates, gaps and times are starting values to be compared with your own \
           finished cuts."
    ),
};
/// What comes before all of it.
pub const WHAT_COMES_FIRST: &str = key!(
    "The machine maker's manual, the rules that hold where you work and trained people \
                                    come before anything written here."
);

/// What to do about a material's dust and sludge.
pub fn of_material(caution: Caution) -> CautionText {
    match caution {
        Caution::ReactiveFines => CautionText {
            title: say!("Reactive fines"),
            text: say!(
                "Fine particles of this metal can burn and give off hydrogen in the dielectric. Keep the work \
                   covered, change filters as the machine maker says, and let no dry sludge gather."
            ),
        },
        Caution::ToxicSludge => CautionText {
            title: say!("Poisonous sludge"),
            text: say!(
                "Sludge, filters and resin of this work hold metal that is poisonous when swallowed or breathed \
                   in. Keep it wet, wear gloves, and dispose of it as hazardous waste."
            ),
        },
    }
}
