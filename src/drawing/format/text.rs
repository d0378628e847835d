//! Names in the file as Unicode text.

use encoding_rs::{Encoding, UTF_8, WINDOWS_1252};

/// First version whose files are UTF-8 (release 2007), as `$ACADVER` writes it.
const FIRST_UTF8_VERSION: &str = "AC1021";

/// The encoding by `$DWGCODEPAGE` and `$ACADVER`; 1252 where the file names none.
pub fn encoding(codepage: &str, version: &str) -> &'static Encoding {
    if version.to_ascii_uppercase().as_str() >= FIRST_UTF8_VERSION {
        return UTF_8;
    }
    let page = codepage.to_ascii_lowercase();
    let digits: String = page.chars().filter(char::is_ascii_digit).collect();
    let label = match digits.as_str() {
        "932" => "shift_jis",
        "936" => "gbk",
        "949" => "euc-kr",
        "950" => "big5",
        "874" => "windows-874",
        "866" => "ibm866",
        "" => "windows-1252",
        _ => {
            return Encoding::for_label(format!("windows-{digits}").as_bytes())
                .unwrap_or(WINDOWS_1252);
        }
    };
    Encoding::for_label(label.as_bytes()).unwrap_or(WINDOWS_1252)
}

/// Bytes as text: valid UTF-8 as such (many writers ignore the code page), else by the encoding;
/// `\U+XXXX` escapes decoded.
pub fn decode(bytes: &[u8], encoding: &'static Encoding) -> String {
    let text = match std::str::from_utf8(bytes) {
        // Two bytes of an eastern code page may look like UTF-8 by chance: trust the file there.
        Ok(text) if bytes.is_ascii() || encoding.is_single_byte() || encoding == UTF_8 => {
            text.into()
        }
        _ => encoding.decode_without_bom_handling(bytes).0,
    };
    unescape(&text)
}

fn unescape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(start) = rest.find("\\U+") {
        let digits = rest.get(start + 3..start + 7);
        let code = digits
            .and_then(|d| u32::from_str_radix(d, 16).ok())
            .and_then(char::from_u32);
        out.push_str(&rest[..start]);
        if let Some(c) = code {
            out.push(c);
            rest = &rest[start + 7..];
        } else {
            out.push_str("\\U+");
            rest = &rest[start + 3..];
        }
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn code_pages_and_escapes() {
        let cyrillic = encoding("ANSI_1251", "AC1015");
        assert_eq!(decode(b"\xca\xee\xed\xf2\xf3\xf0", cyrillic), "Контур");
        assert_eq!(
            decode("Kreis ä".as_bytes(), encoding("ANSI_1252", "AC1032")),
            "Kreis ä"
        );
        assert_eq!(decode(b"\\U+041A\\U+zz", encoding("", "")), "К\\U+zz");
    }
}
