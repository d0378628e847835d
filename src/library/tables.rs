//! The one table of fields: what a material, a wire, a diameter, a pass, a spool, an overhead and the model of the rate are
//! made of. Struct, file, checks and the page of the library all come from these lines; the numbers lie in `assets/library`.

use super::content::{CellType, Content};
use super::field::{Field, table_of_fields};
use super::kind::{Caution, Kind};
use super::on_hand;
use super::threading::Threading;
use crate::standing::{Standing, Value};
use crate::units::Density;

table_of_fields! {
    /// A work material.
    Material by
        /// Name as in the job, unique.
        name: String
    {
        /// Common designations, by which it can be found.
        designations: Vec<String> => Field::words("Also called").used_for("finds the material"),
        /// What kind of material it is.
        kind: Kind => Field::words("Kind"),
        /// Rough speed relative to cold-work tool steel.
        relative_speed: Value => Field::number("Speed in the rough", "", 0.01, 20.0).short("speed"),
        /// Mass per volume.
        density: Value => Field::number("Density", "kg/m³", 500.0, 25_000.0).short("density"),
        /// Where it melts.
        melting_point: Option<Value> => Field::number("Melting point", "°C", 0.0, 5000.0).information(),
        /// What to warn about.
        caution: Option<Caution> => Field::words("Caution").used_for("decides which caution is shown"),
    }
}

table_of_fields! {
    /// A kind of wire, apart from its diameter.
    Wire by
        /// Name as in the job, unique.
        name: String
    {
        /// Core metal.
        core: String => Field::words("Core").information(),
        /// Coating, or "none".
        coating: String => Field::words("Coating").information(),
        /// Rough speed relative to hard plain brass of the same diameter.
        relative_speed: Value => Field::number("Speed in the rough", "", 0.01, 20.0).short("speed"),
        /// Price a kilogram relative to plain brass.
        price_factor: Value => Field::number("Price a kilogram", "", 0.05, 200.0).short("price"),
        /// Mass per volume.
        density: Value => Field::number("Density", "kg/m³", 500.0, 25_000.0),
        /// Tensile strength.
        tensile_strength: Value => Field::number("Tensile strength", "N/mm²", 50.0, 6000.0),
        /// Roughness Ra left, relative to hard plain brass in the same pass.
        roughness: Value => Field::number("Roughness it leaves", "", 0.2, 5.0).before(roughness_of_plain_brass),
        /// Lowest run-off in skims that usually keeps that finish, at 0.25 mm.
        skim_run_off: Value => Field::number("Least wire speed in skims", "m/min", 0.1, 60.0).before(skim_run_off_of_plain_brass),
        /// What it is good for.
        note: String => Field::words("Note").information(),
    }
}

table_of_fields! {
    /// What a wire diameter changes against 0.25 mm.
    Diameter by
        /// mm.
        diameter_mm: f64
    {
        /// Multiplies spark gap and stock.
        gap_and_stock: Value => Field::number("Gap and stock", "", 0.1, 5.0).short("gap and stock"),
        /// Multiplies run-off.
        run_off: Value => Field::number("Wire speed", "", 0.1, 5.0).short("wire speed"),
        /// Thickness of steel beyond which it is unusual.
        usual_max_thickness: Value => Field::number("Thickest usual work", "mm", 0.5, 1000.0),
        /// Usual tension.
        usual_tension: Value => Field::number("Usual tension", "N", 0.05, 100.0).information(),
    }
}

