//! How fast the rough cuts: the thickness curve and what multiplies it.
//!
//! ln A(H) = ln A_peak − k_low·[ln(min(H, H₁)/H₁)]² − k_high·[ln(max(H, H₂)/H₂)]², a plateau between H₁ and H₂. With thin work the
//! rate grows with the thickness, with thick work the wire's cooling limits it (published: B. Schacht, *Composite wire electrodes
//! and alternative dielectrics for wire EDM*, PhD thesis, KU Leuven, 2004, eqs III.4 and III.6); the energy at which the wire
//! breaks still rose from 20 over 60 to 100 mm (published: T. Sato et al., "Wire-break prevention on wire electrical discharge
//! machining", J. Japan Society of Electrical Machining Engineers, 2013, section 3.2). A thin wire is limited by its own heat
//! sooner, so H₁ and H₂ shrink with it (judgement after Schacht's eq. III.6). Height, places and widths are values of the
//! library's [`Model`]: judgement, to be replaced by what the shop's own finished cuts say.

use super::wire_run::WireRun;
use crate::language::said;
use crate::library::{
    CurveReading, Factor, Flushing, Knowledge, Library, Material, Model, ThicknessCurve, Wire,
};
use crate::reason::{Figure, Sign, Unit};
use crate::reason::{Wording, short};
use crate::standing::{Standing, Value};
use crate::units::{CuttingRate, Feed, Length};

/// Diameter of the wire whose speed is 1.
pub const REFERENCE_DIAMETER: Length = Length::from_mm(0.25);

const CURVE_SOURCE: &str = key!(
    "shape: B. Schacht, PhD thesis, KU Leuven, 2004, eqs III.4 and III.6; its height and width: judgement, to be calibrated with your own finished cuts"
);

/// Thickness from which and up to which the best rate holds with a diameter.
pub fn plateau(diameter: Length, model: &Model) -> (Length, Length) {
    let shrunk = |edge: &Value| Length::from_mm(edge.value) * fineness(diameter);
    let (from, to) = (shrunk(&model.plateau_from), shrunk(&model.plateau_to));
    (from, to.max(from))
}

/// d/0.25 of a wire thinner than that, else 1.
fn fineness(diameter: Length) -> f64 {
    (diameter / REFERENCE_DIAMETER).min(1.0)
}

/// How far a thickness lies below and above the plateau: squares of the logarithms of the ratios, 0 on it.
///
/// Thinner work than that below which the feed is held counts as that.
pub fn beside_plateau(thickness: Length, diameter: Length, model: &Model) -> (f64, f64) {
    let (from, to) = plateau(diameter, model);
    let h = thickness.max(Length::from_mm(model.held_below.value));
    let fall = |ratio: f64| ratio.ln().powi(2);
    (fall(h.min(from) / from), fall(h.max(to) / to))
}

/// Share of the peak rate that a thickness reaches with a diameter, 0 … 1.
pub fn thickness_factor(thickness: Length, diameter: Length, model: &Model) -> f64 {
    let (below, above) = beside_plateau(thickness, diameter, model);
    let curve = (-model.k_low.value * below - model.k_high.value * above).exp();
    // In thin work the feed is held: the rate then falls in proportion.
    curve * (thickness.mm() / model.held_below.value).min(1.0)
}

/// Speed of a diameter against 0.25 mm: a power of d up to 0.25 mm, another above it, flat from some diameter on.
///
/// Between the published √d limit of Schacht 2004 and the d² seen with fine wire.
pub fn diameter_factor(diameter: Length, model: &Model) -> f64 {
    let d = diameter.mm().min(model.no_gain_above.value) / REFERENCE_DIAMETER.mm();
    let power = |exponent: &Value| match exponent.value {
        // The root is exact to the last bit.
        0.5 => d.sqrt(),
        e => d.powf(e),
    };
    power(if d <= 1.0 {
        &model.fine_exponent
    } else {
        &model.thick_exponent
    })
}

