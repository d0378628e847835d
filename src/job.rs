//! What the user decides, apart from the drawing.

mod confirmed;
mod contour_choice;
pub mod hours;
mod made_variant;
mod parts;
mod shop;
mod tight_radii;
mod variant;

use crate::language::said;
pub use crate::library::Flushing;
use crate::library::{Library, Machine, Threading, Wire};
pub use crate::process::WireRun;
use crate::profile::{Keep, OpenChain, Profile, ProfileContour, Role};
use crate::units::{Length, Money};
pub use confirmed::Confirmed;
pub use contour_choice::{BurnOut, ContourChoice, CutOff, CuttingOrder, LotOrder, Travel, Waste};
pub use hours::{StaffedHours, WeekTime};
pub use made_variant::MadeVariant;
pub use parts::part_keys;
use serde::{Deserialize, Serialize};
pub use shop::{Blank, Shop};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
pub use tight_radii::TightRadii;
pub use variant::{Edit, Variant};

/// A wire with its diameter: one candidate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Candidate {
    /// Name in the library.
    pub wire: String,
    /// Diameter.
    pub diameter: Length,
    /// How it is run.
    #[serde(default)]
    pub run: WireRun,
}

impl Candidate {
    /// Diameters that wire is made in, mm (common practice, no source).
    pub const DIAMETER_MM: std::ops::RangeInclusive<f64> = 0.03..=0.4;

    /// From a library name and a diameter in mm.
    pub fn new(wire: &str, diameter_mm: f64) -> Self {
        Self {
            wire: wire.to_owned(),
            diameter: Length::from_mm(diameter_mm),
            run: WireRun::Usual,
        }
    }
    /// From "NAME@DIAMETER" in mm, with how it is run behind a colon where that is not the usual way: see [`WireRun::parse`].
    ///
    /// # Errors
    /// It is no wire, or not a way to run one.
    pub fn parse(text: &str) -> Result<Self, NoCandidate> {
        let (wire, run) = text.rsplit_once('@').map_or((text, ""), |(name, rest)| {
            rest.split_once(':').map_or((text, ""), |(d, run)| {
                (&text[..name.len() + 1 + d.len()], run)
            })
        });
        let parts = wire
            .rsplit_once('@')
            .and_then(|(name, d)| Some((name.trim(), d.trim().parse::<f64>().ok()?)));
        let (name, diameter) = parts.ok_or(NoCandidate::Wire)?;
        let run = WireRun::parse(run).ok_or_else(|| NoCandidate::Run(run.to_owned()))?;
        Ok(Self::new(name, diameter).running(run))
    }
    /// As [`Self::parse`] reads it back.
    pub fn written(&self) -> String {
        let run = self.run.written();
        let colon = if run.is_empty() { "" } else { ":" };
        format!("{}@{}{colon}{run}", self.wire, self.diameter.mm())
    }
    /// What cannot be estimated with this wire.
    pub fn faults(&self, library: &Library) -> Vec<JobFault> {
        let mut out = Vec::new();
        if library.wire(&self.wire).is_none() {
            out.push(JobFault::UnknownWire(self.wire.clone()));
        }
        if !self.run.is_sane() {
            out.push(JobFault::Run(self.wire.clone()));
        }
        if !Self::DIAMETER_MM.contains(&self.diameter.mm()) {
            out.push(JobFault::Diameter(self.diameter));
        }
        out
    }
    /// The same wire run another way.
    #[must_use]
    pub fn running(self, run: WireRun) -> Self {
        Self { run, ..self }
    }
}

/// Why a text names no wire to compare.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoCandidate {
    /// It is not a name, @ and a diameter.
    Wire,
    /// What stands behind the colon is no way to run a wire.
    Run(String),
}

