//! The shop's rates and habits in a file: TOML with `kerfcast_rates = 1` at its head, one line each.
//!
//! A line that is not there stands at the library's value and follows it.

use crate::job::{Blank, Shop, StaffedHours};
use crate::language::Language;
use crate::library::Library;
use crate::numbers::DecimalSign;
use crate::toml_change::{self, Changed};
use crate::units::{Length, Mass, Money};
use toml_edit::{Document, DocumentMut, Item, Value};

/// Key of the head.
const HEAD: &str = "kerfcast_rates";
/// Version of the file that is written.
const VERSION: i64 = 1;
/// Most diameters of start holes.
const MOST_HOLES: usize = 50;

/// What a shop has decided for itself, beside its library and its cuts.
#[derive(Debug, Clone, PartialEq)]
pub struct Rates {
    /// Rates and habits, as every new job has them.
    pub shop: Shop,
    /// Whether estimates use what finished cuts have taught.
    pub learns: bool,
    /// The machine that estimates are for; `None` is that of the latest cut.
    pub machine: Option<String>,
    /// The decimal sign of the shop where it has said so; `None` where the system is asked.
    pub sign: Option<DecimalSign>,
    /// The language of window and command where the shop has said so; `None` for the system's.
    pub language: Option<Language>,
}

/// A line that cannot be as it is.
#[derive(Debug, Clone, PartialEq)]
pub struct RatesFault {
    /// Line, counted from 1.
    pub line: usize,
    /// Which.
    pub key: String,
    /// What is wrong.
    pub kind: RatesFaultKind,
}

/// What is wrong with a line.
#[derive(Debug, Clone, PartialEq)]
pub enum RatesFaultKind {
    /// No such line is known.
    Unknown,
    /// No number within its limits.
    Number {
        /// At least.
        low: f64,
        /// At most.
        high: f64,
    },
    /// Neither true nor false.
    Switch,
    /// No text in quotation marks.
    Text,
    /// A spool that the library lacks.
    Spool(String),
    /// No hours of a week.
    Hours,
    /// No list of diameters.
    Holes,
    /// No way to pay the work piece.
    Blank,
    /// No decimal sign.
    Sign,
    /// No language that Kerfcast speaks.
    Language,
}

/// Why a whole file is refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RatesFileError {
    /// No UTF-8 text.
    NoText,
    /// No TOML.
    NoToml {
        /// Line, counted from 1.
        line: usize,
        /// What the reader of TOML says.
        reason: String,
    },
    /// No head.
    NoRates,
    /// Saved by a later program.
    Newer(i64),
}

/// One line of the file.
struct Field {
    key: &'static str,
    /// What it is, with its unit.
    about: &'static str,
    cell: Cell,
}

/// How a line is read and written.
enum Cell {
    Number(f64, f64, fn(&Shop) -> Option<f64>, fn(&mut Shop, f64)),
    Switch(fn(&Rates) -> bool, fn(&mut Rates, bool)),
    Spool,
    Machine,
    Hours,
    Holes,
    Blank,
    Sign,
    Language,
}

const MOST_RATE: f64 = 1e6;

/// A rate that every shop has.
macro_rules! money {
    ($key:literal, $about:literal, $field:ident) => {
        Field {
            key: $key,
            about: $about,
            cell: Cell::Number(
                0.0,
                MOST_RATE,
                |s| Some(s.$field.amount()),
                |s, v| s.$field = Money::from_amount(v),
            ),
        }
    };
}
macro_rules! number {
    ($key:literal, $about:literal, $low:expr, $high:expr, $field:ident) => {
        Field {
            key: $key,
            about: $about,
            cell: Cell::Number($low, $high, |s| Some(s.$field), |s, v| s.$field = v),
        }
    };
}

