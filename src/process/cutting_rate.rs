//! How fast the rough cuts: the thickness curve and what multiplies it.
//!
//! ln A(H) = ln A_peak − k·[ln(H/H_peak)]². The hump: with thin work the rate grows with thickness, with
//! thick work the wire's cooling limits it (published: B. Schacht, *Composite wire electrodes and
//! alternative dielectrics for wire EDM*, PhD thesis, KU Leuven, 2004, eqs III.4 and III.6). Height, place
//! and widths are values of the library's [`Model`]: judgement, to be replaced by what the shop's own finished cuts say.

use super::acting::acting;
use super::wire_run::WireRun;
use crate::library::{
    CurveReading, Factor, Flushing, Knowledge, Library, Material, Model, ThicknessCurve, Wire,
};
use crate::reason::{Figure, Sign, Unit};
use crate::standing::{Standing, Value};
use crate::units::{CuttingRate, Feed, Length};

/// Diameter of the wire whose speed is 1.
pub const REFERENCE_DIAMETER: Length = Length::from_mm(0.25);

const CURVE_SOURCE: &str = "shape: B. Schacht, PhD thesis, KU Leuven, 2004, eqs III.4 and III.6; its height and width: judgement, to be calibrated with your own finished cuts";

/// Share of the peak rate that a thickness reaches with a wire of the reference diameter, 0 … 1.
///
/// 1 on the plateau from H₁ to H₂; beside it the logarithm falls with the square of the logarithm of the thickness.
pub fn thickness_factor(thickness: Length, model: &Model) -> f64 {
    let mm = |v: &Value| Length::from_mm(v.value);
    let (from, to, thin) = (
        mm(&model.plateau_from),
        mm(&model.plateau_to),
        mm(&model.held_below),
    );
    let curve = |h: Length| {
        let (k, edge) = if h < from {
            (model.k_low.value, from)
        } else {
            (model.k_high.value, to.max(from))
        };
        if h >= from && h <= edge {
            return 1.0;
        }
        (-k * (h / edge).ln().powi(2)).exp()
    };
    if thickness < thin {
        // Same feed as at that thickness: the rate then falls in proportion.
        curve(thin) * (thickness / thin)
    } else {
        curve(thickness)
    }
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

/// Speed of a kind of flushing against both nozzles close.
pub fn flushing_factor(flushing: Flushing, model: &Model) -> f64 {
    loss_of(flushing, model).map_or(1.0, |v| v.value)
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
                * flushing_factor(self.flushing, self.model))
    }
    /// The feed before anything was learned.
    pub fn starting_feed(&self) -> Feed {
        self.starting_rate() / self.thickness
    }
    /// By how much finished cuts say that it is faster; 1 where nothing was learned.
    pub fn learned_speed(&self) -> f64 {
        self.learned.map_or(1.0, |k| k.speed(&acting(self)))
    }
    /// Rate at this thickness against the best one, from the shop's own curve where there is one.
    pub fn thickness_factor(&self) -> f64 {
        self.read_curve().map_or_else(
            || thickness_factor(self.thickness, self.model),
            |read| read.rate / peak_rate(self.model),
        )
    }
    fn read_curve(&self) -> Option<CurveReading> {
        let shape = |h| thickness_factor(h, self.model);
        self.curve.map(|c| c.at(self.thickness, shape))
    }
    fn explain_flushing(&self) -> Figure {
        match loss_of(self.flushing, self.model) {
            Some(loss) => Figure::library(self.flushing.words(), loss, Unit::Plain),
            None => Figure::value(
                self.flushing.words(),
                1.0,
                Unit::Plain,
                Standing::Computed,
                "the reference: 1 by definition",
            ),
        }
    }
    fn explain_diameter(&self) -> Figure {
        let exponent = if self.diameter <= REFERENCE_DIAMETER {
            &self.model.fine_exponent
        } else {
            &self.model.thick_exponent
        };
        Figure::value(
            "diameter",
            diameter_factor(self.diameter, self.model),
            Unit::Plain,
            exponent.standing,
            exponent.source.clone(),
        )
    }
    fn explain_thickness(&self) -> Figure {
        let (standing, source) = match self.read_curve() {
            None => (Standing::Judgement, CURVE_SOURCE),
            Some(r) if r.extrapolated => (
                Standing::Judgement,
                "outside the points of your own curve: its end carried on by the built-in shape",
            ),
            Some(_) => (Standing::Yours, "between the points of your own curve"),
        };
        Figure::value(
            "thickness",
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
        acting(self)
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
                    "best rate in cold-work tool steel",
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
            "rough rate",
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
    use crate::library::Library;

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
            (100.0, 1.39),
            (150.0, 0.79),
            (200.0, 0.50),
            (300.0, 0.24),
        ] {
            assert!((steel(h) - v).abs() < 0.006, "{h}: {}", steel(h));
        }
        assert!((steel(50.0) - 2.9851).abs() < 5e-5);
        assert!((steel(200.0) - 0.4998).abs() < 5e-5);
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
        let rate = peak_rate(model) * thickness_factor(leaning, model);
        let feed = rate / leaning * taper_factor(15.0, model);
        assert!((feed.mm_per_min() - 2.3684).abs() < 5e-5);
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
}
