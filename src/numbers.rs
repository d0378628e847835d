//! Numbers as people write them: which sign is the decimal one, what parts the thousands, and what could mean two things.

use crate::language::localised;
use std::fmt;

/// What stands between the whole and the fraction of a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DecimalSign {
    /// 1.5, and 1,200 for twelve hundred.
    Point,
    /// 1,5, and 1.200 for twelve hundred.
    Comma,
}

impl DecimalSign {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Point, Self::Comma];
    /// As it stands in files and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Point => "point",
            Self::Comma => "comma",
        }
    }
    /// The sign itself.
    pub fn sign(self) -> char {
        match self {
            Self::Point => '.',
            Self::Comma => ',',
        }
    }
    /// The usual one where a language is spoken, from its tag such as "de-DE"; `None` for a language that is not known.
    ///
    /// Source: the number symbols of the Unicode Common Locale Data Repository, from memory.
    pub fn of_language(tag: &str) -> Option<Self> {
        const COMMA: &str = "af az be bg bs ca cs da de el es et eu fi fo fr gl hr hu hy id is it ka kk lb lt lv mk nb nl nn \
                             no pl pt ro ru sk sl sq sr sv tr uk uz vi";
        const POINT: &str =
            "ar bn cy en fa fil ga gu he hi ja kn ko ml mr ms mt ne pa si sw ta te th ur zh zu";
        // Where the same language is written otherwise.
        const POINT_IN: &str =
            "de-CH de-LI it-CH es-MX es-US es-PR es-GT es-HN es-NI es-PA es-PE es-SV es-DO es-CU";
        const COMMA_IN: &str = "en-ZA en-AT en-BE en-DE en-DK en-FI en-NL en-SE en-SI";
        let tag = tag.split(['.', '@']).next().unwrap_or("").replace('_', "-");
        let is_in = |list: &str| {
            list.split_whitespace()
                .any(|t| t.eq_ignore_ascii_case(&tag))
        };
        if is_in(POINT_IN) {
            return Some(Self::Point);
        }
        if is_in(COMMA_IN) {
            return Some(Self::Comma);
        }
        let language = tag.split('-').next().unwrap_or("").to_ascii_lowercase();
        let speaks = |list: &str| list.split_whitespace().any(|t| t == language);
        if speaks(COMMA) {
            Some(Self::Comma)
        } else {
            speaks(POINT).then_some(Self::Point)
        }
    }
    /// The one of this computer's user; `None` where the system does not say.
    pub fn of_system() -> Option<Self> {
        // POSIX lets numbers have a place of their own.
        let own = ["LC_ALL", "LC_NUMERIC"].into_iter().find_map(|name| {
            let set = std::env::var(name).ok()?;
            (!set.is_empty()).then_some(set)
        });
        let tag = own.or_else(sys_locale::get_locale)?;
        Self::of_language(&tag)
    }
}

/// A number that could mean two things.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TwoMeanings {
    /// With its sign as the decimal one.
    pub small: f64,
    /// With its sign between thousands.
    pub large: f64,
}

impl fmt::Display for TwoMeanings {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let said = |v: f64| localised(v.to_string());
        write!(
            f,
            "{}",
            say!("{} or {}", said(self.small), said(self.large))
        )
    }
}

/// What a text says as a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Written {
    /// This.
    Number(f64),
    /// One of two: "1,200" is 1.2 in one country and 1200 in another.
    Either(TwoMeanings),
    /// No number.
    None,
}

impl Written {
    /// The number, where it is plainly one.
    pub fn number(self) -> Option<f64> {
        match self {
            Self::Number(v) => Some(v),
            Self::Either(_) | Self::None => None,
        }
    }
}