const FIELDS: &[Field] = &[
    money!("machine_rate", "machine, an hour", machine_rate),
    money!("labour_rate", "labour, an hour", labour_rate),
    money!("wire_price", "plain brass wire, a kilogram", wire_price),
    money!("scrap_value", "used wire, a kilogram", scrap_value),
    money!(
        "consumables",
        "filters, resin, contacts and guides, an hour",
        consumables
    ),
    number!(
        "setup_hours",
        "set-up of a lot, hours",
        0.0,
        1e4,
        setup_hours
    ),
    number!(
        "programming_hours",
        "programming of a lot, hours",
        0.0,
        1e4,
        programming_hours
    ),
    Field {
        key: "programming_rate",
        about: "programming, an hour; without it as labour",
        cell: Cell::Number(
            0.0,
            MOST_RATE,
            |s| s.programming_rate.map(Money::amount),
            |s, v| s.programming_rate = Some(Money::from_amount(v)),
        ),
    },
    number!(
        "inspection_minutes",
        "inspection of a part, minutes at the labour rate",
        0.0,
        1e5,
        inspection_minutes
    ),
    Field {
        key: "blank",
        about: "the work piece: \"not counted\", { price = 12.5 } a part, or { price_per_kg = 6, allowance_mm = 5 }",
        cell: Cell::Blank,
    },
    Field {
        key: "other",
        about: "anything else, a part",
        cell: Cell::Number(
            0.0,
            1e9,
            |s| Some(s.other.amount()),
            |s, v| s.other = Money::from_amount(v),
        ),
    },
    Field {
        key: "markup_percent",
        about: "added to the whole, per cent",
        cell: Cell::Number(
            0.0,
            1000.0,
            |s| Some(s.markup * 100.0),
            |s, v| s.markup = v / 100.0,
        ),
    },
    Field {
        key: "uptime_percent",
        about: "share of the week in which the machine cuts, per cent",
        cell: Cell::Number(
            0.0,
            100.0,
            |s| Some(s.uptime * 100.0),
            |s, v| s.uptime = v / 100.0,
        ),
    },
    Field {
        key: "spool",
        about: "name of the spool that is loaded, as in the library",
        cell: Cell::Spool,
    },
    Field {
        key: "heavy_slug_kg",
        about: "from this mass on a slug may fall and has to be held, kg",
        cell: Cell::Number(
            0.0,
            1e4,
            |s| Some(s.heavy_slug.kg()),
            |s, v| s.heavy_slug = Mass::from_kg(v),
        ),
    },
    Field {
        key: "jamming_slug_mm",
        about: "up to this size a slug may jam in the lower nozzle, mm",
        cell: Cell::Number(
            0.0,
            1e3,
            |s| Some(s.jamming_slug.mm()),
            |s, v| s.jamming_slug = Length::from_mm(v),
        ),
    },
    Field {
        key: "drops_alone_kg",
        about: "below this mass a piece may drop with nobody there, kg",
        cell: Cell::Number(
            0.0,
            1e4,
            |s| Some(s.drops_alone.kg()),
            |s, v| s.drops_alone = Mass::from_kg(v),
        ),
    },
    Field {
        key: "clamps_parts",
        about: "whether parts are clamped while their tab's stretch is skimmed",
        cell: Cell::Switch(|r| r.shop.clamps_parts, |r, v| r.shop.clamps_parts = v),
    },
    Field {
        key: "hole_sizes_mm",
        about: "diameters of the start holes that the shop drills, mm",
        cell: Cell::Holes,
    },
    Field {
        key: "threads_by_hand",
        about: "whether the wire is threaded by hand",
        cell: Cell::Switch(
            |r| r.shop.threads_by_hand,
            |r, v| r.shop.threads_by_hand = v,
        ),
    },
    Field {
        key: "staffed",
        about: "when somebody is there, such as \"Mon-Fri 7:00-16:00\"",
        cell: Cell::Hours,
    },
    Field {
        key: "learn_from_cuts",
        about: "whether estimates use what the finished cuts have taught",
        cell: Cell::Switch(|r| r.learns, |r, v| r.learns = v),
    },
    Field {
        key: "machine",
        about: "the machine that estimates are for; without it that of the latest cut",
        cell: Cell::Machine,
    },
    Field {
        key: "decimal_sign",
        about: "\"point\" or \"comma\"; without it the system's, and what could mean two things is asked",
        cell: Cell::Sign,
    },
    Field {
        key: "language",
        about: "\"en\" or \"de\"; without it the system's",
        cell: Cell::Language,
    },
];

impl Rates {
    /// What stands where the shop has said nothing.
    pub fn of_library(library: &Library) -> Self {
        Self {
            shop: Shop::from_library(library),
            learns: false,
            machine: None,
            sign: None,
            language: None,
        }
    }

    /// Whether a file means to hold rates, however damaged it is.
    pub fn is_meant(bytes: &[u8]) -> bool {
        bytes
            .split(|b| *b == b'\n')
            .any(|line| line.trim_ascii_start().starts_with(HEAD.as_bytes()))
    }