/// Everything the user decides.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Job {
    /// Name in the library.
    pub material: String,
    /// Thickness of the work.
    pub thickness: Length,
    /// Passes, 1 (rough only) to 6.
    pub passes: usize,
    /// How well the dielectric reaches the cut.
    pub flushing: Flushing,
    /// Parts in the lot, at least 1.
    pub quantity: u32,
    /// What stays of the outermost contours.
    pub keep: Keep,
    /// Wires to compare, in the order shown.
    pub candidates: Vec<Candidate>,
    /// Index in `candidates` of the wire that the others are held against.
    pub baseline: usize,
    /// Contours out of the cut, by [`contour_key`].
    pub left_out: BTreeSet<usize>,
    /// Keys of the one part that is cut, contours and open chains; empty where all parts are.
    #[serde(default)]
    pub part: BTreeSet<usize>,
    /// How many of each part of the drawing make a set, by [`Job::part_key`]; 1 of those that are not named.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub counts: BTreeMap<usize, u32>,
    /// What was decided for single contours and open chains, by [`contour_key`] or [`chain_key`].
    #[serde(default)]
    pub contours: BTreeMap<usize, ContourChoice>,
    /// Each contour in turn, or all roughs first.
    #[serde(default)]
    pub order: CuttingOrder,
    /// From one contour to the next.
    #[serde(default)]
    pub travel: Travel,
    /// When slugs are cut off, unless a contour says otherwise.
    #[serde(default)]
    pub cut_off: CutOff,
    /// Which small openings are burnt out instead of dropping a slug, unless a contour says otherwise.
    #[serde(default)]
    pub burn_out: BurnOut,
    /// What is said of inside radii that a wire leaves larger than drawn.
    #[serde(default)]
    pub tight_radii: TightRadii,
    /// Outlines are begun from the edge of the blank, without a start hole.
    #[serde(default)]
    pub outlines_from_edge: bool,
    /// In which order the parts of the lot are let go.
    #[serde(default)]
    pub lot_order: LotOrder,
    /// When the first part is begun.
    #[serde(default = "Job::usual_begin")]
    pub begin: WeekTime,
    /// The machine that it is cut on, by its name; `None` is the shop's first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub machine: Option<String>,
    /// Quick variants of it that are held beside it; they change nothing of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub variants: Vec<Variant>,
    /// Rates and habits.
    pub shop: Shop,
}

impl Job {
    /// Thickness allowed, mm.
    pub const THICKNESS_MM: std::ops::RangeInclusive<f64> = 0.05..=1000.0;
    /// Most parts in a lot.
    pub const MOST_PARTS: u32 = 1_000_000;

    /// The job a new drawing starts with: 40 mm cold-work tool steel, rough and three skims.
    pub fn starting(library: &Library) -> Self {
        Self {
            material: "cold-work tool steel".to_owned(),
            thickness: Length::from_mm(40.0),
            passes: 4,
            flushing: Flushing::Close,
            quantity: 1,
            keep: Keep::Inside,
            candidates: vec![
                Candidate::new("hard plain brass", 0.25),
                Candidate::new("zinc-coated brass", 0.25),
                Candidate::new("beta-phase annealed brass", 0.25),
                Candidate::new("gamma-phase annealed brass", 0.25),
                Candidate::new("copper-core annealed", 0.25),
                Candidate::new("hard plain brass", 0.20),
            ],
            baseline: 0,
            left_out: BTreeSet::new(),
            part: BTreeSet::new(),
            counts: BTreeMap::new(),
            contours: BTreeMap::new(),
            order: CuttingOrder::EachInTurn,
            travel: Travel::Rethread,
            cut_off: CutOff::AfterSkims,
            burn_out: BurnOut::Nothing,
            tight_radii: TightRadii::Undecided,
            outlines_from_edge: false,
            lot_order: LotOrder::PartByPart,
            begin: Self::usual_begin(),
            machine: None,
            variants: Vec::new(),
            shop: Shop::from_library(library),
        }
    }

    /// Monday, 8:00.
    pub const fn usual_begin() -> WeekTime {
        WeekTime::new(0, 8 * 60)
    }

    /// Whether a contour is cut.
    pub fn cuts(&self, contour: &ProfileContour) -> bool {
        if self.part.is_empty() && self.left_out.is_empty() {
            return true;
        }
        let key = contour_key(contour);
        self.is_about(key) && !self.left_out.contains(&key)
    }

    /// Of every contour, whether it is cut.
    pub fn cut_mask(&self, profile: &Profile) -> Vec<bool> {
        profile.contours().iter().map(|c| self.cuts(c)).collect()
    }

    /// What was decided for single contours is forgotten: they are others now.
    pub fn forget_contours(&mut self) {
        self.left_out.clear();
        self.part.clear();
        self.contours.clear();
    }

    /// Start holes and entry points set by hand are forgotten, as in a drawing of another size; other decisions stay.
    pub fn forget_places(&mut self) {
        let keys: Vec<usize> = self.contours.keys().copied().collect();
        for key in keys {
            self.choose(key, |c| (c.hole, c.join) = (None, None));
        }
    }