/// Speed of a kind of flushing in work of a thickness against both nozzles close.
///
/// In thin work the distance of the nozzles matters little (published: Sato et al. 2013, section 3.2); from there to where it
/// costs all that it does, the loss grows with the logarithm of the thickness (judgement).
pub fn flushing_factor(flushing: Flushing, thickness: Length, model: &Model) -> f64 {
    let Some(speed) = loss_of(flushing, model) else {
        return 1.0;
    };
    let (none, all) = (
        model.no_flushing_loss_up_to.value,
        model.full_flushing_loss_from.value,
    );
    let h = thickness.mm();
    let share = if h >= all {
        1.0
    } else if h <= none {
        0.0
    } else {
        (h / none).ln() / (all / none).ln()
    };
    1.0 - (1.0 - speed.value) * share
}

/// The number of the model behind a kind of flushing; `None` with both nozzles close.
fn loss_of(flushing: Flushing, model: &Model) -> Option<&Value> {
    match flushing {
        Flushing::Close => None,
        Flushing::OneAway => Some(&model.one_nozzle_away),
        Flushing::Away => Some(&model.both_nozzles_away),
    }
}

/// Best rate of the rough in the reference conditions.
pub fn peak_rate(model: &Model) -> CuttingRate {
    CuttingRate::from_mm2_per_min(model.peak_rate.value)
}

/// Length of the wire inside a plate when it leans by an angle in degrees: H/cos θ (computed).
pub fn leaning_length(thickness: Length, taper_degrees: f64) -> Length {
    thickness / taper_degrees.to_radians().cos()
}

/// Speed left when the wire leans: so much less a degree, never below a floor.
pub fn taper_factor(taper_degrees: f64, model: &Model) -> f64 {
    (1.0 - model.taper_slope.value * taper_degrees.abs()).max(model.taper_floor.value)
}

/// What the rough rate depends on.
#[derive(Debug, Clone, Copy)]
pub struct RoughConditions<'a> {
    /// Work material.
    pub material: &'a Material,
    /// Kind of wire.
    pub wire: &'a Wire,
    /// Its diameter.
    pub diameter: Length,
    /// Thickness of the work.
    pub thickness: Length,
    /// How well the dielectric reaches the cut.
    pub flushing: Flushing,
    /// Numbers of the formulas.
    pub model: &'a Model,
    /// The shop's own thickness curve, if it has one.
    pub curve: Option<&'a ThicknessCurve>,
    /// What was learned from finished cuts, if that is switched on.
    pub learned: Option<&'a Knowledge>,
    /// How the wire is run.
    pub run: WireRun,
}

impl<'a> RoughConditions<'a> {
    /// With the built-in model and curve, and nothing learned.
    pub fn new(
        material: &'a Material,
        wire: &'a Wire,
        diameter: Length,
        thickness: Length,
        flushing: Flushing,
    ) -> Self {
        Self {
            material,
            wire,
            diameter,
            thickness,
            flushing,
            model: &Library::built_in().model,
            curve: None,
            learned: None,
            run: WireRun::Usual,
        }
    }
    /// With the wire run another way.
    #[must_use]
    pub fn running(self, run: WireRun) -> Self {
        Self { run, ..self }
    }
    /// With the model and the curve of a library and what it has learned.
    #[must_use]
    pub fn in_library(self, library: &'a Library) -> Self {
        Self {
            model: &library.model,
            curve: library.thickness_curve.as_ref(),
            learned: library.learned.as_ref(),
            ..self
        }
    }
}