    /// From the bytes of a file: what can be read of it, and the lines that cannot be as they are. Those stand at the
    /// library's value.
    ///
    /// # Errors
    /// It is no such file.
    pub fn parse(
        bytes: &[u8],
        library: &Library,
    ) -> Result<(Self, Vec<RatesFault>), RatesFileError> {
        let text = std::str::from_utf8(bytes).map_err(|_| RatesFileError::NoText)?;
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let doc = Document::parse(text).map_err(|e| RatesFileError::NoToml {
            line: e.span().map_or(1, |s| line_at(text, s.start)),
            reason: e.message().replace('\n', ", "),
        })?;
        match doc.get(HEAD).and_then(Item::as_integer) {
            Some(v) if v > VERSION => return Err(RatesFileError::Newer(v)),
            Some(v) if v >= 1 => {}
            _ => return Err(RatesFileError::NoRates),
        }
        let mut out = Self::of_library(library);
        let mut faults = Vec::new();
        for (key, item) in doc.iter().filter(|(key, _)| *key != HEAD) {
            let field = FIELDS.iter().find(|f| f.key == key);
            let taken = field.map_or(Err(RatesFaultKind::Unknown), |f| {
                f.cell.take(&mut out, item, library)
            });
            if let Err(kind) = taken {
                let at = doc.key(key).and_then(toml_edit::Key::span);
                faults.push(RatesFault {
                    line: line_at(text, at.map_or(0, |s| s.start)),
                    key: key.to_owned(),
                    kind,
                });
            }
        }
        Ok((out, faults))
    }

    /// Every line, for others: with what it is, also where it stands at the library's value.
    pub fn to_toml(&self) -> String {
        let mut out = format!(
            "# The shop's rates and habits. Amounts are in the shop's own currency.\n{HEAD} = {VERSION}\n"
        );
        for field in FIELDS {
            if let Some(value) = field.cell.value(self) {
                out.push_str(&format!("\n# {}\n{} = {value}\n", field.about, field.key));
            }
        }
        out
    }

    /// What makes this of `from`, done to the text of a file; a line that comes to stand at the library's value
    /// leaves the file. `None` for the text: there is no file yet.
    ///
    /// `None` where the text cannot be changed line by line.
    pub fn carried_over(
        &self,
        from: &Self,
        text: Option<&str>,
        library: &Library,
    ) -> Option<Changed> {
        let defaults = Self::of_library(library);
        let (mut before, mut after) = (DocumentMut::new(), DocumentMut::new());
        for field in FIELDS {
            let text = |value: &Option<Value>| value.as_ref().map(ToString::to_string);
            let (old, new) = (field.cell.value(from), field.cell.value(self));
            // What is not changed here is none of this change, whatever somebody else has made of it.
            if text(&old) == text(&new) {
                continue;
            }
            let usual = text(&field.cell.value(&defaults));
            if let Some(old) = old {
                before.insert(field.key, Item::Value(old));
            }
            if let Some(new) = new.filter(|v| Some(v.to_string()) != usual) {
                after.insert(field.key, Item::Value(new));
            }
        }
        let head = Self::head();
        let text = text.unwrap_or(&head);
        toml_change::carry_over(text, &before.to_string(), &after.to_string(), &|_| None)
    }

    /// A file in which nothing is said yet.
    fn head() -> String {
        let mut out = String::from(
            "# The shop's rates and habits. Amounts are in the shop's own currency.\n\
             # A line that is not here stands at the library's value. Lines that may be here:\n#\n",
        );
        for field in FIELDS {
            let limits = match field.cell {
                Cell::Number(low, high, ..) => format!(" ({low} to {high})"),
                _ => String::new(),
            };
            out.push_str(&format!("#   {:<20} {}{limits}\n", field.key, field.about));
        }
        out.push_str(&format!("\n{HEAD} = {VERSION}\n"));
        out
    }

    /// The first line that cannot be saved as it is: its key and its limits.
    pub fn fault(&self) -> Option<(&'static str, RatesFaultKind)> {
        FIELDS.iter().find_map(|f| match f.cell {
            Cell::Number(low, high, get, _) => {
                let v = get(&self.shop)?;
                (!(low..=high).contains(&v))
                    .then_some((f.key, RatesFaultKind::Number { low, high }))
            }
            Cell::Hours => (!self.shop.staffed.is_sane()).then_some((f.key, RatesFaultKind::Hours)),
            Cell::Blank => (!self.shop.blank.is_sane()).then_some((f.key, RatesFaultKind::Blank)),
            _ => None,
        })
    }
}