    /// The machine that it is cut on; `None` where the shop has none, or none of that name.
    pub fn machine_in<'a>(&self, library: &'a Library) -> Option<&'a Machine> {
        match &self.machine {
            Some(name) => library.machine(name),
            None => library.machines.first(),
        }
    }

    /// The library with what was learned on the machine of this job; as it is where the shop has no machines.
    ///
    /// Cuts that name no machine are those of the only one. What was learned on another machine says nothing of this one.
    pub fn library_on_machine<'a>(&self, library: &'a Library) -> Cow<'a, Library> {
        if library.machines.is_empty() && library.learned_elsewhere.is_empty() {
            return Cow::Borrowed(library);
        }
        let own = self.machine_in(library).map(|m| m.name.as_str());
        let Some(name) = self.machine.as_deref().or(own) else {
            return Cow::Borrowed(library);
        };
        let is_only = library.machines.len() < 2;
        let learned = match &library.learned {
            Some(k) if k.machine == name => return Cow::Borrowed(library),
            Some(k) if k.machine.is_empty() && is_only => Some(k),
            _ => None,
        };
        let elsewhere = library.learned_elsewhere.iter().find(|k| k.machine == name);
        let learned = elsewhere.or(learned);
        if learned == library.learned.as_ref() {
            return Cow::Borrowed(library);
        }
        Cow::Owned(Library {
            learned: learned.cloned(),
            ..library.clone()
        })
    }

    /// What an hour of the machine costs: its own rate where it has one, else the shop's.
    pub fn machine_rate(&self, library: &Library) -> Money {
        let own = self.machine_in(library).and_then(|m| m.rate.as_ref());
        own.map_or(self.shop.machine_rate, |v| Money::from_amount(v.value))
    }

    /// Whether a wire run so is threaded by hand: as the machine or else the shop does, always from a reel that runs back and
    /// forth (common practice, no source), and where the wire is too soft to thread by itself.
    pub fn threads_by_hand(&self, run: WireRun, wire: &Wire, library: &Library) -> bool {
        let threading = self.machine_in(library).map(|m| m.threading);
        let usual = match threading.unwrap_or_default() {
            Threading::AsTheShop => self.shop.threads_by_hand,
            Threading::ByItself => false,
            Threading::ByHand => true,
        };
        usual || matches!(run, WireRun::Reciprocating { .. }) || wire.is_too_soft_to_thread(library)
    }

    /// Whether an open chain is cut on its line.
    pub fn cuts_on_line(&self, chain: &OpenChain) -> bool {
        let key = chain_key(chain);
        self.is_about(key) && self.choice(key).on_line
    }

    /// What was decided for a contour or chain.
    pub fn choice(&self, key: usize) -> &ContourChoice {
        self.contours
            .get(&key)
            .unwrap_or(&ContourChoice::AS_THE_JOB)
    }

    /// Decides something for one contour; a choice that comes back to the job's own is forgotten.
    pub fn choose(&mut self, key: usize, change: impl FnOnce(&mut ContourChoice)) {
        let mut choice = *self.choice(key);
        change(&mut choice);
        if choice == ContourChoice::AS_THE_JOB {
            self.contours.remove(&key);
        } else {
            self.contours.insert(key, choice);
        }
    }

    /// Decides the same for every contour and open chain of a layer.
    pub fn choose_layer(
        &mut self,
        profile: &Profile,
        layer: &str,
        mut change: impl FnMut(&mut ContourChoice),
    ) {
        let closed = profile.contours().iter().filter(|c| c.layer == layer);
        let open = profile.open().iter().filter(|c| c.layer == layer);
        let keys = closed.map(contour_key).chain(open.map(chain_key));
        keys.for_each(|key| self.choose(key, &mut change));
    }

    /// What a contour bounds, once it is known what stays and whether its side was turned.
    pub fn role(&self, profile: &Profile, contour: usize) -> Role {
        let role = profile.role(contour, self.keep);
        let turned = profile
            .contours()
            .get(contour)
            .is_some_and(|c| self.choice(contour_key(c)).turned);
        match (role, turned) {
            (role, false) => role,
            (Role::Outline, true) => Role::Opening,
            (Role::Opening, true) => Role::Outline,
        }
    }

    /// What cannot be estimated as it stands, the job's own faults first.
    pub fn faults(&self, library: &Library) -> Vec<JobFault> {
        let mut out = self.own_faults(library);
        out.extend(self.candidates.iter().flat_map(|c| c.faults(library)));
        out
    }

    /// What cannot be estimated with any wire, in the order of the fields.
    pub fn own_faults(&self, library: &Library) -> Vec<JobFault> {
        let mut out = Vec::new();
        if !Self::THICKNESS_MM.contains(&self.thickness.mm()) {
            out.push(JobFault::Thickness(self.thickness));
        }
        if library.material(&self.material).is_none() {
            out.push(JobFault::UnknownMaterial(self.material.clone()));
        }
        if self.passes == 0 || self.passes > library.passes.len() {
            out.push(JobFault::Passes {
                asked: self.passes,
                most: library.passes.len(),
            });
        }
        if self.quantity == 0 || self.quantity > Self::MOST_PARTS {
            out.push(JobFault::Quantity(self.quantity));
        }
        if !self.shop.staffed.is_sane() {
            out.push(JobFault::NobodyThere);
        }
        if !self.burn_out.is_sane() || !(0.0..=1e6).contains(&self.shop.drops_alone.kg()) {
            out.push(JobFault::LooseLimit);
        }
        for c in self.contours.values() {
            if let Some(t) = c
                .thickness
                .filter(|t| !Self::THICKNESS_MM.contains(&t.mm()))
            {
                out.push(JobFault::Thickness(t));
            }
            let most = ContourChoice::MOST_TAPER_DEGREES;
            if !(-most..=most).contains(&c.taper_degrees) {
                out.push(JobFault::Taper(c.taper_degrees));
            }
            if let Some(t) = c.tab.filter(|t| !ContourChoice::TAB_MM.contains(&t.mm())) {
                out.push(JobFault::Tab(t));
            }
        }
        out
    }
}

