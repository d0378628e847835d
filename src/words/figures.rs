//! One table of the figures of a wire: what each is called, how it is written, where it goes, and how it is got.
//!
//! The window's table of wires, the command's text, CSV and JSON, the report, comparisons and the charts of what if
//! go through [`TABLE`]; a line more here is a figure more in all of them.

use super::Style;
use crate::estimate::explain::average_feed;
use crate::estimate::terms::Against;
use crate::estimate::{Difference, Figures, Question, Ranged};
use crate::language::said;
use crate::plan::Share;
use crate::reason::Unit;
use crate::units::{Length, Mass, Minutes, Money};
use serde_json::{Map, Number, Value};

/// Heads of what a lot comes to, in the enquiry, the ladder of quantities and the job's text.
pub const TIME_EACH: &str = key!("time each");
/// See [`TIME_EACH`].
pub const COST_EACH: &str = key!("cost each");
/// See [`TIME_EACH`].
pub const COST_OF_ALL: &str = key!("cost of all");
/// Heads of the ladder of quantities.
pub const LADDER: [&str; 5] = [
    key!("parts"),
    COST_EACH,
    key!("range"),
    COST_OF_ALL,
    key!("time of all"),
];

/// How a figure is written, and the unit of its number in the core: min, m, kg, currency, µm, mm/min.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// A time of an estimate; min.
    Time,
    /// A length of wire; m.
    Wire,
    /// A mass of wire; kg.
    Mass,
    /// An amount in the shop's currency.
    Money,
    /// A whole number.
    Count,
    /// A number of things that may be part of one, such as 0.4 spools.
    Share,
    /// A roughness; µm.
    Roughness,
    /// A feed; mm/min.
    Feed,
}

impl Form {
    /// The sign of the unit; empty where the number says it itself or has none.
    pub fn unit(self, style: Style) -> &'static str {
        match self {
            Self::Time | Self::Money | Self::Count | Self::Share => "",
            Self::Wire => style.system.conversion(Unit::WireM).1,
            Self::Mass => style.system.conversion(Unit::Kg).1,
            Self::Roughness => style.system.conversion(Unit::Um).1,
            Self::Feed => style.system.conversion(Unit::Feed).1,
        }
    }
    /// The number in the unit that is shown, for axes.
    pub fn shown(self, style: Style, value: f64) -> f64 {
        let unit = match self {
            Self::Time | Self::Money | Self::Count | Self::Share => return value,
            Self::Wire => Unit::WireM,
            Self::Mass => Unit::Kg,
            Self::Roughness => Unit::Um,
            Self::Feed => Unit::Feed,
        };
        value * style.system.conversion(unit).0
    }
    /// The number without its unit, for columns that name it in their head.
    pub fn digits(self, style: Style, value: f64) -> String {
        match self {
            Self::Time => style.time(Minutes::from_min(value)),
            Self::Wire => style.wire_number(Length::from_m(value)),
            Self::Mass => style.mass_number(Mass::from_kg(value)),
            Self::Money => style.money(Money::from_amount(value)),
            Self::Count => style.number(value, 0),
            Self::Share => style.number(value, if value < 10.0 { 2 } else { 1 }),
            Self::Roughness => style.significant(self.shown(style, value), 2),
            Self::Feed => style.significant(self.shown(style, value), 3),
        }
    }
    /// The number with its unit.
    pub fn words(self, style: Style, value: f64) -> String {
        style.with_unit(&self.digits(style, value), self.unit(style))
    }
    /// Two ends of a range, without the unit.
    pub fn range(self, style: Style, low: f64, high: f64) -> String {
        match self {
            Self::Time => style.time_range(Minutes::from_min(low), Minutes::from_min(high)),
            Self::Money => style.money_range(Money::from_amount(low), Money::from_amount(high)),
            Self::Roughness => style.roughness([low, high]),
            _ => format!("{} – {}", self.digits(style, low), self.digits(style, high)),
        }
    }
}