fn line_at(text: &str, byte: usize) -> usize {
    1 + text.bytes().take(byte).filter(|&b| b == b'\n').count()
}

/// A number; whole ones count as well.
fn number(item: &Item) -> Option<f64> {
    let whole = item.as_integer().map(|n| n as f64);
    item.as_float().or(whole)
}

fn within(item: Option<&Item>, low: f64, high: f64) -> Option<f64> {
    item.and_then(number).filter(|v| (low..=high).contains(v))
}

/// A number without the rounding that factors of 100 leave.
fn rounded(v: f64) -> Value {
    let short = (v * 1e9).round() / 1e9;
    Value::from(if (short - v).abs() <= 1e-12 * v.abs() {
        short
    } else {
        v
    })
}

impl Cell {
    fn value(&self, r: &Rates) -> Option<Value> {
        let s = &r.shop;
        match self {
            Self::Number(_, _, get, _) => get(s).map(rounded),
            Self::Switch(get, _) => Some(get(r).into()),
            Self::Spool => Some(s.spool.as_str().into()),
            Self::Machine => r.machine.as_deref().map(Value::from),
            Self::Hours => Some(s.staffed.to_string().into()),
            Self::Holes => Some(s.hole_sizes.iter().map(|l| l.mm()).collect()),
            Self::Sign => r.sign.map(|s| s.word().into()),
            Self::Language => r.language.map(|l| l.tag().into()),
            Self::Blank => Some(match s.blank {
                Blank::NotCounted => "not counted".into(),
                Blank::Price(price) => [("price", price.amount())].into_iter().collect(),
                Blank::ByMass { price, allowance } => {
                    let pairs = [
                        ("price_per_kg", price.amount()),
                        ("allowance_mm", allowance.mm()),
                    ];
                    pairs.into_iter().collect()
                }
            }),
        }
    }
    fn take(&self, r: &mut Rates, item: &Item, library: &Library) -> Result<(), RatesFaultKind> {
        let text = || item.as_str().ok_or(RatesFaultKind::Text);
        match *self {
            Self::Number(low, high, _, set) => {
                let v =
                    within(Some(item), low, high).ok_or(RatesFaultKind::Number { low, high })?;
                set(&mut r.shop, v);
            }
            Self::Switch(_, set) => set(r, item.as_bool().ok_or(RatesFaultKind::Switch)?),
            Self::Spool => {
                let name = text()?;
                if !library.spools.iter().any(|s| s.name == name) {
                    return Err(RatesFaultKind::Spool(name.to_owned()));
                }
                name.clone_into(&mut r.shop.spool);
            }
            Self::Machine => r.machine = Some(text()?.to_owned()),
            Self::Hours => {
                let hours = StaffedHours::parse(text()?).filter(StaffedHours::is_sane);
                r.shop.staffed = hours.ok_or(RatesFaultKind::Hours)?;
            }
            Self::Holes => {
                let list = item.as_array().filter(|a| a.len() <= MOST_HOLES);
                let holes: Option<Vec<Length>> = list.and_then(|a| {
                    let one = |v: &Value| within(Some(&Item::Value(v.clone())), 0.01, 100.0);
                    a.iter().map(|v| one(v).map(Length::from_mm)).collect()
                });
                r.shop.hole_sizes = holes.ok_or(RatesFaultKind::Holes)?;
            }
            Self::Sign => {
                let word = text()?;
                let sign = DecimalSign::ALL.into_iter().find(|s| s.word() == word);
                r.sign = Some(sign.ok_or(RatesFaultKind::Sign)?);
            }
            Self::Language => {
                let language = Language::of_tag(text()?);
                r.language = Some(language.ok_or(RatesFaultKind::Language)?);
            }
            Self::Blank => r.shop.blank = blank(item).ok_or(RatesFaultKind::Blank)?,
        }
        Ok(())
    }
}