/// What identifies a contour while its drawing stays open: its lowest curve.
///
/// Another join gap renumbers contours, but not curves, so what was left out stays left out.
pub fn contour_key(contour: &ProfileContour) -> usize {
    contour.curves.iter().copied().min().unwrap_or(usize::MAX)
}

/// What identifies an open chain while its drawing stays open: its lowest curve.
pub fn chain_key(chain: &OpenChain) -> usize {
    chain.curves.iter().copied().min().unwrap_or(usize::MAX)
}

/// How many passes as one says it: "rough", "rough and one skim", …
pub fn passes_words(passes: usize) -> String {
    const NUMBER: [&str; 6] = [
        key!("no"),
        key!("one"),
        key!("two"),
        key!("three"),
        key!("four"),
        key!("five"),
    ];
    match passes {
        0 | 1 => say!("rough only").to_owned(),
        2 => say!("rough and one skim").to_owned(),
        n => say!(
            "rough and {} skims",
            said(NUMBER.get(n - 1).copied().unwrap_or(key!("many")))
        ),
    }
}

/// A decision that cannot be estimated.
#[derive(Debug, Clone, PartialEq)]
pub enum JobFault {
    /// Out of range or no number.
    Thickness(Length),
    /// No such material.
    UnknownMaterial(String),
    /// No such wire.
    UnknownWire(String),
    /// A way to run a wire that cannot be; the wire's name.
    Run(String),
    /// A diameter that no wire has.
    Diameter(Length),
    /// More or fewer passes than the library describes.
    Passes {
        /// Asked for.
        asked: usize,
        /// The library's number of passes.
        most: usize,
    },
    /// The wire leans farther than the rule for its speed reaches, degrees.
    Taper(f64),
    /// A tab that is no length.
    Tab(Length),
    /// A limit for pieces that come loose that is no size or mass.
    LooseLimit,
    /// No day on which anybody is in the shop.
    NobodyThere,
    /// No parts or too many.
    Quantity(u32),
}

/// Contours that the job cuts.
pub fn cut_contours<'a>(
    job: &'a Job,
    profile: &'a Profile,
) -> impl Iterator<Item = (usize, &'a ProfileContour)> {
    profile
        .contours()
        .iter()
        .enumerate()
        .filter(|(_, c)| job.cuts(c))
}

/// Drawn length of all that the job cuts, chains that are cut on their line included.
pub fn cut_length(job: &Job, profile: &Profile) -> Length {
    let closed = cut_contours(job, profile).map(|(_, c)| c.drawn_length);
    let open = profile.open().iter().filter(|c| job.cuts_on_line(c));
    closed.chain(open.map(|c| c.drawn_length)).sum()
}