impl RoughConditions<'_> {
    /// Cut surface a minute.
    pub fn rate(&self) -> CuttingRate {
        self.starting_rate() * self.learned_speed()
    }
    /// The rate before anything was learned.
    pub fn starting_rate(&self) -> CuttingRate {
        peak_rate(self.model)
            * (self.thickness_factor()
                * self.material.relative_speed.value
                * self.wire.relative_speed.value
                * diameter_factor(self.diameter, self.model)
                * flushing_factor(self.flushing, self.thickness, self.model))
    }
    /// The feed before anything was learned.
    pub fn starting_feed(&self) -> Feed {
        self.starting_rate() / self.thickness
    }
    /// Which of the factors that finished cuts teach act on the rough in these conditions, each with how strongly.
    ///
    /// Factors that do not act there (no flushing trouble, the reference diameter) are left out.
    pub fn acting(&self) -> Vec<(Factor, f64)> {
        let model = self.model;
        let (below, above) = beside_plateau(self.thickness, self.diameter, model);
        let flushing = match self.flushing {
            Flushing::Close => 0.0,
            Flushing::OneAway | Flushing::Away => 1.0,
        };
        [
            (Factor::Machine, 1.0),
            (Factor::Material(self.material.name.as_str().into()), 1.0),
            (Factor::Wire(self.wire.name.as_str().into()), 1.0),
            (Factor::Diameter, diameter_factor(self.diameter, model).ln()),
            (Factor::CurveBelow, -below),
            (Factor::CurveAbove, -above),
            (Factor::Flushing(self.flushing), flushing),
        ]
        .into_iter()
        .filter(|(_, x)| *x != 0.0)
        .collect()
    }
    /// By how much finished cuts say that it is faster; 1 where nothing was learned.
    pub fn learned_speed(&self) -> f64 {
        self.learned.map_or(1.0, |k| k.speed(&self.acting()))
    }
    /// Rate at this thickness against the best one, from the shop's own curve where there is one.
    pub fn thickness_factor(&self) -> f64 {
        self.read_curve().map_or_else(
            || thickness_factor(self.thickness, self.diameter, self.model),
            |read| read.rate / peak_rate(self.model),
        )
    }
    fn read_curve(&self) -> Option<CurveReading> {
        // The points are those of a wire of 0.25 mm: a thinner one comes to each rate in work thinner by as much.
        let fine = fineness(self.diameter);
        let shape = |h: Length| thickness_factor(h * fine, self.diameter, self.model);
        self.curve.map(|c| c.at(self.thickness / fine, shape))
    }
    fn explain_flushing(&self) -> Figure {
        let value = flushing_factor(self.flushing, self.thickness, self.model);
        let words = self.flushing.words();
        let Some(speed) = loss_of(self.flushing, self.model) else {
            let why = say!("the reference: 1 by definition");
            return Figure::value(words, value, Unit::Plain, Standing::Computed, why);
        };
        if value == speed.value {
            return Figure::library(words, speed, Unit::Plain);
        }
        let why = Wording::with_lengths(
            say!(
                "{} in work of {at} and more, no loss up to {at}; {}",
                short(speed.value),
                said(&speed.source),
                at = Wording::LENGTH
            ),
            [
                &self.model.full_flushing_loss_from,
                &self.model.no_flushing_loss_up_to,
            ]
            .map(|v| Length::from_mm(v.value)),
        );
        Figure::value(words, value, Unit::Plain, speed.standing, why)
    }
    fn explain_diameter(&self) -> Figure {
        let exponent = if self.diameter <= REFERENCE_DIAMETER {
            &self.model.fine_exponent
        } else {
            &self.model.thick_exponent
        };
        Figure::value(
            say!("diameter"),
            diameter_factor(self.diameter, self.model),
            Unit::Plain,
            exponent.standing,
            exponent.source.clone(),
        )
    }
    fn explain_thickness(&self) -> Figure {
        let (standing, source) = match self.read_curve() {
            None => (Standing::Judgement, said(CURVE_SOURCE)),
            Some(r) if r.extrapolated => (
                Standing::Judgement,
                say!(
                    "outside the points of your own curve: its end carried on by the built-in shape"
                ),
            ),
            Some(_) => (
                Standing::Yours,
                say!("between the points of your own curve"),
            ),
        };
        Figure::value(
            say!("thickness"),
            self.thickness_factor(),
            Unit::Plain,
            standing,
            source,
        )
    }
    /// What was learned, a factor a line; nothing where nothing was.
    fn explain_learned(&self) -> Vec<(Sign, Figure)> {
        let Some(known) = self.learned else {
            return Vec::new();
        };
        self.acting()
            .into_iter()
            .filter(|(f, _)| known.learned(f).is_some())
            .map(|(f, x)| (Sign::Times, learned_figure(known, &f, x)))
            .collect()
    }
    /// Feed of the wire along its path where it runs straight.
    pub fn feed(&self) -> Feed {
        self.rate() / self.thickness
    }
    /// Why the rate is what it is.
    pub fn explain_rate(&self) -> Figure {
        let mut terms = vec![
            (
                Sign::Plus,
                Figure::library(
                    say!("best rate in cold-work tool steel"),
                    &self.model.peak_rate,
                    Unit::CuttingRate,
                ),
            ),
            (Sign::Times, self.explain_thickness()),
            (
                Sign::Times,
                Figure::library(
                    self.material.name.clone(),
                    &self.material.relative_speed,
                    Unit::Plain,
                ),
            ),
            (
                Sign::Times,
                Figure::library(
                    self.wire.name.clone(),
                    &self.wire.relative_speed,
                    Unit::Plain,
                ),
            ),
            (Sign::Times, self.explain_diameter()),
            (Sign::Times, self.explain_flushing()),
        ];
        terms.extend(self.explain_learned());
        Figure::formula(
            say!("rough rate"),
            self.rate().mm2_per_min(),
            Unit::CuttingRate,
            terms,
            "",
        )
    }
}