table_of_fields! {
    /// One pass: the rough or a skim.
    PassRow by
        /// "rough", "skim 1", …
        name: String
    {
        /// Feed against the rough feed in the same conditions.
        feed_ratio: Value => Field::number("Feed against the rough", "", 0.05, 50.0).short("feed"),
        /// Spark gap between wire and finished wall, at 0.25 mm wire.
        spark_gap: Value => Field::number("Spark gap", "mm", 0.0005, 0.3).short("spark gap"),
        /// Stock this pass removes per side, at 0.25 mm wire.
        stock: Value => Field::number("Stock it takes off", "mm", 0.0, 0.5),
        /// At 0.25 mm wire.
        run_off: Value => Field::number("Run-off", "m/min", 0.1, 60.0),
        /// Depth c of the corner slowdown, 0 … 1.
        corner_slowdown: Value => Field::number("Slowing in corners", "", 0.0, 0.95),
        /// Usual roughness Ra afterwards, low and high, µm.
        roughness_um: [f64; 2] => Field::number("Usual roughness Ra", "µm", 0.0, 50.0),
        /// Usual tolerance afterwards, low and high, mm.
        tolerance_mm: [f64; 2] => Field::number("Usual tolerance", "mm", 0.0, 1.0).used_for("decides which passes reach a tolerance"),
    }
}

table_of_fields! {
    /// A spool by its common name.
    Spool by
        /// Common name.
        name: String
    {
        /// Wire on it.
        net_mass: Value => Field::number("Wire on it", "kg", 0.05, 200.0).short("holds"),
    }
}

table_of_fields! {
    /// A machine of the shop. What it does not say sets no limit.
    Machine by
        /// As the shop calls it, and as its finished cuts name it.
        name: String
    {
        /// Travel of the work table or the head.
        travel_x: Option<Value> => Field::number("Travel in X", "mm", 1.0, 20_000.0),
        /// The same, across.
        travel_y: Option<Value> => Field::number("Travel in Y", "mm", 1.0, 20_000.0),
        /// Thickest work between its nozzles.
        height: Option<Value> => Field::number("Highest work", "mm", 0.1, 5000.0),
        /// Heaviest work on its table.
        mass: Option<Value> => Field::number("Heaviest work", "kg", 0.01, 1e6),
        /// Steepest taper.
        taper: Option<Value> => Field::number("Steepest taper", "°", 0.0, 60.0),
        /// Wire diameters that its guides take, mm; all where none is named.
        diameters: Vec<String> => Field::words("Wire diameters it takes").checked(on_hand::diameter_fault),
        /// Wires on hand for it, each as NAME or NAME@DIAMETER; nothing is known where none is named.
        wires: Vec<String> => Field::words("Wires on hand").checked(on_hand::wire_fault),
        /// Spools on hand for it; nothing is known where none is named.
        spools: Vec<String> => Field::words("Spools on hand"),
        /// Who threads.
        threading: Threading => Field::words("Threading"),
        /// Its own rate in place of the shop's.
        rate: Option<Value> => Field::number("Its own rate", "currency/h", 0.0, 1e6),
    }
}

const RATES: &str = key!("Rates and prices");
const LOT: &str = key!("Lot and week");
const THREADING: &str = key!("Threading and breaks");
const HOLES: &str = key!("Start holes");
const ENDS: &str = key!("Beginning and end of a cut");