/// What a figure comes to, in the unit of its [`Form`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Got {
    /// The median; `None` for what is only known as a range.
    pub value: Option<f64>,
    /// Low and high, about two times in three.
    pub range: Option<(f64, f64)>,
    /// Whether it is in doubt beyond its range; a question mark then stands behind it.
    pub doubtful: bool,
    /// Of a count that is 0: the share of one that it is, which is then written.
    pub part_of_one: Option<f64>,
}

impl Got {
    fn one(value: f64) -> Self {
        Self {
            value: Some(value),
            range: None,
            doubtful: false,
            part_of_one: None,
        }
    }
    fn ranged<T: Copy>(r: Ranged<T>, number: impl Fn(T) -> f64) -> Self {
        Self {
            range: Some((number(r.low), number(r.high))),
            ..Self::one(number(r.median))
        }
    }
    fn count(value: u64, exactly: f64, (low, high): (u64, u64)) -> Self {
        // A week holds far fewer parts than a double counts exactly.
        Self {
            range: Some((low as f64, high as f64)),
            part_of_one: (value == 0).then_some(exactly),
            ..Self::one(value as f64)
        }
    }
    fn only_range([low, high]: [f64; 2], doubtful: bool) -> Self {
        Self {
            value: None,
            range: Some((low, high)),
            doubtful,
            part_of_one: None,
        }
    }
}

/// Where people meet a figure. JSON has every one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// A column of every table of wires; with its range as a column or a line of its own if so said.
    Table {
        /// Whether the range is shown there.
        range: bool,
    },
    /// A column where there is room, in text and report; in the window beside the table.
    RoomyTable,
    /// Beside the table, for the wire that is shown.
    Detail,
    /// In tables and charts of its own: the shares of the time.
    Part,
}

/// How a figure stands against that of the baseline.
pub type HeldAgainst = fn(&Difference) -> Against;

