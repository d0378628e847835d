//! What names and line types say about curves that are drawn but seldom cut.
//!
//! A hint never removes anything: [`super::proposals`] asks.

use super::group_codes::Pair;

/// What a layer or block by its name, or a curve by its line type, seems to be for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Hint {
    /// Nothing is said.
    #[default]
    None,
    /// A line through the middle of something.
    CentreLine,
    /// The border of a sheet.
    Border,
    /// The table with the drawing's name and number.
    TitleBlock,
}

/// Long enough to be told apart inside a longer word, in English, German, French, Italian, Spanish,
/// Portuguese, Dutch, Swedish, Polish, Czech, Russian, Turkish, Japanese and Chinese.
/// Common practice, no source.
const CENTRE_PARTS: [&str; 20] = [
    "centerline",
    "centreline",
    "center line",
    "centre line",
    "center_line",
    "centre_line",
    "center-line",
    "centre-line",
    "mittellini",
    "symmetrielini",
    "mittelachs",
    "mezzeria",
    "hartlijn",
    "centrumlinj",
    "osiow",
    "осев",
    "осевая",
    "eksen",
    "中心線",
    "中心线",
];
const CENTRE_WORDS: [&str; 21] = [
    "center", "centers", "centre", "centres", "cl", "axis", "axes", "achse", "achsen", "mitte",
    "axe", "eje", "ejes", "asse", "assi", "eixo", "eixos", "osie", "osa", "оси", "ось",
];
const TITLE_PARTS: [&str; 17] = [
    "titleblock",
    "title block",
    "title_block",
    "title-block",
    "titelblock",
    "schriftfeld",
    "schriftkopf",
    "titelfeld",
    "cartouche",
    "cartiglio",
    "cajetin",
    "cajetín",
    "titelhoek",
    "ritningshuvud",
    "штамп",
    "標題欄",
    "标题栏",
];
const TITLE_WORDS: [&str; 4] = ["title", "titel", "titre", "titulo"];
const BORDER_PARTS: [&str; 7] = [
    "zeichnungsrahmen",
    "blattrahmen",
    "sheetborder",
    "drawingborder",
    "squadratura",
    "図枠",
    "图框",
];
const BORDER_WORDS: [&str; 14] = [
    "border",
    "borders",
    "frame",
    "rahmen",
    "cadre",
    "marco",
    "cornice",
    "moldura",
    "kader",
    "ram",
    "ramka",
    "ramecek",
    "рамка",
    "sheet",
];

impl Hint {
    /// By the name of a layer or block.
    pub fn of_name(name: &str) -> Self {
        let name = name.to_lowercase();
        let part = |list: &[&str]| list.iter().any(|p| name.contains(p));
        let word = |list: &[&str]| {
            name.split(|c: char| !c.is_alphabetic())
                .any(|w| list.contains(&w))
        };
        if part(&TITLE_PARTS) || word(&TITLE_WORDS) {
            Self::TitleBlock
        } else if part(&BORDER_PARTS) || word(&BORDER_WORDS) {
            Self::Border
        } else if part(&CENTRE_PARTS) || word(&CENTRE_WORDS) {
            Self::CentreLine
        } else {
            Self::None
        }
    }
}

/// Whether a line type is dashed and dotted by its name; digits behind it, as in "CENTER2", are sizes.
pub fn is_dash_dot_name(name: &[u8]) -> bool {
    let name = String::from_utf8_lossy(name).to_lowercase();
    let stem = name.trim_end_matches(|c: char| c.is_ascii_digit() || c == 'x');
    ["dashdot", "dash-dot", "strichpunkt", "long-dash-dot"]
        .iter()
        .any(|p| stem.contains(p))
        || Hint::of_name(stem) == Hint::CentreLine
}

/// Whether the pattern of a line type (code 49: dashes above zero, dots zero, gaps below) has dashes
/// of two lengths: so centre lines are drawn (ISO 128-2, line types 04 and 10: long dashes and dots).
pub fn is_dash_dot_pattern(pairs: &[Pair<'_>]) -> bool {
    let dashes: Vec<f64> = pairs
        .iter()
        .filter(|p| p.code == 49)
        .filter_map(|p| p.value.number().ok())
        .map(|n| n.value)
        .filter(|v| *v >= 0.0)
        .collect();
    let longest = dashes.iter().copied().fold(0.0, f64::max);
    longest > 0.0 && dashes.iter().any(|d| *d <= 0.5 * longest)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_in_the_usual_languages() {
        for (name, hint) in [
            ("CENTER", Hint::CentreLine),
            ("Mittellinien", Hint::CentreLine),
            ("3-AXES", Hint::CentreLine),
            ("TITLE", Hint::TitleBlock),
            ("Schriftfeld_A3", Hint::TitleBlock),
            ("A3 Rahmen", Hint::Border),
            ("cadre", Hint::Border),
            ("OUTLINE", Hint::None),
            ("TAXES", Hint::None),
            ("frames", Hint::None),
            ("0", Hint::None),
        ] {
            assert_eq!(Hint::of_name(name), hint, "{name}");
        }
        assert!(is_dash_dot_name(b"CENTER2") && is_dash_dot_name(b"DashDotX2"));
        assert!(!is_dash_dot_name(b"DASHED") && !is_dash_dot_name(b"Continuous"));
    }
}