table_of_fields! {
    /// What comes on top of cutting, and the shop's rates.
    Overheads {
        /// Currency an hour.
        machine_rate: Value => Field::number("Machine rate", "currency/h", 0.0, 1e6).under(RATES),
        /// Currency an hour.
        labour_rate: Value => Field::number("Labour rate", "currency/h", 0.0, 1e6).under(RATES),
        /// Currency a kilogram of plain brass.
        wire_price: Value => Field::number("Plain brass wire", "currency/kg", 0.0, 1e6).under(RATES),
        /// Currency a kilogram.
        scrap_value: Value => Field::number("Used wire as scrap", "currency/kg", 0.0, 1e6).under(RATES),
        /// Currency an hour of machine time.
        consumables: Value => Field::number("Filters, resin, contacts", "currency/h", 0.0, 1e6).under(RATES),
        /// h a lot.
        setup: Value => Field::number("Set-up per lot", "h", 0.0, 1e4).under(LOT),
        /// h a lot.
        programming: Value => Field::number("Programming per lot", "h", 0.0, 1e4).under(LOT),
        /// min a part.
        inspection: Value => Field::number("Inspection of a part", "min", 0.0, 1e5).under(LOT),
        /// Percent of the week in which the machine cuts.
        uptime: Value => Field::number("Machine utilisation", "%", 0.1, 100.0).under(LOT),
        /// min.
        automatic_threading: Value => Field::number("Automatic threading", "min", 0.0, 1e4).under(THREADING),
        /// % of automatic threadings that succeed without help.
        threading_success: Value => Field::number("Threadings that succeed", "%", 0.0, 100.0).under(THREADING),
        /// min.
        manual_threading: Value => Field::number("Threading by hand", "min", 0.0, 1e4).under(THREADING),
        /// min.
        rethreading_after_break: Value => Field::number("Threading after a break", "min", 0.0, 1e4).under(THREADING),
        /// Breaks an hour of roughing.
        breaks_in_rough: Value => Field::number("Wire breaks in the rough", "1/h", 0.0, 1e3).under(THREADING),
        /// Tensile strength from which a wire threads by itself.
        threading_strength: Value => Field::number("Strength from which a wire threads by itself", "N/mm²", 0.0, 6000.0).under(THREADING),
        /// m.
        threading_waste: Value => Field::number("Wire wasted at a threading", "m", 0.0, 1e4).under(THREADING),
        /// min a hole.
        hole_setup: Value => Field::number("Setting up a start hole", "min/hole", 0.0, 1e4).under(HOLES),
        /// Left between a start hole's edge and the kerf of the rough, mm.
        hole_stock: Value => Field::number("Stock between hole and kerf", "mm", 0.0, 10.0).under(HOLES),
        /// mm/min in anything but carbide; divided by.
        hole_drilling: Value => Field::number("Drilling in steel", "mm/min", 0.01, 1e5).under(HOLES),
        /// mm/min in carbide; divided by.
        hole_drilling_carbide: Value => Field::number("Drilling in carbide", "mm/min", 0.01, 1e5).under(HOLES),
        /// mm.
        lead_in: Value => Field::number("Lead-in", "mm", 0.0, 1000.0).under(ENDS),
        /// Share of the rough feed.
        lead_in_feed: Value => Field::number("Feed in the lead-in", "of rough feed", 0.05, 1.0).under(ENDS),
        /// mm.
        overlap: Value => Field::number("Overlap past the start", "mm", 0.0, 1000.0).under(ENDS),
        /// mm.
        tab: Value => Field::number("Tab that holds the slug", "mm", 0.0, 1000.0).under(ENDS),
        /// min, somebody stands there.
        slug_removal: Value => Field::number("Taking a slug out", "min", 0.0, 1e4).under(ENDS),
        /// Share of taking a slug out that goes into securing it before its tab is cut.
        securing: Value => Field::number("Of that, securing it before its tab is cut", "of slug removal", 0.0, 1.0).under(ENDS),
        /// Bending stress allowed in the tab that holds a piece.
        tab_stress: Value => Field::number("Stress allowed in a tab", "N/mm²", 0.1, 1000.0).under(ENDS),
        /// min a part, at the bench: the stretch where its tab was.
        dressing: Value => Field::number("Dressing the tab's stretch by hand", "min", 0.0, 1e4).under(ENDS),
        /// min a part, between parts; somebody stands there.
        loading: Value => Field::number("Loading and aligning a part", "min", 0.0, 1e4).under(ENDS),
        /// mm/min; divided by.
        rapid: Value => Field::number("Moves between contours", "mm/min", 0.01, 1e5).under(ENDS),
    }
}

const RATE: &str = key!("Rate of the rough over the thickness");
const DIAMETERS: &str = key!("Diameter of the wire");
const FLUSHING: &str = key!("Flushing");
const TAPER: &str = key!("Taper");
const SKIMS: &str = key!("Skims");