/// Reads a number: digits with point or comma, thousands parted by spaces, apostrophes, points or commas, and an
/// exponent. Where the text alone could mean two things, `sign` decides; without it both are told.
pub fn read(text: &str, sign: Option<DecimalSign>) -> Written {
    let Some(plain) = without_gaps(text.trim()) else {
        return Written::None;
    };
    let (negative, body) = match plain.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, plain.strip_prefix('+').unwrap_or(&plain)),
    };
    let (mantissa, exponent) = match body.find(['e', 'E']) {
        Some(k) => (&body[..k], &body[k..]),
        None => (body, ""),
    };
    let value = |digits: String| {
        let text = format!("{digits}{exponent}");
        let begins = digits.starts_with(|c: char| c.is_ascii_digit() || c == '.');
        let v: f64 = begins.then(|| text.parse().ok()).flatten()?;
        v.is_finite().then_some(if negative { -v } else { v })
    };
    let as_decimal = |sign: char| {
        let other = if sign == ',' { '.' } else { ',' };
        value(mantissa.replace(other, "").replace(sign, "."))
    };
    let one = |v: Option<f64>| v.map_or(Written::None, Written::Number);
    let (points, commas) = (mantissa.matches('.').count(), mantissa.matches(',').count());
    match (points, commas) {
        (0, 0) => one(value(mantissa.to_owned())),
        // With both of them the last is the decimal sign.
        (1.., 1..) => {
            let last = if mantissa.rfind('.') > mantissa.rfind(',') {
                '.'
            } else {
                ','
            };
            let (whole, fraction) = mantissa.rsplit_once(last).unwrap_or((mantissa, ""));
            if is_grouped(whole) && digits_only(fraction) {
                one(as_decimal(last))
            } else {
                Written::None
            }
        }
        (1, 0) | (0, 1) => {
            let found = if points == 1 { '.' } else { ',' };
            let (whole, fraction) = mantissa.split_once(found).unwrap_or((mantissa, ""));
            let grouped = is_grouped(mantissa) && exponent.is_empty();
            if !digits_only(whole) || !digits_only(fraction) {
                return Written::None;
            }
            let (small, large) = (as_decimal(found), value(mantissa.replace(found, "")));
            match (small, large) {
                (Some(small), Some(large)) if grouped => match sign {
                    Some(s) if s.sign() == found => Written::Number(small),
                    Some(_) => Written::Number(large),
                    None => Written::Either(TwoMeanings { small, large }),
                },
                (small, _) => one(small),
            }
        }
        // The same sign several times stands between thousands.
        _ if is_grouped(mantissa) => one(value(mantissa.replace(['.', ','], ""))),
        _ => Written::None,
    }
}

/// A text with each number in it that could mean two things written so that it can be read in one way only, as `sign`
/// says: for fields that hold more than a number. Without a sign it stays as it is.
pub fn as_meant(text: &str, sign: Option<DecimalSign>) -> String {
    let is_of_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',');
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while !rest.is_empty() {
        let end = rest.find(|c| !is_of_number(c)).unwrap_or(rest.len());
        let (number, behind) = rest.split_at(end);
        let meant = match read(number, None) {
            Written::Either(_) => read(number, sign).number(),
            Written::Number(_) | Written::None => None,
        };
        out.push_str(&meant.map_or_else(|| number.to_owned(), plain));
        let other = behind.find(is_of_number).unwrap_or(behind.len());
        out.push_str(&behind[..other]);
        rest = &behind[other..];
    }
    out
}

/// A number as text that can be read only one way.
pub fn plain(value: f64) -> String {
    let text = value.to_string();
    match read(&text, None) {
        Written::Either(_) => text + "0",
        Written::Number(_) | Written::None => text,
    }
}

/// Whether the text shows by itself which sign is its decimal one.
pub fn shown_sign(text: &str) -> Option<DecimalSign> {
    let last = text.rfind(['.', ','])?;
    let sign = if text[last..].starts_with('.') {
        DecimalSign::Point
    } else {
        DecimalSign::Comma
    };
    let plain = read(text, Some(DecimalSign::Point)).number()?;
    // Read alike whatever the place, and with a fraction.
    (read(text, None) == Written::Number(plain) && !is_grouped(text.trim())).then_some(sign)
}

fn digits_only(text: &str) -> bool {
    text.bytes().all(|b| b.is_ascii_digit())
}

/// One to three digits without a leading zero, then groups of three behind one and the same sign.
fn is_grouped(text: &str) -> bool {
    let mut groups = text.split(['.', ',']);
    let first = groups.next().unwrap_or("");
    let signs: Vec<char> = text.chars().filter(|c| matches!(c, '.' | ',')).collect();
    (1..=3).contains(&first.len())
        && digits_only(first)
        && (!first.starts_with('0') || signs.is_empty())
        && signs.windows(2).all(|w| w[0] == w[1])
        && groups.all(|g| g.len() == 3 && digits_only(g))
}

