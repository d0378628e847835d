//! The value of a pair: as text, as a real or a whole number, in any spelling that customers send.

/// A value as it stands in the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Value<'a> {
    /// Text, or a number written as text; blanks around it are cut off.
    Text(&'a [u8]),
    /// A whole number of a binary file.
    Whole(i64),
    /// A real number of a binary file.
    Real(f64),
}

/// Why a number could not be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BadNumber {
    /// It is no number at all.
    Unreadable,
    /// It is infinite, undefined or too large.
    NotFinite,
}

/// A number and whether its spelling had to be repaired.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number {
    /// The value.
    pub value: f64,
    /// A decimal comma or a D exponent stood in the file.
    pub repaired: bool,
}

impl<'a> Value<'a> {
    /// As a real number.
    pub fn number(self) -> Result<Number, BadNumber> {
        let plain = |value: f64| Number {
            value,
            repaired: false,
        };
        let number = match self {
            Value::Real(v) => plain(v),
            Value::Whole(v) => plain(v as f64),
            Value::Text(t) => {
                let text = std::str::from_utf8(t).map_err(|_| BadNumber::Unreadable)?;
                match text.parse() {
                    Ok(v) => plain(v),
                    Err(_) => Number {
                        value: respelled(text)?,
                        repaired: true,
                    },
                }
            }
        };
        if number.value.is_finite() {
            Ok(number)
        } else {
            Err(BadNumber::NotFinite)
        }
    }
    /// As a whole number; `4.0` counts as 4.
    pub fn whole(self) -> Option<i64> {
        match self {
            Value::Whole(v) => Some(v),
            Value::Text(t) => {
                let text = std::str::from_utf8(t).ok()?;
                text.parse().ok().or_else(|| from_real(text.parse().ok()?))
            }
            Value::Real(v) => from_real(v),
        }
    }
    /// As text; empty for the numbers of a binary file.
    pub fn text(self) -> &'a [u8] {
        match self {
            Value::Text(t) => t,
            _ => b"",
        }
    }
}

fn from_real(v: f64) -> Option<i64> {
    (v.fract() == 0.0 && v.abs() < 1e15).then_some(v as i64)
}

/// Decimal commas and D exponents of older languages; `1.#QNAN` and its like are not finite.
fn respelled(text: &str) -> Result<f64, BadNumber> {
    let lower = text.to_ascii_lowercase();
    if lower.contains("#ind") || lower.contains("#inf") || lower.contains("nan") {
        return Err(BadNumber::NotFinite);
    }
    lower
        .replace(',', ".")
        .replace('d', "e")
        .parse()
        .map_err(|_| BadNumber::Unreadable)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_foreign_spelling() {
        assert_eq!(
            Value::Text(b"1,5").number(),
            Ok(Number {
                value: 1.5,
                repaired: true
            })
        );
        assert_eq!(
            Value::Text(b"1.5D+02").number(),
            Ok(Number {
                value: 150.0,
                repaired: true
            })
        );
        assert_eq!(Value::Text(b"nan").number(), Err(BadNumber::NotFinite));
        assert_eq!(Value::Text(b"1e999").number(), Err(BadNumber::NotFinite));
        assert_eq!(Value::Text(b"1.#QNAN").number(), Err(BadNumber::NotFinite));
        assert_eq!(Value::Text(b"abc").number(), Err(BadNumber::Unreadable));
        assert_eq!(Value::Text(b"4.0").whole(), Some(4));
    }
}
