//! The job of a call: material, thickness, passes, wires, order.

use super::outcome::Failure;
use crate::job::{
    BurnOut, Candidate, Confirmed, CutOff, CuttingOrder, Flushing, Job, JobFault, LotOrder,
    TightRadii, Travel,
};
use crate::library::Library;
use crate::profile::Keep;
use crate::units::{Length, Mass};
use crate::words::{System, job_faults, ways};
use clap::ValueEnum;

/// Arguments that describe a job.
#[derive(Debug, clap::Args)]
pub struct JobArguments {
    /// Thickness of the work, mm.
    #[arg(long, value_name = "MM")]
    thickness: Option<f64>,
    /// Material, by its name in the library. Default: cold-work tool steel, which is then said to be assumed.
    #[arg(long, value_name = "NAME")]
    material: Option<String>,
    /// Passes: 1 is the rough alone.
    #[arg(long, default_value_t = 4, value_name = "N")]
    passes: usize,
    /// How well the dielectric reaches the cut.
    #[arg(long, value_enum, default_value_t = FlushingArg::Close)]
    flushing: FlushingArg,
    /// A wire and its diameter in mm; may be repeated. Default: a choice of six. How it is run may follow
    /// behind a colon: the run-off in rough and skims in m/min ("…@0.25:10/6") or pass by pass
    /// ("…@0.25:10/9/8/6"), or the metres on a reel that is run back and forth and the hours it lasts
    /// ("…@0.18:reel 200/80").
    #[arg(long = "wire", value_name = "NAME@DIAMETER[:RUN]")]
    wires: Vec<String>,
    /// Parts in the lot.
    #[arg(long, default_value_t = 1, value_name = "N")]
    quantity: u32,
    /// In which order contours are roughed, skimmed and cut off.
    #[arg(long, value_enum, default_value_t = OrderArg::EachInTurn)]
    order: OrderArg,
    /// When slugs are cut off.
    #[arg(long, value_enum, default_value_t = CutOffArg::AfterSkims)]
    cut_off: CutOffArg,
    /// How the wire gets from one contour to the next.
    #[arg(long, value_enum, default_value_t = TravelArg::Rethread)]
    travel: TravelArg,
    /// Whether inside radii and sharp corners smaller than a wire leaves must come out as drawn. Left away, every
    /// wire has its figures, and those that leave a radius larger rank behind those that make it.
    #[arg(long, value_enum)]
    as_drawn: Option<AsDrawnArg>,
    /// Begin outlines from the edge of the blank, without a start hole.
    #[arg(long)]
    from_edge: bool,
    /// Burn out openings whose slug is at most so long, mm, instead of dropping it.
    #[arg(long, value_name = "MM", conflicts_with = "burn_out_mass")]
    burn_out_size: Option<f64>,
    /// Burn out openings whose slug weighs at most so much, kg.
    #[arg(long, value_name = "KG")]
    burn_out_mass: Option<f64>,
    /// Let pieces lighter than this drop with nobody there, kg. Without it every piece is secured first.
    #[arg(long, value_name = "KG")]
    drop_alone: Option<f64>,
    /// Clamp parts and skim their tab's stretch, instead of dressing it by hand.
    #[arg(long)]
    clamp_parts: bool,
    /// All parts of the lot lie on the machine at once, and their tabs wait until all else is cut.
    #[arg(long)]
    tabs_together: bool,
}

