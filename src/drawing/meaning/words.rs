//! Words, numbers and signs of a text on a drawing.

/// A piece of a text.
#[derive(Debug, Clone, PartialEq)]
pub enum Token {
    /// Letters, with digits behind them, in lower case.
    Word(String),
    /// A number without its sign.
    Number(Number),
    /// Anything else that is no blank.
    Sign(char),
}

/// A number as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Number {
    /// Its value.
    pub value: f64,
    /// Digits behind the point or comma.
    pub decimals: usize,
    /// As it stands there, with a point for a comma.
    pub text: String,
}

impl Number {
    /// Written without a 0 before the point, as inches are (ASME Y14.5; millimetres take the 0).
    pub fn lacks_zero(&self) -> bool {
        self.text.starts_with('.')
    }
    /// As a whole number, if it was written as one.
    pub fn whole(&self) -> Option<u32> {
        if self.decimals == 0 && !self.text.contains('.') {
            self.text.parse().ok()
        } else {
            None
        }
    }
}

impl Token {
    /// Whether it is one of these words.
    pub fn is_word(&self, words: &[&str]) -> bool {
        matches!(self, Self::Word(w) if words.contains(&w.as_str()))
    }
    /// Whether it is this sign.
    pub fn is_sign(&self, sign: char) -> bool {
        *self == Self::Sign(sign)
    }
}

/// Words that stand close to their number: "Ra0,8", "THK20", "R5".
const CLOSE: [&str; 9] = [
    "ra",
    "thk",
    "qty",
    "dicke",
    "tol",
    "thickness",
    "menge",
    "r",
    "sr",
];
/// Longest text that is looked into, bytes.
const LONGEST: usize = 2000;

/// The tokens of a text in reading order; `+/-` is one sign, ±.
pub fn tokens(text: &str) -> Vec<Token> {
    let end = (0..=LONGEST.min(text.len()))
        .rev()
        .find(|&k| text.is_char_boundary(k));
    let text = text[..end.unwrap_or(0)]
        .replace("+/-", "±")
        .replace("+-", "±")
        .replace("Req'd", "reqd")
        .replace("REQ'D", "reqd")
        .replace("req'd", "reqd")
        .replace("MAT'L", "matl")
        .replace("Mat'l", "matl")
        .replace("mat'l", "matl");
    let chars: Vec<char> = text.chars().collect();
    let mut out = Vec::new();
    let mut k = 0;
    while let Some(&c) = chars.get(k) {
        let digit = |k: usize| chars.get(k).is_some_and(char::is_ascii_digit);
        if c.is_whitespace() {
            k += 1;
        } else if c.is_ascii_digit() || (c == '.' && digit(k + 1)) {
            let start = k;
            while digit(k) {
                k += 1;
            }
            let mut decimals = 0;
            if matches!(chars.get(k), Some('.' | ',')) && digit(k + 1) {
                k += 1;
                while digit(k) {
                    k += 1;
                    decimals += 1;
                }
            }
            let written: String = chars[start..k].iter().collect();
            let written = written.replace(',', ".");
            let value = written.parse().unwrap_or(f64::NAN);
            out.push(Token::Number(Number {
                value,
                decimals,
                text: written,
            }));
        } else if c.is_alphabetic() && c != 'Ø' && c != 'ø' {
            let start = k;
            while chars.get(k).is_some_and(|c| c.is_alphabetic()) {
                k += 1;
            }
            let letters = lower(&chars[start..k]);
            if !CLOSE.contains(&letters.as_str()) {
                while chars.get(k).is_some_and(|c| c.is_alphanumeric()) {
                    k += 1;
                }
            }
            out.push(Token::Word(lower(&chars[start..k])));
        } else {
            out.push(Token::Sign(c));
            k += 1;
        }
    }
    out
}

fn lower(chars: &[char]) -> String {
    // The two letters for micro are one to the reader.
    let text: String = chars.iter().flat_map(|c| c.to_lowercase()).collect();
    text.replace('μ', "µ")
}

/// The parts of a text that are read by themselves: lines, and what semicolons, bars, wide gaps and commas
/// with a blank behind them part.
pub fn clauses(text: &str) -> Vec<&str> {
    let mut out = Vec::new();
    let mut start = 0;
    let bytes = text.as_bytes();
    for (k, c) in text.char_indices() {
        let next = bytes.get(k + c.len_utf8()).copied();
        let parts = match c {
            '\n' | '\r' | '\t' | ';' | '|' => true,
            ',' => next.is_none_or(|b| b == b' '),
            ' ' => next == Some(b' '),
            _ => false,
        };
        if parts {
            out.push(&text[start..k]);
            start = k + c.len_utf8();
        }
    }
    out.push(&text[start..]);
    out.retain(|c| !c.trim().is_empty());
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_both_spellings() {
        let numbers = |text| -> Vec<(f64, usize)> {
            tokens(text)
                .into_iter()
                .filter_map(|t| match t {
                    Token::Number(n) => Some((n.value, n.decimals)),
                    _ => None,
                })
                .collect()
        };
        assert_eq!(numbers("0,8 and .500, 20"), [(0.8, 1), (0.5, 3), (20.0, 0)]);
        assert_eq!(numbers("Ra0,8"), [(0.8, 1)]);
        assert!(numbers("D2 T6 SKD11").is_empty());
        assert_eq!(numbers("20mm"), [(20.0, 0)]);
    }

    #[test]
    fn clauses_leave_decimal_commas_whole() {
        assert_eq!(
            clauses("Ra 0,8, t = 20;  3 Stk\nx"),
            ["Ra 0,8", " t = 20", " 3 Stk", "x"]
        );
    }
}
