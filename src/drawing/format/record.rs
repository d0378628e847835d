//! The pairs of one record, from one code 0 to the next, and what can be asked of them.

use super::entity::Kind;
use super::group_codes::Pair;
use super::values::Value;

/// The record that is being collected.
#[derive(Default)]
pub struct Record<'a> {
    pub word: Vec<u8>,
    pub at: usize,
    pub pairs: Vec<Pair<'a>>,
}

impl Record<'_> {
    /// Starts anew at a pair of code 0, in the memory of the record before.
    pub fn begin(&mut self, pair: &Pair<'_>) {
        self.word.clear();
        self.word.extend_from_slice(pair.value.text());
        self.word.make_ascii_uppercase();
        self.at = pair.at;
        self.pairs.clear();
    }
}

/// What every entity says about itself.
pub struct Common<'a> {
    pub layer: &'a [u8],
    pub line_type: &'a [u8],
    pub colour: i16,
    pub invisible: bool,
    pub paper: bool,
}

impl<'a> Common<'a> {
    /// From the pairs of an entity.
    pub fn of(pairs: &[Pair<'a>]) -> Self {
        let mut common = Common {
            layer: b"0",
            line_type: b"",
            colour: 256,
            invisible: false,
            paper: false,
        };
        for pair in pairs {
            match pair.code {
                8 => common.layer = pair.value.text(),
                6 => common.line_type = pair.value.text(),
                60 => common.invisible = pair.value.whole() == Some(1),
                62 => {
                    let colour = pair.value.whole().and_then(|v| i16::try_from(v).ok());
                    common.colour = colour.unwrap_or(256);
                }
                67 => common.paper = pair.value.whole() == Some(1),
                _ => {}
            }
        }
        common
    }
}

/// Bits of POLYLINE code 70 (DXF reference): 16 polygon mesh, 64 polyface mesh. No curves.
pub fn is_mesh(kind: Kind, pairs: &[Pair<'_>]) -> bool {
    kind == Kind::Polyline && first_whole(pairs, 70).is_some_and(|flags| flags & (16 | 64) != 0)
}

/// Removes what applications of others attach: groups in braces (102), extended data (1000 and up)
/// and embedded objects (101), whose codes mean other things than the entity's own.
pub fn drop_groups(pairs: &mut Vec<Pair<'_>>) {
    if !pairs
        .iter()
        .any(|p| p.code >= 1000 || p.code == 101 || p.code == 102)
    {
        return;
    }
    pairs.retain(|p| p.code < 1000);
    if let Some(end) = pairs.iter().position(|p| p.code == 101) {
        pairs.truncate(end);
    }
    // An opening brace without its closing one must not swallow the entity.
    let braces = |open: u8| {
        move |p: &Pair<'_>| {
            p.code == 102 && matches!(p.value, Value::Text(t) if t.first() == Some(&open))
        }
    };
    let opened = pairs
        .iter()
        .filter(|p| braces(b'{')(p) || ends_with_brace(p))
        .count();
    let closed = pairs.iter().filter(|p| braces(b'}')(p)).count();
    if opened != closed {
        pairs.retain(|p| p.code != 102);
        return;
    }
    let mut depth = 0_usize;
    pairs.retain(|p| {
        if p.code == 102 {
            if braces(b'}')(p) {
                depth = depth.saturating_sub(1);
            } else if braces(b'{')(p) || ends_with_brace(p) {
                depth += 1;
            }
            return false;
        }
        depth == 0
    });
}

/// `ACAD_GROUP {`: some writers put the brace behind the name.
fn ends_with_brace(pair: &Pair<'_>) -> bool {
    let text = pair.value.text();
    pair.code == 102 && text.len() > 1 && text.first() != Some(&b'{') && text.ends_with(b"{")
}

pub fn first_text<'a>(pairs: &[Pair<'a>], code: i32) -> &'a [u8] {
    pairs
        .iter()
        .find(|p| p.code == code)
        .map_or(b"", |p| p.value.text())
}

pub fn first_whole(pairs: &[Pair<'_>], code: i32) -> Option<i64> {
    pairs
        .iter()
        .find(|p| p.code == code)
        .and_then(|p| p.value.whole())
}
