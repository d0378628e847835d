//! What may stand in a cell, and what an entry may be called.

use super::Library;
use super::content::Content;
use super::faults::{End, Reason};
use super::field::Field;
use super::kinds::{LibraryTable, find};
use super::on_hand::{AT, DIAMETERS_MM};

/// What is wrong with a name of an entry.
pub(super) fn name_fault(
    table: LibraryTable,
    name: &str,
    built_in: Option<&Library>,
) -> Option<Reason> {
    match table {
        LibraryTable::Diameters => match name.parse::<f64>() {
            Err(_) => Some(Reason::NoDiameter),
            Ok(mm) => (!DIAMETERS_MM.contains(&mm)).then_some(Reason::DiameterOutside),
        },
        _ if name.trim().is_empty() || name.trim() != name => Some(Reason::BadName),
        _ if name.contains(AT) => Some(Reason::NameWithAt),
        LibraryTable::Passes => built_in
            .is_some_and(|b| find(&b.passes, name).is_none())
            .then_some(Reason::NoSuchPass),
        _ => None,
    }
}

/// Farthest that an end of a range may lie from its value, as a factor: what is known no better than that is
/// not known at all, and its minutes would have more digits than any clock (judgement).
const WIDEST: f64 = 100.0;

/// What is wrong with what stands in a cell.
pub(super) fn wrong(field: &Field, content: &Content) -> Option<Reason> {
    let unit = field.unit;
    match content {
        Content::Value(v) => {
            let ends = [
                (End::Value, Some(v.value)),
                (End::Low, v.low),
                (End::High, v.high),
            ];
            let outside = |(end, number): (End, Option<f64>)| {
                let number = number.filter(|n| !field.allows(*n))?;
                Some(Reason::Outside {
                    end,
                    number,
                    low: field.low,
                    high: field.high,
                    unit,
                })
            };
            let holds = v.low.is_none_or(|l| l <= v.value) && v.high.is_none_or(|h| h >= v.value);
            let not = Reason::RangeHoldsNot {
                number: v.value,
                low: v.low,
                high: v.high,
                unit,
            };
            let (low, high) = (v.low.unwrap_or(v.value), v.high.unwrap_or(v.value));
            let wide =
                v.value > 0.0 && (low > 0.0 && low * WIDEST < v.value || high > v.value * WIDEST);
            let too_wide = Reason::RangeTooWide {
                number: v.value,
                times: WIDEST,
                unit,
            };
            let out = ends.into_iter().find_map(outside);
            out.or_else(|| (!holds).then_some(not))
                .or_else(|| wide.then_some(too_wide))
        }
        Content::Names(names) => {
            let check = field.check?;
            names.iter().find_map(|name| check(name))
        }
        Content::Pair([low, high]) => {
            let sound = *low > field.low && low <= high && *high <= field.high;
            (!sound).then_some(Reason::NoPair {
                most: field.high,
                unit,
            })
        }
        _ => None,
    }
}