/// One figure of a wire.
#[derive(Debug, Clone, Copy)]
pub struct Entry {
    /// What it is called, everywhere.
    pub head: &'static str,
    /// How it is written.
    pub form: Form,
    /// Where people meet it.
    pub place: Place,
    /// What to ask to learn where it comes from.
    pub question: Option<Question>,
    /// Columns of CSV for value, low and high; empty where there is none.
    pub csv: [&'static str; 3],
    /// Keys of JSON for value, low and high, from the wire's object on: `cost.part`, `ranges.wire_m[0]`.
    pub json: [&'static str; 3],
    /// Its difference against the baseline.
    pub against: Option<HeldAgainst>,
    /// Whether it is one of a part, said once more for the whole lot.
    pub of_lot: bool,
    /// The figure itself.
    pub get: fn(&Figures) -> Got,
}

impl Entry {
    /// Whether a lot of so many parts has it beside the figure of a part: for a lot of one both are the same.
    pub fn says_something(&self, quantity: u32) -> bool {
        !self.of_lot || quantity > 1
    }
    /// The head in the language that is spoken.
    pub fn called(&self) -> &'static str {
        said(self.head)
    }
    /// The head with the unit of its numbers: "wire, m".
    pub fn head_with_unit(&self, style: Style) -> String {
        match self.form.unit(style) {
            "" => self.called().to_owned(),
            unit => format!("{}, {unit}", self.called()),
        }
    }
    /// The head of the column of differences: "Δ time".
    pub fn difference_head(&self) -> String {
        format!("Δ {}", self.called())
    }
    /// The number without its unit, the range where there is only that; "?" behind what is in doubt.
    pub fn digits(&self, style: Style, f: &Figures) -> String {
        let got = (self.get)(f);
        let doubt = if got.doubtful { "?" } else { "" };
        let digits = match (got.value, got.range) {
            _ if got.part_of_one.is_some() => {
                style.significant(got.part_of_one.unwrap_or_default(), 1)
            }
            (Some(v), _) => self.form.digits(style, v),
            (None, Some((low, high))) => self.form.range(style, low, high),
            (None, None) => "–".to_owned(),
        };
        format!("{digits}{doubt}")
    }
    /// [`Self::digits`] with the unit.
    pub fn words(&self, style: Style, f: &Figures) -> String {
        style.with_unit(&self.digits(style, f), self.form.unit(style))
    }
    /// The range without its unit; empty where there is none.
    pub fn range(&self, style: Style, f: &Figures) -> String {
        (self.get)(f)
            .range
            .map_or_else(String::new, |(low, high)| self.form.range(style, low, high))
    }
    /// Whether tables show its range beside it.
    pub fn shows_range(&self) -> bool {
        self.place == (Place::Table { range: true })
    }
    /// Value, low and high, as in [`Self::csv`] and [`Self::json`].
    fn numbers(&self, f: &Figures) -> [Option<f64>; 3] {
        let got = (self.get)(f);
        [got.value, got.range.map(|r| r.0), got.range.map(|r| r.1)]
    }
}

/// Said of every range of a figure.
pub const RANGE_HEAD: &str = key!("two in three");
/// Chance of being faster than the baseline, as a head.
pub const CHANCE_HEAD: &str = key!("chance to be faster");

const NONE: [&str; 3] = ["", "", ""];

/// Most lines of the table say only what differs from this.
const PLAIN: Entry = Entry {
    head: "",
    form: Form::Time,
    place: Place::Part,
    question: None,
    csv: NONE,
    json: NONE,
    against: None,
    of_lot: false,
    get: |_| Got::one(f64::NAN),
};

/// Time a part.
pub const TIME: Entry = Entry {
    head: key!("time"),
    place: Place::Table { range: true },
    question: Some(Question::Minutes),
    csv: ["minutes", "minutes_low", "minutes_high"],
    json: ["minutes.total", "minutes.low", "minutes.high"],
    against: Some(|d| d.minutes),
    get: |f| Got::ranged(f.minutes, Minutes::min_value),
    ..PLAIN
};

/// Wire a part.
pub const WIRE: Entry = Entry {
    head: key!("wire"),
    form: Form::Wire,
    place: Place::Table { range: false },
    question: Some(Question::Wire),
    csv: ["wire_m", "", ""],
    json: ["wire_m", "ranges.wire_m[0]", "ranges.wire_m[1]"],
    against: Some(|d| d.wire),
    get: |f| Got::ranged(f.wire, Length::m),
    ..PLAIN
};

/// Cost a part.
pub const COST: Entry = Entry {
    head: key!("cost"),
    form: Form::Money,
    place: Place::Table { range: true },
    question: Some(Question::Cost),
    csv: ["cost_part", "cost_low", "cost_high"],
    json: ["cost.part", "cost.low", "cost.high"],
    against: Some(|d| d.cost),
    get: |f| Got::ranged(f.cost.part, Money::amount),
    ..PLAIN
};

/// Of the cost, what is really spent where freed machine hours are not sold.
pub const UNSOLD: Entry = Entry {
    head: key!("unsold"),
    form: Form::Money,
    place: Place::Table { range: false },
    question: Some(Question::Unsold),
    csv: ["cost_unsold", "cost_unsold_low", "cost_unsold_high"],
    json: ["cost.unsold", "cost.unsold_low", "cost.unsold_high"],
    against: Some(|d| d.cash),
    get: |f| Got::ranged(f.cost.unsold, Money::amount),
    ..PLAIN
};

/// Parts that a machine makes in a week.
pub const PARTS_A_WEEK: Entry = Entry {
    head: key!("parts/week"),
    form: Form::Count,
    place: Place::Table { range: false },
    question: Some(Question::PartsPerWeek),
    csv: ["parts_per_week", "", ""],
    json: [
        "parts_per_week",
        "ranges.parts_per_week[0]",
        "ranges.parts_per_week[1]",
    ],
    get: |f| {
        Got::count(
            f.parts_per_week,
            f.parts_per_week_exactly,
            f.parts_per_week_range,
        )
    },
    ..PLAIN
};

/// Said of [`UNSOLD`], and of the two heads beside it.
pub const UNSOLD_REMARK: &str = key!(
    "Unsold: what is really spent where freed machine hours are not sold. Sold, a wire pays \
     from the gain in speed given; at the value of a machine hour given it turns."
);
/// Head of [`pays_from`].
pub const PAYS_HEAD: &str = key!("pays from");
/// Head of [`turns_at`].
pub const TURNS_HEAD: &str = key!("turns at");

/// The gain in speed from which a wire pays against the baseline, the freed hours sold: "+2.4 %".
pub fn pays_from(d: &Difference, style: Style) -> String {
    style.signed_difference(d.pays_from_gain)
}

/// The value of a machine hour at which it turns which of the two is cheaper: "7.46/h"; a dash where it never does.
pub fn turns_at(d: &Difference, style: Style) -> String {
    d.turns_at_rate
        .map_or_else(|| "–".to_owned(), |r| format!("{}/h", style.money(r)))
}

/// Every figure of a wire, medians a part unless its head says otherwise, in the order of all tables.
pub static TABLE: [Entry; 19] = [
    TIME,
    Entry {
        head: key!("cutting"),
        csv: ["cutting", "", ""],
        json: ["minutes.cutting", "", ""],
        get: |f| {
            let share = |s| f.share(s).min_value();
            Got::one(share(Share::Rough) + share(Share::Skims))
        },
        ..PLAIN
    },
    Entry {
        head: key!("corners"),
        question: Some(Question::Share(Share::Corners)),
        csv: ["corners", "", ""],
        json: ["minutes.corners", "", ""],
        get: |f| Got::one(f.share(Share::Corners).min_value()),
        ..PLAIN
    },
    Entry {
        head: key!("threading"),
        question: Some(Question::Share(Share::Threading)),
        csv: ["threading", "", ""],
        json: ["minutes.threading", "", ""],
        get: |f| Got::one(f.share(Share::Threading).min_value()),
        ..PLAIN
    },
    Entry {
        head: key!("slug stops"),
        question: Some(Question::Share(Share::SlugStops)),
        csv: ["slug_stops", "", ""],
        json: ["minutes.slug_stops", "", ""],
        get: |f| Got::one(f.share(Share::SlugStops).min_value()),
        ..PLAIN
    },
    Entry {
        head: key!("moves"),
        question: Some(Question::Share(Share::Moves)),
        csv: ["moves", "", ""],
        json: ["minutes.moves", "", ""],
        get: |f| Got::one(f.share(Share::Moves).min_value()),
        ..PLAIN
    },
    Entry {
        head: key!("breaks"),
        question: Some(Question::Share(Share::Breaks)),
        csv: ["breaks", "", ""],
        json: ["minutes.breaks", "", ""],
        get: |f| Got::one(f.share(Share::Breaks).min_value()),
        ..PLAIN
    },
    Entry {
        head: key!("allowance"),
        question: Some(Question::Share(Share::Allowance)),
        csv: ["allowance", "", ""],
        json: ["minutes.allowance", "", ""],
        get: |f| Got::one(f.share(Share::Allowance).min_value()),
        ..PLAIN
    },
    WIRE,
    Entry {
        head: key!("wire mass"),
        form: Form::Mass,
        place: Place::RoomyTable,
        question: Some(Question::WireMass),
        csv: ["wire_kg", "", ""],
        json: ["wire_kg", "ranges.wire_kg[0]", "ranges.wire_kg[1]"],
        get: |f| Got::ranged(f.wire_mass_ranged(), Mass::kg),
        ..PLAIN
    },
    COST,
    UNSOLD,
    PARTS_A_WEEK,
    Entry {
        head: key!("Ra"),
        form: Form::Roughness,
        place: Place::Table { range: false },
        question: Some(Question::Finish),
        csv: ["", "ra_low_um", "ra_high_um"],
        json: ["", "finish.ra_um[0]", "finish.ra_um[1]"],
        get: |f| Got::only_range(f.finish.roughness_um, f.finish.in_doubt.is_some()),
        ..PLAIN
    },
    // Metres, kilograms and spools of one and the same thing: the wire for the whole lot.
    Entry {
        head: key!("lot: wire"),
        form: Form::Wire,
        place: Place::Detail,
        csv: ["lot_wire_m", "", ""],
        json: ["lot.wire_m", "lot.ranges.wire_m[0]", "lot.ranges.wire_m[1]"],
        of_lot: true,
        get: |f| Got::ranged(f.wire_of_lot(), Length::m),
        ..PLAIN
    },
    Entry {
        head: key!("lot: wire mass"),
        form: Form::Mass,
        place: Place::Detail,
        csv: ["lot_wire_kg", "", ""],
        json: [
            "lot.wire_kg",
            "lot.ranges.wire_kg[0]",
            "lot.ranges.wire_kg[1]",
        ],
        of_lot: true,
        get: |f| Got::ranged(f.wire_mass_of_lot(), Mass::kg),
        ..PLAIN
    },
    Entry {
        head: key!("lot: spools"),
        form: Form::Share,
        place: Place::Detail,
        question: Some(Question::Spools),
        csv: ["spools", "", ""],
        json: ["spools", "ranges.spools[0]", "ranges.spools[1]"],
        get: |f| Got::ranged(f.spools_ranged(), |s| s),
        ..PLAIN
    },
    Entry {
        head: key!("operator"),
        place: Place::Detail,
        question: Some(Question::Attended),
        csv: ["attended_minutes", "", ""],
        json: ["attended_minutes", "", ""],
        get: |f| Got::one(f.attended.min_value()),
        ..PLAIN
    },
    Entry {
        head: key!("average feed"),
        form: Form::Feed,
        place: Place::Detail,
        question: Some(Question::AverageFeed),
        csv: ["average_feed_mm_min", "", ""],
        json: ["average_feed_mm_min", "", ""],
        get: |f| Got::one(average_feed(f).mm_per_min()),
        ..PLAIN
    },
];

/// The columns of every table of wires.
pub fn columns() -> impl Iterator<Item = &'static Entry> {
    TABLE
        .iter()
        .filter(|e| matches!(e.place, Place::Table { .. }))
}