fn blank(item: &Item) -> Option<Blank> {
    if item.as_str() == Some("not counted") {
        return Some(Blank::NotCounted);
    }
    let table = item.as_table_like()?;
    let known = ["price", "price_per_kg", "allowance_mm"];
    if table.iter().any(|(key, _)| !known.contains(&key)) {
        return None;
    }
    let money = |key| within(table.get(key), 0.0, MOST_RATE).map(Money::from_amount);
    let blank = match (money("price"), money("price_per_kg")) {
        (Some(price), None) => Blank::Price(price),
        (None, Some(price)) => Blank::ByMass {
            price,
            allowance: Length::from_mm(within(table.get("allowance_mm"), 0.0, 1000.0)?),
        },
        _ => return None,
    };
    blank.is_sane().then_some(blank)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn library() -> &'static Library {
        Library::built_in()
    }
    fn changed() -> Rates {
        let mut r = Rates::of_library(library());
        r.shop.machine_rate = Money::from_amount(82.5);
        r.shop.programming_rate = Some(Money::from_amount(70.0));
        r.shop.markup = 0.15;
        r.shop.uptime = 0.57;
        r.shop.blank = Blank::ByMass {
            price: Money::from_amount(6.0),
            allowance: Length::from_mm(4.0),
        };
        r.shop.staffed = StaffedHours::parse("Mon-Sat 6:00-22:00").unwrap();
        r.shop.hole_sizes = vec![Length::from_mm(0.6)];
        r.shop.threads_by_hand = true;
        r.learns = true;
        r.machine = Some("left \"old\"".to_owned());
        r.sign = Some(DecimalSign::Comma);
        r
    }

    #[test]
    fn what_is_written_reads_back_and_what_is_default_is_not_written() {
        let (default, own) = (Rates::of_library(library()), changed());
        for r in [&default, &own] {
            let read = Rates::parse(r.to_toml().as_bytes(), library()).unwrap();
            assert_eq!(read, (r.clone(), vec![]));
        }
        let new = own.carried_over(&default, None, library()).unwrap();
        assert_eq!(
            Rates::parse(new.text.as_bytes(), library()).unwrap(),
            (own.clone(), vec![])
        );
        let lines = new
            .text
            .lines()
            .filter(|l| l.starts_with("labour_rate"))
            .count();
        assert_eq!(lines, 0, "{}", new.text);
        // And back again leaves the head alone.
        let back = default
            .carried_over(&own, Some(&new.text), library())
            .unwrap();
        assert_eq!(back.text, Rates::head());
    }

    #[test]
    fn a_line_that_cannot_be_is_named_and_the_others_count() {
        for (line, kind) in [
            (
                "machine_rate = -1",
                RatesFaultKind::Number {
                    low: 0.0,
                    high: MOST_RATE,
                },
            ),
            (
                "machine_rate = nan",
                RatesFaultKind::Number {
                    low: 0.0,
                    high: MOST_RATE,
                },
            ),
            (
                "machine_rate = 1e300",
                RatesFaultKind::Number {
                    low: 0.0,
                    high: MOST_RATE,
                },
            ),
            (
                "machine_rate = \"80\"",
                RatesFaultKind::Number {
                    low: 0.0,
                    high: MOST_RATE,
                },
            ),
            ("machine_rat = 80", RatesFaultKind::Unknown),
            ("threads_by_hand = 1", RatesFaultKind::Switch),
            ("spool = \"none\"", RatesFaultKind::Spool("none".to_owned())),
            ("staffed = \"always\"", RatesFaultKind::Hours),
            ("hole_sizes_mm = [1, -2]", RatesFaultKind::Holes),
            (
                "blank = { price = 3, price_per_kg = 4 }",
                RatesFaultKind::Blank,
            ),
            ("decimal_sign = \",\"", RatesFaultKind::Sign),
            ("language = \"tlh\"", RatesFaultKind::Language),
        ] {
            let text = format!("{HEAD} = 1\nlabour_rate = 44\n{line}\n");
            let (rates, faults) = Rates::parse(text.as_bytes(), library()).unwrap();
            assert_eq!(rates.shop.labour_rate.amount(), 44.0);
            let key = line.split(' ').next().unwrap().to_owned();
            assert_eq!(faults, [RatesFault { line: 3, key, kind }], "{line}");
        }
        let whole = |text: &str| Rates::parse(text.as_bytes(), library()).unwrap_err();
        assert_eq!(whole("machine_rate = 3"), RatesFileError::NoRates);
        assert_eq!(whole(&format!("{HEAD} = 9")), RatesFileError::Newer(9));
        assert!(matches!(
            whole("a = "),
            RatesFileError::NoToml { line: 1, .. }
        ));
    }
}
