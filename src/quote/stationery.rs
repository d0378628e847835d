//! The shop's letterhead and words for its quotes: its own data, in a file of its own.

use super::pages::{Image, ImageKind, Paper};
use crate::files;
use crate::language::said;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::path::Path;
use std::sync::Arc;

/// Version of the file that is written.
pub const VERSION: u32 = 1;
/// Largest logo that is read, bytes.
const LARGEST_LOGO: u64 = 8 << 20;
/// Largest file of words that is read, bytes.
const LARGEST: u64 = 1 << 20;

/// What stands on every quote of the shop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Stationery {
    /// Version of the file; a later one than [`VERSION`] is refused.
    #[serde(rename = "kerfcast_quote")]
    pub version: u32,
    /// Name of the shop.
    pub name: String,
    /// Address and how it is reached, line by line.
    pub address: Vec<String>,
    /// Its picture, a PNG or JPEG file beside this one; empty for none.
    pub logo: String,
    /// Sign of its currency, in heads of columns; empty for none.
    pub currency: String,
    /// A4 or letter.
    pub paper: Paper,
    /// Days that a quote holds.
    pub valid_days: u32,
    /// Working days before the work is begun.
    pub days_before: u32,
    /// Quantities of the ladder.
    pub quantities: Vec<u32>,
    /// What the price holds.
    pub included: Vec<String>,
    /// What it does not hold.
    pub excluded: Vec<String>,
    /// Terms of payment and delivery, and a word at the end.
    pub terms: Vec<String>,
}

impl Default for Stationery {
    fn default() -> Self {
        let own = |list: &[&str]| list.iter().map(|t| (*t).to_owned()).collect();
        Self {
            version: VERSION,
            name: String::new(),
            address: Vec::new(),
            logo: String::new(),
            currency: String::new(),
            paper: Paper::A4,
            valid_days: 30,
            days_before: 0,
            quantities: vec![1, 5, 20, 100],
            included: own(&INCLUDED),
            excluded: own(&EXCLUDED),
            terms: Vec::new(),
        }
    }
}

/// What every price holds where the shop says nothing else; kept in English, and said in the language that is spoken.
const INCLUDED: [&str; 2] = [
    key!("Programming, set-up, start holes and cutting as described for each item"),
    key!("Wire, filters and other consumables of the machine"),
];
/// What no price holds.
const EXCLUDED: [&str; 2] = [
    key!("Heat treatment, grinding, coating and any work that is not described"),
    key!("Packing, freight and taxes"),
];

/// Standing lines as they are read: the shop's own as they are, those that came with the program in the language that is
/// spoken.
pub fn said_lines(kept: &[String]) -> Vec<String> {
    kept.iter().map(|line| said(line).to_owned()).collect()
}

/// A line as it is kept, from how it is read.
pub fn kept_line(line: &str) -> String {
    let mut known = INCLUDED.iter().chain(&EXCLUDED);
    let found = known.find(|own| said(own) == line);
    found.map_or(line, |own| *own).to_owned()
}

/// Why the shop's words cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StationeryError {
    /// The file cannot be read.
    Unread(String),
    /// Its text is not what it should be.
    Text(String),
    /// A later program saved it.
    Newer(u32),
    /// Its picture cannot be used.
    Logo(String),
}

impl fmt::Display for StationeryError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            Self::Unread(why) => say!("it cannot be read: {why}"),
            Self::Text(why) => why.clone(),
            Self::Newer(version) => say!(
                "it was saved by a newer version of Kerfcast (version {version} of the file). Update Kerfcast to use it"
            ),
            Self::Logo(name) => {
                say!("the logo {name} is no PNG or JPEG picture that can be read")
            }
        })
    }
}
impl std::error::Error for StationeryError {}

impl Stationery {
    /// From the bytes of a file.
    ///
    /// # Errors
    /// It is no text, or what is wrong in it, with its line.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, StationeryError> {
        let text = std::str::from_utf8(bytes);
        let text =
            text.map_err(|_| StationeryError::Text(say!("it is no UTF-8 text").to_owned()))?;
        Self::parse(text.strip_prefix('\u{feff}').unwrap_or(text))
    }
    /// From the text of a file.
    ///
    /// # Errors
    /// What is wrong, with its line.
    pub fn parse(text: &str) -> Result<Self, StationeryError> {
        let own: Self = toml::from_str(text)
            .map_err(|e| StationeryError::Text(e.to_string().trim().to_owned()))?;
        if own.version > VERSION {
            return Err(StationeryError::Newer(own.version));
        }
        Ok(own)
    }
    /// Every key, for a file.
    pub fn to_toml(&self) -> String {
        // Plain data always writes.
        toml::to_string(self).unwrap_or_default()
    }
    /// The picture that it names, beside its own file in a folder; `None` where it names none.
    ///
    /// # Errors
    /// It cannot be read, or is no picture.
    pub fn picture(&self, folder: &Path) -> Result<Option<Arc<Image>>, StationeryError> {
        if self.logo.is_empty() {
            return Ok(None);
        }
        let no_logo = || StationeryError::Logo(self.logo.clone());
        let path = folder.join(&self.logo);
        let bytes = files::read(&path, LARGEST_LOGO, || false).map_err(|_| no_logo())?;
        let image = Image::read(bytes).ok_or_else(no_logo)?;
        Ok(Some(Arc::new(image)))
    }
    /// From a file, with its picture.
    ///
    /// # Errors
    /// The file or its picture cannot be read, or says what it should not.
    pub fn load(path: &Path) -> Result<(Self, Option<Arc<Image>>), StationeryError> {
        let bytes = files::read(path, LARGEST, || false)
            .map_err(|e| StationeryError::Unread(e.reason()))?;
        let own = Self::from_bytes(&bytes)?;
        let folder = path.parent().unwrap_or_else(|| Path::new("."));
        let logo = own.picture(folder)?;
        Ok((own, logo))
    }
}

impl Image {
    /// A PNG or JPEG picture from the bytes of its file; `None` where it is neither.
    pub fn read(bytes: Vec<u8>) -> Option<Self> {
        if bytes.len() as u64 > LARGEST_LOGO {
            return None;
        }
        let (kind, made) = if bytes.starts_with(b"\x89PNG") {
            let made = krilla::image::Image::from_png(bytes.clone().into(), true);
            (ImageKind::Png, made)
        } else {
            let made = krilla::image::Image::from_jpeg(bytes.clone().into(), true);
            (ImageKind::Jpeg, made)
        };
        let pixels = made.ok()?.size();
        (pixels.0 > 0 && pixels.1 > 0).then_some(Self {
            bytes,
            kind,
            pixels,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::language::{self, Language};

    #[test]
    fn standing_lines_are_kept_in_one_language_and_read_in_any() {
        let kept = Stationery::default();
        let in_german = language::within(Language::German, || {
            assert_eq!(Stationery::default(), kept);
            let read = said_lines(&kept.excluded);
            let back: Vec<String> = read.iter().map(|line| kept_line(line)).collect();
            assert_eq!(back, kept.excluded);
            read
        });
        assert_ne!(in_german, kept.excluded);
        assert_eq!(said_lines(&kept.excluded), kept.excluded);
        assert_eq!(kept_line("Our own words"), "Our own words");
    }
}
