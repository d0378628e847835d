//! What a TEXT or MTEXT says, without the codes that only shape it (DXF reference, "Text" and "MText").

/// The words of a TEXT, ATTRIB or dimension: `%%c`, `%%d`, `%%p`, `%%nnn` become their characters, `%%u`,
/// `%%o` and `%%k` (lines at the letters) nothing.
pub fn plain_line(raw: &str) -> String {
    let mut out = String::with_capacity(raw.len());
    let mut rest = raw;
    while let Some(k) = rest.find("%%") {
        out.push_str(&rest[..k]);
        rest = &rest[k + 2..];
        let Some(c) = rest.chars().next() else { break };
        match c.to_ascii_lowercase() {
            'c' => out.push('Ø'),
            'd' => out.push('°'),
            'p' => out.push('±'),
            'u' | 'o' | 'k' => {}
            '%' => out.push('%'),
            '0'..='9' => {
                let digits: String = rest
                    .chars()
                    .take(3)
                    .take_while(char::is_ascii_digit)
                    .collect();
                let code = digits.parse::<u32>().ok().and_then(char::from_u32);
                out.extend(code.filter(|c| !c.is_control()));
                rest = &rest[digits.len()..];
                continue;
            }
            _ => {
                out.push_str("%%");
                continue;
            }
        }
        rest = &rest[c.len_utf8()..];
    }
    out.push_str(rest);
    out
}

/// Braces within braces that are followed; real texts have two or three.
const DEEPEST: usize = 64;

/// The words of an MTEXT: font, height, colour and the like left out, paragraphs as line ends, stacked
/// fractions as `a/b`, stacked tolerances as `+a/-b`.
pub fn plain_paragraphs(raw: &str) -> String {
    let mut out = String::with_capacity(raw.len());
    let mut depth = 0_usize;
    let mut chars = raw.char_indices().peekable();
    while let Some((k, c)) = chars.next() {
        match c {
            '{' if depth < DEEPEST => depth += 1,
            '}' if depth > 0 => depth -= 1,
            '^' => match chars.peek().map(|&(_, c)| c) {
                // Line ends and tabs in the old spelling.
                Some('J' | 'M') => {
                    chars.next();
                    out.push('\n');
                }
                Some('I') => {
                    chars.next();
                    out.push('\t');
                }
                _ => out.push('^'),
            },
            '\\' => {
                let Some((_, code)) = chars.next() else { break };
                match code {
                    'P' | 'X' | 'N' => out.push('\n'),
                    '~' => out.push(' '),
                    '\\' | '{' | '}' => out.push(code),
                    'L' | 'l' | 'O' | 'o' | 'K' | 'k' => {}
                    'S' => {
                        let stacked: String = take_to_semicolon(&mut chars);
                        push_stacked(&mut out, &stacked);
                    }
                    'f' | 'F' | 'H' | 'W' | 'Q' | 'T' | 'A' | 'C' | 'c' | 'p' => {
                        let _ = take_to_semicolon(&mut chars);
                    }
                    'U' | 'M' => {
                        // Escapes of characters were decoded with the bytes; what is left is kept as it stands.
                        out.push_str(&raw[k..=k + 1]);
                    }
                    other => out.push(other),
                }
            }
            _ => out.push(c),
        }
    }
    plain_line(&out)
}

fn take_to_semicolon(chars: &mut std::iter::Peekable<std::str::CharIndices<'_>>) -> String {
    let mut taken = String::new();
    while let Some((_, c)) = chars.next() {
        match c {
            ';' => break,
            '\\' => taken.extend(chars.next().map(|(_, c)| c)),
            _ => taken.push(c),
        }
    }
    taken
}

/// `1/2` and `1#2` are fractions, `+0.1^-0.2` are limits one over the other.
fn push_stacked(out: &mut String, stacked: &str) {
    if let Some((upper, lower)) = stacked.split_once('^') {
        let (upper, lower) = (upper.trim(), lower.trim());
        let numbers = !upper.is_empty() && !lower.is_empty();
        out.push(' ');
        out.push_str(upper);
        if numbers {
            out.push('/');
        }
        out.push_str(lower);
        return;
    }
    // A whole number before a fraction must not run into it.
    if out.ends_with(|c: char| c.is_ascii_digit()) {
        out.push(' ');
    }
    out.push_str(&stacked.replace('#', "/"));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_of_lines() {
        assert_eq!(plain_line("%%c20 %%p0.1"), "Ø20 ±0.1");
        assert_eq!(plain_line("45%%d %%uKEY%%u 5%%%"), "45° KEY 5%");
        assert_eq!(plain_line("%%216 5 100%%"), "Ø 5 100");
        assert_eq!(plain_line("%%zz"), "%%zz");
    }

    #[test]
    fn codes_of_paragraphs() {
        assert_eq!(
            plain_paragraphs("{\\fArial|b0|i0;\\H2.5x;Material:\\~1.2379}\\PDicke 20"),
            "Material: 1.2379\nDicke 20"
        );
        assert_eq!(
            plain_paragraphs("\\A1;20{\\H0.7x;\\S+0.02^-0.01;}"),
            "20 +0.02/-0.01"
        );
        assert_eq!(plain_paragraphs("1\\S1/2;\""), "1 1/2\"");
        assert_eq!(plain_paragraphs("a\\\\b \\{c\\} {\\C1;d"), "a\\b {c} d");
        assert_eq!(plain_paragraphs("\\A1;{\\Ft;0M - 14 Fret}"), "0M - 14 Fret");
        assert_eq!(plain_paragraphs("\\pxqc;%%c8 \\LH7\\l"), "Ø8 H7");
        assert_eq!(plain_paragraphs("end\\"), "end");
    }
}
