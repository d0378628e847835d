//! Pieces that come loose: what to beware of, and why waste comes out as a slug after all.

use crate::estimate::{NotEroded, SlugCaution};
use crate::plan::erosion::MOST_RINGS;

/// The caution for a slug.
pub fn slug(caution: SlugCaution) -> &'static str {
    match caution {
        SlugCaution::MayFall => {
            say!(
                "This slug is heavy enough to fall when it comes free. Support it before the cut-off and keep hands clear. \
             Follow the machine maker's manual and your shop's safety rules."
            )
        }
        SlugCaution::MayJam => {
            say!(
                "This slug is small enough to slip into the lower nozzle, where it can jam or break it or the wire. Hold \
             it with a magnet or a tab, or burn it out. Follow the machine maker's manual."
            )
        }
    }
}

/// The caution for the part itself.
pub fn part(caution: SlugCaution) -> &'static str {
    match caution {
        SlugCaution::MayFall => {
            say!(
                "This part is heavy enough to fall when it comes free. Support it before the cut-off and keep hands clear. \
             Follow the machine maker's manual and your shop's safety rules."
            )
        }
        SlugCaution::MayJam => {
            say!(
                "This part is small enough to slip into the lower nozzle, where it can jam or break it or the wire. Hold \
             it before the cut-off. Follow the machine maker's manual."
            )
        }
    }
}

/// The caution for waste that falls into so many pieces.
pub fn falls_apart(pieces: usize) -> String {
    say!(
        "This waste falls into {pieces} pieces during the rough, because the kerf takes the necks between them. The tab \
         holds one of them; the others come loose before it is cut, and can jam the lower nozzle, short the wire or \
         fall. Somebody stays with the rough, and all of them are taken out after it. Hold them with a magnet, or burn \
         the waste out. Follow the machine maker's manual."
    )
}

/// Why waste is not burnt out though it should have been, and what happens instead.
pub fn not_eroded(why: NotEroded) -> String {
    let why = match why {
        NotEroded::HoldsOthers => say!(
            "other contours that are cut lie in this opening, and they would be burnt out with it"
        )
        .to_owned(),
        NotEroded::TooLarge => say!("this opening would take more than {MOST_RINGS} rings"),
    };
    say!(
        "The waste cannot be burnt out: {why}. It comes out as a slug, and the stop for it is counted."
    )
}