/// The columns of tables with room: of text and report.
pub fn roomy_columns() -> impl Iterator<Item = &'static Entry> {
    let is_column = |p: Place| matches!(p, Place::Table { .. } | Place::RoomyTable);
    TABLE.iter().filter(move |e| is_column(e.place))
}

/// What is said beside a table with room.
pub fn details() -> impl Iterator<Item = &'static Entry> {
    TABLE.iter().filter(|e| e.place == Place::Detail)
}

/// What is said of the wire that is shown beside the window's table.
pub fn beside() -> impl Iterator<Item = &'static Entry> {
    let is_beside = |p: Place| matches!(p, Place::Detail | Place::RoomyTable);
    TABLE.iter().filter(move |e| is_beside(e.place))
}

/// The figures that are held against the baseline.
pub fn compared() -> impl Iterator<Item = (&'static Entry, HeldAgainst)> {
    TABLE.iter().filter_map(|e| Some((e, e.against?)))
}

/// A column of CSV and its unrounded number.
pub fn csv_columns() -> impl Iterator<Item = &'static str> {
    TABLE
        .iter()
        .flat_map(|e| e.csv)
        .filter(|name| !name.is_empty())
}

/// The cells under [`csv_columns`], unrounded; all empty without figures.
pub fn csv_cells(figures: Option<&Figures>) -> Vec<String> {
    let cell = |value: Option<f64>| value.map_or_else(String::new, |v| v.to_string());
    TABLE
        .iter()
        .flat_map(|e| {
            let numbers = figures.map_or([None; 3], |f| e.numbers(f));
            e.csv.into_iter().zip(numbers)
        })
        .filter(|(name, _)| !name.is_empty())
        .map(|(_, value)| cell(value))
        .collect()
}

