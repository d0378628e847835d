//! The log of finished cuts: a table a shop keeps, read row by row.

use super::cut::Cut;
use super::row_fault::{Column, RowFault};
use std::fmt;

/// A file in which no row can be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CutsError {
    /// Nothing in it.
    Empty,
    /// The header lacks columns.
    Columns(Vec<Column>),
    /// A column twice.
    Twice(Column),
}

impl fmt::Display for CutsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // The names are those of the file's first line, in any language.
        f.write_str(&match self {
            Self::Empty => {
                let needed = names(Column::ALL.into_iter().filter(|c| c.is_needed()));
                say!("The file of cuts is empty. Its first line must name the columns: {needed}.")
            }
            Self::Columns(missing) => {
                let missing = names(missing.iter().copied());
                say!("The file of cuts has no column {missing}. Its first line must name the columns.")
            }
            Self::Twice(column) => {
                say!("The file of cuts has the column {column} twice. Keep one of them.")
            }
        })
    }
}
impl std::error::Error for CutsError {}

/// What was read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CutsRead {
    /// Rows that can be used, in the order of the file.
    pub cuts: Vec<Cut>,
    /// Rows that cannot.
    pub faults: Vec<RowFault>,
    /// Columns that are not known, and were passed over.
    pub unknown_columns: Vec<String>,
}

/// "date, material".
fn names(columns: impl Iterator<Item = Column>) -> String {
    let names: Vec<&str> = columns.map(Column::name).collect();
    names.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::{Day, RowFaultKind, read_cuts};
    use crate::library::{Flushing, Library};

    const HEADER: &str = "date,machine,material,wire,diameter_mm,thickness_mm,flushing,passes,cut_length_mm,cutting_minutes,wire_m,note,outlier\n";
    const GOOD: &str =
        "2026-03-01,left,cold-work tool steel,hard plain brass,0.25,40,close,4,512,300,2800,,\n";

    fn read(text: &str) -> CutsRead {
        let today = Day::parse("2026-06-01").unwrap();
        read_cuts(text.as_bytes(), Library::built_in(), today).unwrap()
    }

    #[test]
    fn a_bad_row_is_named_and_the_others_are_kept() {
        let no_number = |column, text: &str| RowFaultKind::NoNumber {
            column,
            text: text.to_owned(),
        };
        let out_of_range = |column, text: &str, low, high| RowFaultKind::OutOfRange {
            column,
            text: text.to_owned(),
            low,
            high,
        };
        let minutes = |text| out_of_range(Column::CuttingMinutes, text, 0.01, 1e6);
        let passes = |text: &str| RowFaultKind::Passes {
            text: text.to_owned(),
            most: Library::built_in().passes.len(),
        };
        let of = |kind: fn(String) -> RowFaultKind, text: &str| kind(text.to_owned());
        for (from, to, kind) in [
            (
                "300,2800",
                "five hours,2800",
                no_number(Column::CuttingMinutes, "five hours"),
            ),
            ("300,2800", "-3,2800", minutes("-3")),
            (
                "300,2800",
                "NaN,2800",
                no_number(Column::CuttingMinutes, "NaN"),
            ),
            (
                "300,2800",
                ",2800",
                RowFaultKind::Empty {
                    column: Column::CuttingMinutes,
                    low: 0.01,
                    high: 1e6,
                },
            ),
            (
                "300,2800",
                "300,-2800",
                out_of_range(Column::WireUsed, "-2800", 0.1, 1e7),
            ),
            (
                "2026-03-01",
                "2026-06-02",
                RowFaultKind::Future {
                    date: Day::parse("2026-06-02").unwrap(),
                    today: Day::parse("2026-06-01").unwrap(),
                },
            ),
            (
                "2026-03-01",
                "1.3.2026",
                of(RowFaultKind::NoDate, "1.3.2026"),
            ),
            (
                "cold-work tool steel",
                "cheese",
                of(RowFaultKind::UnknownMaterial, "cheese"),
            ),
            (
                "hard plain brass",
                "string",
                of(RowFaultKind::UnknownWire, "string"),
            ),
            ("close", "fine", of(RowFaultKind::Flushing, "fine")),
            (",4,", ",7,", passes("7")),
            (",4,", ",2.5,", passes("2.5")),
            (
                ",40,",
                ",0,",
                out_of_range(Column::Thickness, "0", 0.05, 1000.0),
            ),
            (",,\n", ",,maybe\n", of(RowFaultKind::Outlier, "maybe")),
        ] {
            let bad = GOOD.replacen(from, to, 1);
            assert_ne!(bad, GOOD, "{from}");
            let found = read(&format!("{HEADER}{GOOD}{bad}{GOOD}"));
            assert_eq!(found.cuts.len(), 2, "{to}");
            assert_eq!(found.faults, [RowFault { line: 3, kind }], "{to}");
        }
    }

    #[test]
    fn order_separator_and_decimal_sign_are_free() {
        let found = read(
            "\u{feff}Wire_m; cutting_minutes;cut_length_mm;passes;flushing;thickness_mm;diameter_mm;wire;material;date;operator\n2800,5;300,25;512;4;one-away;40;0,25;hard plain brass;cold-work tool steel;2026-03-01;me\n",
        );
        assert_eq!(found.faults, []);
        let c = &found.cuts[0];
        assert_eq!(
            (c.cutting_minutes.min_value(), c.flushing),
            (300.25, Flushing::OneAway)
        );
        assert!((c.wire_used.unwrap().m() - 2800.5).abs() < 1e-9);
        assert_eq!(found.unknown_columns, ["operator"]);
    }

    #[test]
    fn a_header_without_a_needed_column_says_which() {
        let today = Day::parse("2026-06-01").unwrap();
        let e = |t: &str| read_cuts(t.as_bytes(), Library::built_in(), today).unwrap_err();
        assert_eq!(e("\n \n"), CutsError::Empty);
        let text = HEADER.replace("thickness_mm,", "");
        assert_eq!(e(&text), CutsError::Columns(vec![Column::Thickness]));
        assert_eq!(e(&format!("date,{HEADER}")), CutsError::Twice(Column::Date));
    }
}