table_of_fields! {
    /// The numbers of the formulas by which the feed is found, for cold-work tool steel and 0.25 mm hard plain brass.
    Model {
        /// Best cutting rate, both nozzles close to the work.
        peak_rate: Value => Field::number("Best rate", "mm²/min", 1.0, 2000.0).under(RATE),
        /// Thickness at which it is reached, H₁; a wire thinner than 0.25 mm shrinks it by d/0.25.
        plateau_from: Value => Field::number("Reached at a thickness of", "mm", 1.0, 1000.0).under(RATE),
        /// Thickness up to which it holds, H₂; a wire thinner than 0.25 mm shrinks it by d/0.25.
        plateau_to: Value => Field::number("Holds up to", "mm", 1.0, 1000.0).under(RATE),
        /// How fast the rate falls in thinner work: ln A falls by this times the square of ln(H/H₁).
        k_low: Value => Field::number("Fall in thinner work", "", 0.0, 5.0).under(RATE),
        /// The same in thicker work, against H₂.
        k_high: Value => Field::number("Fall in thicker work", "", 0.0, 5.0).under(RATE),
        /// Below this thickness the feed is held, so that it never falls with thinner work.
        held_below: Value => Field::number("Feed is held below", "mm", 0.05, 100.0).under(RATE),
        /// Exponent of the diameter up to 0.25 mm.
        fine_exponent: Value => Field::number("Exponent up to 0.25 mm", "", 0.0, 4.0).under(DIAMETERS),
        /// Exponent of the diameter above 0.25 mm.
        thick_exponent: Value => Field::number("Exponent above 0.25 mm", "", 0.0, 4.0).under(DIAMETERS),
        /// Diameter above which more of it brings nothing.
        no_gain_above: Value => Field::number("No gain above", "mm", 0.25, 1.0).under(DIAMETERS),
        /// Speed with one nozzle away from thick work.
        one_nozzle_away: Value => Field::number("One nozzle away", "", 0.01, 2.0).under(FLUSHING),
        /// Speed with both away.
        both_nozzles_away: Value => Field::number("Both nozzles away", "", 0.01, 2.0).under(FLUSHING),
        /// Thickness up to which flushing costs nothing.
        no_flushing_loss_up_to: Value => Field::number("No loss up to a thickness of", "mm", 0.05, 1000.0).under(FLUSHING),
        /// Thickness from which it costs all of that; between both the loss grows with the logarithm of the thickness.
        full_flushing_loss_from: Value => Field::number("All of it from", "mm", 0.05, 1000.0).under(FLUSHING),
        /// Speed lost a degree of taper.
        taper_slope: Value => Field::number("Speed lost a degree", "1/°", 0.0, 1.0).under(TAPER),
        /// Speed that is left at least.
        taper_floor: Value => Field::number("Speed left at least", "", 0.01, 1.0).under(TAPER),
        /// A skim runs at most at this feed …
        skim_ceiling: Value => Field::number("Ceiling of the feed", "mm/min", 0.1, 1000.0).under(SKIMS),
        /// … or at this times the rough feed, whichever is more.
        skim_over_rough: Value => Field::number("Or the rough feed times", "", 0.01, 50.0).under(SKIMS),
    }
}

impl Material {
    /// Mass per volume.
    pub fn density(&self) -> Density {
        Density::from_kg_per_m3(self.density.value)
    }
    /// Whether start holes are drilled at the slower rate of carbide.
    pub fn is_carbide(&self) -> bool {
        self.kind == Kind::Carbide
    }
}

impl Wire {
    /// Whether it is too soft to be threaded by the machine, so that somebody has to do it.
    pub fn is_too_soft_to_thread(&self, library: &super::Library) -> bool {
        self.tensile_strength.value < library.overheads.threading_strength.value
    }
    /// Mass per volume.
    pub fn density(&self) -> Density {
        Density::from_kg_per_m3(self.density.value)
    }
}

/// For wires of the shop's own that say nothing about it: as the reference, not known well.
fn roughness_of_plain_brass() -> Value {
    Value {
        value: 1.0,
        low: Some(0.85),
        high: Some(1.15),
        unit: String::new(),
        standing: Standing::Judgement,
        source: "not said; taken as plain brass".to_owned(),
    }
}

/// For wires of the shop's own that say nothing about it.
fn skim_run_off_of_plain_brass() -> Value {
    Value {
        value: 7.0,
        low: Some(5.0),
        high: Some(9.0),
        unit: "m/min".to_owned(),
        standing: Standing::Judgement,
        source: "not said; taken as plain brass".to_owned(),
    }
}