/// All figures as JSON, unrounded, under their keys; every outermost key null without figures.
pub fn json(figures: Option<&Figures>) -> Map<String, Value> {
    let mut out = Map::new();
    for e in &TABLE {
        let numbers = figures.map_or([None; 3], |f| e.numbers(f));
        for (path, value) in e.json.into_iter().zip(numbers) {
            if path.is_empty() {
                continue;
            }
            match figures {
                None => {
                    let first = path.split('.').next().unwrap_or(path);
                    out.insert(first.to_owned(), Value::Null);
                }
                Some(_) => put(&mut out, path, number(e.form, value)),
            }
        }
    }
    out
}

/// Counts are written as whole numbers, all else as it is.
fn number(form: Form, value: Option<f64>) -> Value {
    let Some(v) = value else { return Value::Null };
    match form {
        Form::Count => Value::from(v as u64),
        _ => Number::from_f64(v).map_or(Value::Null, Value::Number),
    }
}

/// Puts a value at `name`, `group.name` or `group.name[index]`; places of a list come in order.
fn put(out: &mut Map<String, Value>, path: &str, value: Value) {
    if let Some((group, rest)) = path.split_once('.') {
        let inner = out
            .entry(group)
            .or_insert_with(|| Value::Object(Map::new()));
        if let Value::Object(inner) = inner {
            put(inner, rest, value);
        }
    } else if let Some((name, _)) = path.split_once('[') {
        let list = out.entry(name).or_insert_with(|| Value::Array(Vec::new()));
        if let Value::Array(list) = list {
            list.push(value);
        }
    } else {
        out.insert(path.to_owned(), value);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    fn unique<'a>(names: impl Iterator<Item = &'a str>) {
        let mut seen = HashSet::new();
        for name in names.filter(|n| !n.is_empty()) {
            assert!(seen.insert(name), "{name} stands twice");
        }
    }

    #[test]
    fn no_two_figures_share_a_head_a_column_or_a_key() {
        unique(TABLE.iter().map(|e| e.head));
        unique(TABLE.iter().flat_map(|e| e.csv));
        unique(TABLE.iter().flat_map(|e| e.json));
        assert!(TABLE.iter().all(|e| !e.head.is_empty()));
    }

    #[test]
    fn known_values_in_both_systems() {
        use crate::words::System;
        let (mm, inch) = (Style::plain(System::Metric), Style::plain(System::Inch));
        assert_eq!(Form::Wire.words(mm, 3048.0), "3048 m");
        // 0.3048 m to the foot, 0.45359237 kg to the pound, 25.4 mm and 25.4 µm·1000 to the inch: exact by definition.
        assert_eq!(Form::Wire.words(inch, 3048.0), "10 000 ft");
        assert_eq!(Form::Mass.words(inch, 4.535_923_7), "10.0 lb");
        assert_eq!(Form::Feed.words(mm, 2.54), "2.54 mm/min");
        assert_eq!(Form::Feed.words(inch, 2.54), "0.1 in/min");
        assert_eq!(Form::Roughness.range(inch, 0.254, 0.508), "10–20");
        assert_eq!(
            Form::Time.range(mm, 312.0, 605.0),
            "5 h 10 min – 10 h 10 min"
        );
        assert_eq!(Form::Money.digits(inch, 1234.4), "1234");
        assert_eq!(Form::Count.digits(mm, 29.0), "29");
        assert_eq!(Form::Share.digits(mm, 0.415), "0.41");
    }
}