/// How well the dielectric reaches the cut.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum FlushingArg {
    /// Both nozzles close to the work.
    Close,
    /// One nozzle away.
    OneAway,
    /// Both away, or stepped or cross-drilled work.
    Away,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum OrderArg {
    /// Each contour is finished before the next is begun.
    EachInTurn,
    /// Every contour is roughed before the first skim.
    RoughsFirst,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum CutOffArg {
    /// The tab is cut last.
    AfterSkims,
    /// The slug leaves after the rough.
    BeforeSkims,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum TravelArg {
    /// The wire is cut and threaded anew.
    Rethread,
    /// Between outlines in the same waste the wire cuts its way across.
    KeepThreaded,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum AsDrawnArg {
    /// A wire that leaves any of them larger cannot do the job.
    Required,
    /// What the wires leave is good enough for this drawing.
    Accepted,
}

impl From<FlushingArg> for Flushing {
    fn from(arg: FlushingArg) -> Self {
        match arg {
            FlushingArg::Close => Self::Close,
            FlushingArg::OneAway => Self::OneAway,
            FlushingArg::Away => Self::Away,
        }
    }
}

/// The material where none is given.
const ASSUMED_MATERIAL: &str = "cold-work tool steel";

impl JobArguments {
    /// What is given for the drawings of this call.
    pub fn confirmed(&self) -> Confirmed {
        Confirmed {
            thickness: self.thickness.is_some(),
            material: self.material.is_some(),
        }
    }
    /// The job that they describe.
    ///
    /// # Errors
    /// No thickness is given, or a job that cannot be estimated whatever the drawing: what is wrong, and what the library has.
    pub fn job(&self, keep: Keep, library: &Library) -> Result<Job, Failure> {
        if self.thickness.is_none() {
            let message = say!(
                "The thickness of the work is missing. Give it in mm, such as --thickness 40."
            );
            return Err(Failure::Call(message.to_owned()));
        }
        self.job_or_assumed(keep, library)
    }
    /// The same; a thickness that is not given is assumed as in a new drawing, and said to be.
    ///
    /// # Errors
    /// A job that cannot be estimated whatever the drawing.
    pub fn job_or_assumed(&self, keep: Keep, library: &Library) -> Result<Job, Failure> {
        let mut job = Job::starting(library);
        if let Some(mm) = self.thickness {
            job.thickness = Length::from_mm(mm);
        }
        let wanted = self.material.as_deref().unwrap_or(ASSUMED_MATERIAL);
        job.material = material(wanted, library);
        job.passes = self.passes;
        job.flushing = self.flushing.into();
        job.quantity = self.quantity;
        job.order = match self.order {
            OrderArg::EachInTurn => CuttingOrder::EachInTurn,
            OrderArg::RoughsFirst => CuttingOrder::RoughsFirst,
        };
        job.cut_off = match self.cut_off {
            CutOffArg::AfterSkims => CutOff::AfterSkims,
            CutOffArg::BeforeSkims => CutOff::BeforeSkims,
        };
        job.travel = match self.travel {
            TravelArg::Rethread => Travel::Rethread,
            TravelArg::KeepThreaded => Travel::KeepThreaded,
        };
        job.tight_radii = match self.as_drawn {
            None => TightRadii::Undecided,
            Some(AsDrawnArg::Required) => TightRadii::Required,
            Some(AsDrawnArg::Accepted) => TightRadii::Accepted,
        };
        job.keep = keep;
        job.outlines_from_edge = self.from_edge;
        job.burn_out = match (self.burn_out_size, self.burn_out_mass) {
            (Some(mm), _) => BurnOut::UpToSize(Length::from_mm(mm)),
            (None, Some(kg)) => BurnOut::UpToMass(Mass::from_kg(kg)),
            (None, None) => BurnOut::Nothing,
        };
        job.shop.drops_alone = self.drop_alone.map_or(job.shop.drops_alone, Mass::from_kg);
        job.shop.clamps_parts |= self.clamp_parts;
        if self.tabs_together {
            job.lot_order = LotOrder::TabsTogether;
        }
        if !self.wires.is_empty() {
            job.candidates = self
                .wires
                .iter()
                .map(|w| candidate(w))
                .collect::<Result<_, _>>()?;
        }
        checked(job, library)
    }
}

/// The name of a material by its name or a designation; what is neither stays as given, and is refused with the job.
pub fn material(wanted: &str, library: &Library) -> String {
    let found = library.material_by_designation(wanted);
    found.map_or_else(|| wanted.to_owned(), |m| m.name.clone())
}

/// A job that can be estimated, or what is wrong with it.
///
/// # Errors
/// The first fault, with what the library has instead.
pub fn checked(job: Job, library: &Library) -> Result<Job, Failure> {
    if let Some(fault) = job.faults(library).first() {
        let names = |names: Vec<&str>| names.join(", ");
        let hint = match fault {
            JobFault::UnknownMaterial(_) => {
                say!(
                    " Materials: {}.",
                    names(library.materials.iter().map(|m| m.name.as_str()).collect())
                )
            }
            JobFault::UnknownWire(_) => {
                say!(
                    " Wires: {}.",
                    names(library.wires.iter().map(|w| w.name.as_str()).collect())
                )
            }
            _ => String::new(),
        };
        return Err(Failure::Call(format!(
            "{}{hint}",
            job_faults::sentence(fault, System::Metric)
        )));
    }
    Ok(job)
}

fn candidate(text: &str) -> Result<Candidate, Failure> {
    Candidate::parse(text).map_err(|why| Failure::Call(ways::no_candidate(text, &why)))
}
