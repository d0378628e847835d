//! The names by which drawings call materials.

use crate::drawing::words::{Token, tokens};
use crate::library::Library;

/// The names by which drawings call materials.
#[derive(Debug, Clone, Default)]
pub struct Vocabulary {
    /// Words of a designation, and the library's name.
    designations: Vec<(Vec<Token>, String)>,
    /// Words of a library's own name.
    names: Vec<(Vec<Token>, String)>,
}

/// Other standard names of the same steels: EN ISO 4957 and EN 10088-1, and JIS, from memory.
const SAME_STEEL: [(&str, &str); 9] = [
    ("X153CrMoV12", "1.2379"),
    ("X155CrVMo12-1", "1.2379"),
    ("X155CrMoV12-1", "1.2379"),
    ("X40CrMoV5-1", "1.2344"),
    ("HS6-5-2C", "1.3343"),
    ("X5CrNi18-10", "1.4301"),
    ("SUS304", "304"),
    ("X5CrNiMo17-12-2", "1.4401"),
    ("X5CrNiCuNb16-4", "1.4542"),
];

impl Vocabulary {
    /// Of names and designations of materials.
    pub fn new<'a>(materials: impl IntoIterator<Item = (&'a str, Vec<&'a str>)>) -> Self {
        let mut all = Self::default();
        for (name, designations) in materials {
            let name = name.to_owned();
            for designation in designations {
                // Two plain words, such as "fine grain", are said of other materials, too.
                let plain = designation.contains(' ')
                    && !designation.contains(|c: char| c.is_ascii_digit());
                if plain || designation.trim().is_empty() {
                    continue;
                }
                let mut add = |text: &str| all.designations.push((essential(text), name.clone()));
                add(designation);
                if let Some(alloy) = designation.strip_prefix("EN AW-") {
                    add(alloy);
                    add(&format!("AW-{alloy}"));
                    add(&format!("{alloy}-T6"));
                    add(&format!("EN AW-{alloy}-T6"));
                }
                for (other, _) in SAME_STEEL.iter().filter(|(_, d)| *d == designation) {
                    add(other);
                }
            }
            all.names.push((essential(&name), name));
        }
        all
    }
    /// Of the library's materials.
    pub fn of(library: &Library) -> Self {
        Self::new(library.materials.iter().map(|m| {
            let designations = m.designations.iter().map(String::as_str).collect();
            (m.name.as_str(), designations)
        }))
    }
    /// The longest designation that the tokens begin with: the material and the tokens used.
    pub(super) fn designation<'a>(&'a self, tokens: &[Token]) -> Option<(&'a str, usize)> {
        longest(&self.designations, tokens)
    }
    pub(super) fn name<'a>(&'a self, tokens: &[Token]) -> Option<(&'a str, usize)> {
        longest(&self.names, tokens)
    }
}

/// Tokens without dashes, which writers set or leave out.
fn essential(text: &str) -> Vec<Token> {
    let mut all = tokens(text);
    all.retain(|t| !t.is_sign('-'));
    all
}

fn longest<'a>(list: &'a [(Vec<Token>, String)], text: &[Token]) -> Option<(&'a str, usize)> {
    let used = |words: &[Token]| -> Option<usize> {
        let mut k = 0;
        for (n, word) in words.iter().enumerate() {
            while n > 0 && text.get(k).is_some_and(|t| t.is_sign('-')) {
                k += 1;
            }
            (text.get(k) == Some(word)).then_some(())?;
            k += 1;
        }
        (k > 0).then_some(k)
    };
    list.iter()
        .filter_map(|(words, name)| Some((name.as_str(), used(words)?)))
        .max_by_key(|found| found.1)
}