/// Without spaces and apostrophes between thousands; `None` where a space parts something else.
fn without_gaps(text: &str) -> Option<String> {
    const GAPS: [char; 7] = ['\u{202f}', '\u{2009}', '\u{a0}', ' ', '\'', '’', '\u{2007}'];
    let mut out = String::with_capacity(text.len());
    for (k, c) in text.char_indices() {
        if !GAPS.contains(&c) {
            out.push(c);
            continue;
        }
        let behind = &text[k + c.len_utf8()..];
        let digits = behind.bytes().take_while(u8::is_ascii_digit).count();
        let before = text[..k].ends_with(|c: char| c.is_ascii_digit());
        // A minus may stand apart.
        let behind_sign = k > 0 && ["-", "−", "+"].contains(&&text[..k]);
        if !(behind_sign || before && digits == 3) {
            return None;
        }
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn in_a_text_the_sign_of_the_shop_decides() {
        let (comma, point) = (Some(DecimalSign::Comma), Some(DecimalSign::Point));
        for (text, sign, meant) in [
            ("1.200", comma, "1200"),
            ("1.200", point, "1.2"),
            ("1,200 m", comma, "1.2 m"),
            ("10.125/8,5", comma, "10125/8,5"),
            ("reel 1.200/80", comma, "reel 1200/80"),
            ("1.234", point, "1.2340"),
            ("0,800 1,200", comma, "0,800 1.2"),
            ("5 h 12 min", comma, "5 h 12 min"),
            ("1.200", None, "1.200"),
            ("", comma, ""),
        ] {
            assert_eq!(as_meant(text, sign), meant, "{text}");
            let again = as_meant(meant, sign.map(|_| DecimalSign::Point));
            assert_eq!(again, meant, "once said, it stays");
        }
    }

    #[test]
    fn as_people_write_them() {
        for (text, value) in [
            ("60", 60.0),
            ("62,5", 62.5),
            ("62.5", 62.5),
            ("0,125", 0.125),
            ("0.125", 0.125),
            (".5", 0.5),
            ("1.200,5", 1200.5),
            ("1,200.5", 1200.5),
            ("1'200", 1200.0),
            ("1 200,25", 1200.25),
            ("12\u{202f}345", 12345.0),
            ("1,200,000", 1.2e6),
            ("1.200.000", 1.2e6),
            ("1234,567", 1234.567),
            ("1.2000", 1.2),
            ("-3", -3.0),
            ("− 3", -3.0),
            ("1e3", 1000.0),
            ("1,5e3", 1500.0),
        ] {
            assert_eq!(read(text, None), Written::Number(value), "{text}");
            for sign in DecimalSign::ALL {
                assert_eq!(read(text, Some(sign)), Written::Number(value), "{text}");
            }
        }
        for text in [
            "",
            "long",
            "inf",
            "NaN",
            "1,2,3",
            "1.2.3",
            "1 2",
            "1,20,000.5",
            "--3",
            "1e",
            "1e999",
            "1.,5",
            "'1",
            "٣",
        ] {
            assert_eq!(read(text, None), Written::None, "{text}");
        }
    }

    #[test]
    fn what_could_be_two_things_is_two_until_a_sign_is_given() {
        for text in ["1,200", "1.200", "-12,345", "999.000"] {
            let Written::Either(two) = read(text, None) else {
                panic!("{text} is one number");
            };
            assert!((two.large / two.small - 1000.0).abs() < 1e-9, "{text}");
            let comma = text.contains(',');
            let (small, large) = (Written::Number(two.small), Written::Number(two.large));
            let of = |sign| read(text, Some(sign));
            assert_eq!(of(DecimalSign::Comma), if comma { small } else { large });
            assert_eq!(of(DecimalSign::Point), if comma { large } else { small });
        }
    }

    #[test]
    fn a_sign_shows_itself_only_where_it_cannot_be_another() {
        use DecimalSign::{Comma, Point};
        for (text, sign) in [
            ("300,25", Some(Comma)),
            ("300.25", Some(Point)),
            ("1.200,5", Some(Comma)),
            ("1,200", None),
            ("1.200.000", None),
            ("300", None),
            ("x.5", None),
        ] {
            assert_eq!(shown_sign(text), sign, "{text}");
        }
    }

    #[test]
    fn the_sign_of_a_place() {
        use DecimalSign::{Comma, Point};
        for (tag, sign) in [
            ("de-DE", Some(Comma)),
            ("de_DE.UTF-8", Some(Comma)),
            ("de-CH", Some(Point)),
            ("en-US", Some(Point)),
            ("en_ZA", Some(Comma)),
            ("fr_FR@euro", Some(Comma)),
            ("ja-JP", Some(Point)),
            ("C", None),
            ("", None),
        ] {
            assert_eq!(DecimalSign::of_language(tag), sign, "{tag}");
        }
    }
}
