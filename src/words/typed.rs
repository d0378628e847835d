//! Numbers as people type them.

use super::{Style, System, within};
use crate::job::Job;
use crate::language::writes_comma;
use crate::numbers::{self, DecimalSign, TwoMeanings, Written};
use crate::units::{Length, MM_PER_INCH};

/// Most quantities of a ladder.
const MOST_QUANTITIES: usize = 20;

/// Quantities as they are typed, ascending and each once: whole numbers with commas or blanks between them; `None` where
/// that is none.
pub fn quantities(text: &str) -> Option<Vec<u32>> {
    let parts = text.split([',', ';', ' ']).filter(|p| !p.is_empty());
    let mut all: Vec<u32> = parts.map(str::parse).collect::<Result<_, _>>().ok()?;
    all.sort_unstable();
    all.dedup();
    let fits = (1..=MOST_QUANTITIES).contains(&all.len());
    (fits && all.iter().all(|n| (1..=Job::MOST_PARTS).contains(n))).then_some(all)
}

/// What is said where there are none.
pub fn no_quantities(text: &str) -> String {
    say!(
        "“{}” are no quantities. Enter whole numbers from 1, at most {MOST_QUANTITIES}, such as 1, 5, 20, 100.",
        text.trim()
    )
}

impl Style {
    /// Reads a length as typed: a number, by default in this system's unit, or with mm, cm, in or ".
    ///
    /// # Errors
    /// What is wrong and what to type instead.
    pub fn parse_length(self, text: &str) -> Result<Length, String> {
        let lower = text.trim().to_lowercase();
        let (digits, unit) = [
            ("mm", Some(1.0)),
            ("cm", Some(10.0)),
            ("inch", Some(MM_PER_INCH)),
            ("in", Some(MM_PER_INCH)),
            ("\"", Some(MM_PER_INCH)),
            ("″", Some(MM_PER_INCH)),
        ]
        .into_iter()
        .find_map(|(sign, f)| lower.strip_suffix(sign).map(|rest| (rest.trim(), f)))
        .unwrap_or((lower.as_str(), None));
        let factor = unit.unwrap_or(match self.system {
            System::Metric => 1.0,
            System::Inch => MM_PER_INCH,
        });
        parse_ratio(digits)
            .map(|v| Length::from_mm(v * factor))
            .map_err(|e| match e {
                Some(two) => two_meanings(text, two),
                None => say!(
                    "“{}” is not a length. Type a number, such as 40 or 1.5 in.",
                    text.trim()
                ),
            })
    }

    /// Reads the diameters of start holes as typed, apart by spaces or semicolons: sorted, each once.
    ///
    /// # Errors
    /// What is wrong and what to type instead.
    pub fn parse_hole_sizes(self, text: &str) -> Result<Vec<Length>, String> {
        let mut sizes = Vec::new();
        let unit = self.system.length_unit();
        for word in text
            .split([' ', ';', '\u{202f}'])
            .map(|w| w.trim_end_matches(','))
        {
            if word.is_empty() || word == unit {
                continue;
            }
            let size = self.parse_length(word)?;
            if !(0.05..=20.0).contains(&size.mm()) {
                return Err(say!(
                    "“{word}” is no start hole. Type diameters between {}, apart by spaces.",
                    within::between(Length::from_mm(0.05), Length::from_mm(20.0), self.system)
                ));
            }
            sizes.push(size);
        }
        sizes.sort_by(|a, b| a.mm().total_cmp(&b.mm()));
        sizes.dedup();
        if sizes.is_empty() {
            return Err(
                say!("A shop that drills no start hole can begin at an edge only. Type at least one diameter.")
                    .to_owned(),
            );
        }
        Ok(sizes)
    }
}

/// What to say where a number could be two.
pub fn two_meanings(text: &str, two: TwoMeanings) -> String {
    say!(
        "“{}” could mean {two}. Type the one that is meant.",
        text.trim()
    )
}