/// A learned factor as a multiplier on the speed (or on the run-off), with how many cuts it rests on.
pub(super) fn learned_figure(known: &Knowledge, factor: &Factor, slope: f64) -> Figure {
    let value = (slope * known.log_mean(factor)).exp();
    let figure = Figure::value(
        factor.words(),
        value,
        Unit::Plain,
        Standing::Yours,
        format!("{}, ×{value:.2}", known.source(factor)),
    );
    let spread = known.log_sd(factor).unwrap_or(0.0) * slope.abs();
    figure.with_range(value * (-spread).exp(), value * spread.exp())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::{CurvePoint, Library};

    fn steel(thickness: f64) -> f64 {
        let l = Library::built_in();
        RoughConditions::new(
            &l.materials[0],
            &l.wires[0],
            Length::from_mm(0.25),
            Length::from_mm(thickness),
            Flushing::Close,
        )
        .feed()
        .mm_per_min()
    }

    #[test]
    fn the_curve_gives_its_table() {
        // Values computed by an independent script from the same formula.
        for (h, v) in [
            (5.0, 11.88),
            (10.0, 9.27),
            (20.0, 6.26),
            (40.0, 3.66),
            (60.0, 2.5),
            (100.0, 1.50),
            (150.0, 0.92),
            (200.0, 0.59),
            (300.0, 0.27),
        ] {
            assert!((steel(h) - v).abs() < 0.006, "{h}: {}", steel(h));
        }
        assert!((steel(50.0) - 2.9851).abs() < 5e-5);
        assert!((steel(200.0) - 0.5898).abs() < 5e-5);
        assert!((steel(2.0) - 13.0119).abs() < 5e-5);
    }

    #[test]
    fn the_feed_falls_with_thickness_and_stays_below_the_trades_ceiling() {
        let mut last = f64::INFINITY;
        for tenth in 1..5000 {
            let v = steel(f64::from(tenth) * 0.1);
            assert!(v <= last + 1e-9, "{tenth}");
            last = v;
        }
        // Published ceiling: 25 in²/h = 268.8 mm²/min at 50.8 mm (Cutting Tool Engineering, 9 March 2017).
        let ceiling: f64 = 25.0 * 645.16 / 60.0;
        assert!((ceiling - 268.82).abs() < 0.01);
        assert!(steel(50.8) * 50.8 < ceiling);
    }

    #[test]
    fn taper_of_15_degrees_on_a_50_mm_plate() {
        let leaning = leaning_length(Length::from_mm(50.0), 15.0);
        assert!((leaning.mm() - 51.7638).abs() < 5e-5);
        let model = &Library::built_in().model;
        let wire = Length::from_mm(0.25);
        let rate = peak_rate(model) * thickness_factor(leaning, wire, model);
        let feed = rate / leaning * taper_factor(15.0, model);
        assert!((feed.mm_per_min() - 2.3684).abs() < 5e-5);
    }

    #[test]
    fn a_fine_wire_comes_to_its_best_rate_in_thinner_work() {
        // Ø 0.10 in 5 and 40 mm, from an independent script: 34.536 and 49.953 mm²/min.
        let l = Library::built_in();
        let rate = |h: f64| {
            let (d, h) = (Length::from_mm(0.10), Length::from_mm(h));
            let c = RoughConditions::new(&l.materials[0], &l.wires[0], d, h, Flushing::Close);
            c.rate().mm2_per_min()
        };
        assert!((rate(5.0) - 34.536).abs() < 5e-4, "{}", rate(5.0));
        assert!((rate(40.0) - 49.953).abs() < 5e-4, "{}", rate(40.0));
        // A plateau between: H₁ and H₂ are 24 and 40 mm.
        let wire = Length::from_mm(0.10);
        assert!((rate(24.0) - rate(40.0)).abs() < 1e-9 && rate(41.0) < rate(40.0));
        let (from, to) = plateau(wire, &l.model);
        assert!((from.mm() - 24.0).abs() < 1e-9 && (to.mm() - 40.0).abs() < 1e-9);
        // A thick wire leaves them as they are.
        assert_eq!(plateau(Length::from_mm(0.33), &l.model).1.mm(), 100.0);
    }

    #[test]
    fn flushing_costs_nothing_in_thin_work() {
        // One nozzle away in 10, 30 and 60 mm, from an independent script: 1.0000, 0.8774, 0.8000.
        let model = &Library::built_in().model;
        let of = |flushing, h| flushing_factor(flushing, Length::from_mm(h), model);
        for (h, expected) in [
            (10.0, 1.0),
            (30.0, 0.8774),
            (60.0, 0.8),
            (5.0, 1.0),
            (200.0, 0.8),
        ] {
            assert!((of(Flushing::OneAway, h) - expected).abs() < 5e-5, "{h}");
        }
        assert_eq!(of(Flushing::Away, 60.0), 0.55);
        assert_eq!(of(Flushing::Close, 60.0), 1.0);
    }

    #[test]
    fn an_own_curve_is_that_of_the_reference_wire() {
        // The built-in curve as points: where they lie for a fine wire it reads what it reads without them, and above them.
        let l = Library::built_in();
        let mm = Length::from_mm;
        let points = [5.0, 20.0, 60.0, 100.0, 200.0];
        let own = ThicknessCurve::new(
            points
                .map(|thickness_mm| CurvePoint {
                    thickness_mm,
                    rate_mm2_per_min: 150.0
                        * thickness_factor(mm(thickness_mm), REFERENCE_DIAMETER, &l.model),
                })
                .to_vec(),
        )
        .unwrap();
        for h in [8.0, 24.0, 40.0, 80.0, 120.0] {
            let c = RoughConditions::new(
                &l.materials[0],
                &l.wires[0],
                mm(0.10),
                mm(h),
                Flushing::Close,
            );
            let with = RoughConditions {
                curve: Some(&own),
                ..c
            };
            assert!(
                (with.thickness_factor() / c.thickness_factor() - 1.0).abs() < 1e-9,
                "{h}"
            );
        }
    }

    #[test]
    fn diameters_give_the_table() {
        let model = &Library::built_in().model;
        // diameter, factor: an independent table made from the same rule, three digits.
        for (d, f) in [
            (0.05, 0.145),
            (0.07, 0.217),
            (0.10, 0.333),
            (0.15, 0.542),
            (0.20, 0.765),
            (0.25, 1.0),
            (0.30, 1.095),
            (0.33, 1.095),
        ] {
            assert!(
                (diameter_factor(Length::from_mm(d), model) - f).abs() < 6e-4,
                "{d}"
            );
        }
    }

    #[test]
    fn the_explanation_recomputes_the_rate() {
        let l = Library::built_in();
        let c = RoughConditions::new(
            &l.materials[4],
            &l.wires[3],
            Length::from_mm(0.2),
            Length::from_mm(35.0),
            Flushing::OneAway,
        );
        let why = c.explain_rate();
        assert!((why.recomputed().unwrap() - c.rate().mm2_per_min()).abs() < 1e-9);
    }

    #[test]
    fn the_reference_conditions_touch_machine_material_and_wire_alone() {
        let l = Library::built_in();
        let mut c = RoughConditions::new(
            &l.materials[0],
            &l.wires[0],
            Length::from_mm(0.25),
            Length::from_mm(60.0),
            Flushing::Close,
        );
        assert_eq!(c.acting().len(), 3);
        c.thickness = Length::from_mm(20.0);
        c.flushing = Flushing::Away;
        c.diameter = Length::from_mm(0.20);
        let names: Vec<String> = c.acting().iter().map(|(f, _)| f.words()).collect();
        assert_eq!(names.len(), 6);
        assert!(names.contains(&"thin work".to_owned()));
        // Thinner than 3 mm counts as 3 mm.
        let at = |h: f64| {
            let thin = RoughConditions {
                thickness: Length::from_mm(h),
                ..c
            };
            thin.acting()
        };
        assert_eq!(at(1.0), at(3.0));
    }
}
