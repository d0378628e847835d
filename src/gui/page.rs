//! The pages of the right-hand side: what each is called, what it shows, and its key.

use egui::Key;

/// A page of the right-hand side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Page {
    /// Why a figure is what it is.
    Why,
    /// Every item of the enquiry, in the middle of the window.
    Enquiry,
    /// The list of steps.
    Steps,
    /// What was decided for the contour selected.
    Contour,
    /// What would have to change for a thicker wire.
    Limits,
    /// The job by the clock, day and night.
    Night,
    /// Import findings, obstacles and uncut spots.
    Findings,
    /// Rates and habits.
    Shop,
    /// The shop's own library over the built-in one.
    Library,
    /// The drawing in front against another open one.
    Compare,
    /// Quick variants of the drawing beside it.
    Variants,
    /// Finished cuts and what they teach.
    Cuts,
    /// Curves over thickness, passes or material, and what matters most.
    WhatIf,
    /// What a part costs by quantity.
    Quantities,
    /// The plan that is wanted, and time against cost of all.
    Plan,
    /// What a faster run is worth, in parts, wire and money.
    Worth,
    /// The quote as it will be printed, in the middle of the window.
    Quote,
    /// What to watch for.
    Cautions,
    /// The method, the figures, the cautions.
    Guide,
    /// Version, licences, and where the shop's files are.
    About,
}

impl Page {
    /// All, in the order of the tabs.
    pub const ALL: [Self; 20] = [
        Self::Enquiry,
        Self::Quote,
        Self::Why,
        Self::Steps,
        Self::Contour,
        Self::Limits,
        Self::Night,
        Self::Findings,
        Self::Shop,
        Self::Library,
        Self::Compare,
        Self::Variants,
        Self::Cuts,
        Self::WhatIf,
        Self::Quantities,
        Self::Plan,
        Self::Worth,
        Self::Cautions,
        Self::Guide,
        Self::About,
    ];
    /// Whether it lies in the middle of the window, in place of drawing and wires.
    pub fn takes_window(self) -> bool {
        matches!(self, Self::Enquiry | Self::Quote)
    }
    /// Whether it says nothing of a drawing, and is there without one.
    pub fn is_of_no_drawing(self) -> bool {
        matches!(self, Self::Guide | Self::About)
    }
    /// Whether it holds tables or charts.
    pub fn is_wide(self) -> bool {
        matches!(
            self,
            Self::Cuts
                | Self::WhatIf
                | Self::Night
                | Self::Library
                | Self::Worth
                | Self::Plan
                | Self::Variants
        )
    }
    /// Its title, what it shows in a sentence, and the bare key that opens it.
    pub fn about(self) -> (&'static str, &'static str, Option<Key>) {
        match self {
            Self::Enquiry => (
                say!("Enquiry"),
                say!(
                    "All drawings of the enquiry in one table: quantities, verdicts, times, prices"
                ),
                Some(Key::J),
            ),
            Self::Why => (
                say!("Why"),
                say!("What a figure is made of, and how far each part can be relied on"),
                Some(Key::Y),
            ),
            Self::Steps => (
                say!("Steps"),
                say!("Everything the machine and the operator do, in order"),
                Some(Key::S),
            ),
            Self::Contour => (
                say!("Contour"),
                say!("Passes, thickness, tab and start hole of the contour selected"),
                Some(Key::E),
            ),
            Self::Limits => (
                say!("Limits"),
                say!("The radius each wire leaves, and what would let a thicker one in"),
                Some(Key::G),
            ),
            Self::Night => (
                say!("Night"),
                say!(
                    "When it is done by the clock, whether it runs unattended through the night, and what waits for \
                 an operator"
                ),
                Some(Key::T),
            ),
            Self::Findings => (
                say!("Findings"),
                say!("What the import and the chosen wire need looked at"),
                Some(Key::N),
            ),
            Self::Shop => (
                say!("Shop rates"),
                say!("Rates, wire price, set-up and utilisation of your shop"),
                Some(Key::R),
            ),
            Self::Library => (
                say!("Library"),
                say!(
                    "Materials, wires, passes, overheads and spools: the built-in ones, and your own over them"
                ),
                Some(Key::B),
            ),
            Self::Compare => (
                say!("Two drawings"),
                say!(
                    "The drawing in front against another open one: which minutes, and where the wire goes"
                ),
                Some(Key::D),
            ),
            Self::Variants => (
                say!("Variants"),
                say!(
                    "The same drawing with larger radii, scaled, mirrored, without an opening, in another thickness or with \
                 other passes: time, wire and cost beside the original"
                ),
                Some(Key::Num2),
            ),
            Self::Cuts => (
                say!("Finished cuts"),
                say!("Log finished cuts, and let the estimates learn from them"),
                Some(Key::L),
            ),
            Self::WhatIf => (
                say!("What if"),
                say!(
                    "Time, wire or cost against thickness, passes or material, and what matters most"
                ),
                Some(Key::I),
            ),
            Self::Quantities => (
                say!("Quantities"),
                say!(
                    "What a part costs in lots of 1, 5, 20, 100 or your own, and what is paid once"
                ),
                Some(Key::Q),
            ),
            Self::Plan => (
                say!("Plan"),
                say!(
                    "The cheapest or the soonest way that is fine enough and done in time, and time against cost of all"
                ),
                Some(Key::A),
            ),
            Self::Quote => (
                say!("Quote"),
                say!(
                    "The customer’s quote and the shop’s set-up sheets page by page, with letterhead and words; saved as PDF"
                ),
                Some(Key::Z),
            ),
            Self::Worth => (
                say!("Worth"),
                say!(
                    "What a faster run is worth in parts, wire and money, its freed hours sold or not"
                ),
                Some(Key::V),
            ),
            Self::Cautions => (
                say!("Cautions"),
                say!("What to watch for on this job"),
                None,
            ),
            Self::Guide => (
                say!("Guide"),
                say!("The method, what every figure means, how to calibrate, and cautions"),
                Some(Key::F1),
            ),
            Self::About => (
                say!("About Kerfcast"),
                say!("Version, licences, and the folder of your shop's files"),
                None,
            ),
        }
    }
}