/// A number, or a fraction such as 3/8 or 1 1/2. The decimal sign in which numbers are written is read as one; what the
/// other sign could part is not guessed.
fn parse_ratio(text: &str) -> Result<f64, Option<TwoMeanings>> {
    let written = if writes_comma() {
        DecimalSign::Comma
    } else {
        DecimalSign::Point
    };
    let sign = text.contains(written.sign()).then_some(written);
    match numbers::read(text, sign) {
        Written::Number(v) => return Ok(v),
        Written::Either(two) => return Err(Some(two)),
        Written::None => {}
    }
    let fraction = || {
        let (whole, fraction) = text.rsplit_once(' ').unwrap_or(("0", text));
        let (n, d) = fraction.split_once('/')?;
        let part = |t: &str| numbers::read(t, None).number();
        let value = part(whole)? + part(n)? / part(d)?;
        value.is_finite().then_some(value)
    };
    fraction().ok_or(None)
}

/// A plain number as typed.
///
/// # Errors
/// What is wrong and what to type instead.
pub fn parse_number(text: &str) -> Result<f64, String> {
    parse_ratio(text.trim()).map_err(|e| match e {
        Some(two) => two_meanings(text, two),
        None => say!(
            "“{}” is not a number. Type digits, such as 60.",
            text.trim()
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::language::{self, Language};

    #[test]
    fn quantities_are_read_as_people_type_them() {
        assert_eq!(quantities("1, 5 20;100"), Some(vec![1, 5, 20, 100]));
        assert_eq!(quantities("100,1,1"), Some(vec![1, 100]));
        for wrong in ["", "0", "a few", "1.5", "-3", "99999999"] {
            assert_eq!(quantities(wrong), None, "{wrong}");
        }
    }

    const METRIC: Style = Style::of(System::Metric);
    const INCH: Style = Style::of(System::Inch);

    #[test]
    fn lengths_are_read_in_either_unit() {
        // To a millionth of a mm, so that the last bits of a conversion do not matter.
        let mm = |s: Style, t: &str| s.parse_length(t).map(|l| (l.mm() * 1e6).round() / 1e6);
        assert_eq!(mm(METRIC, "40"), Ok(40.0));
        assert_eq!(mm(METRIC, "62,5 mm"), Ok(62.5));
        assert_eq!(mm(METRIC, "2 in"), Ok(50.8));
        assert_eq!(mm(INCH, "1 1/2"), Ok(38.1));
        assert_eq!(mm(INCH, "3/8\""), Ok(9.525));
        assert!(mm(METRIC, "thick").is_err());
        assert!(mm(METRIC, "").is_err());
        assert!(mm(METRIC, "1/0").is_err());
        assert!(mm(METRIC, "inf").is_err());
        assert_eq!(mm(INCH, "1.250"), Ok(31.75));
        let asked = mm(METRIC, "1,200").unwrap_err();
        assert!(asked.contains("1.2 or 1200"), "{asked}");
        assert_eq!(mm(METRIC, "1 200 mm"), Ok(1200.0));
    }

    #[test]
    fn what_is_shown_is_read_back() {
        for language in Language::ALL {
            language::within(language, || {
                for style in [METRIC, INCH] {
                    // An inch and a quarter has three decimals in inches: 1,250 is no twelve hundred there.
                    for mm in [38.1, 31.75, 0.25] {
                        let shown = style.typed_length(Length::from_mm(mm));
                        let back = style.parse_length(&shown).unwrap();
                        // Four decimals of an inch are shown: the last may be half of one off.
                        assert!((back.mm() - mm).abs() <= 0.5e-4 * 25.4, "{shown}: {back:?}");
                    }
                }
            });
        }
    }

    #[test]
    fn with_a_decimal_comma_a_comma_is_read_as_one_and_a_point_is_asked_about() {
        language::within(Language::German, || {
            assert_eq!(parse_number("0,25"), Ok(0.25));
            assert_eq!(parse_number("1,200"), Ok(1.2));
            assert_eq!(parse_number("1.234,5"), Ok(1234.5));
            assert_eq!(parse_number("0.25"), Ok(0.25));
            let asked = parse_number("1.200").unwrap_err();
            assert!(asked.contains("1,2 oder 1200"), "{asked}");
            assert_eq!(quantities("1, 5, 20"), Some(vec![1, 5, 20]));
        });
    }
}
