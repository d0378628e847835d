//! The language in which Kerfcast speaks to the one before it: English as it is written in the sources, German by the table
//! `assets/languages/german.toml`.
//!
//! A process has one language, because a text is made in many places and read in one. Programs that read JSON or CSV get English
//! words whatever the language is. A program chooses it at its start with [`speak`]; without that it is English.

use std::cell::Cell;
use std::collections::HashMap;
use std::sync::LazyLock;
use std::sync::atomic::{AtomicBool, Ordering};

/// A language of the window and of the command.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Language {
    /// As the sources are written.
    #[default]
    English,
    /// Deutsch.
    German,
}

/// The table; reading it here makes every change of it a change of this package.
static TABLE: &str = include_str!("../assets/languages/german.toml");
static GERMAN: LazyLock<HashMap<String, String>> =
    LazyLock::new(|| toml::from_str(TABLE).unwrap_or_default());
static IS_GERMAN: AtomicBool = AtomicBool::new(false);
static WITH_COMMA: AtomicBool = AtomicBool::new(false);

impl Language {
    /// Both.
    pub const ALL: [Self; 2] = [Self::English, Self::German];

    /// Its name in itself.
    pub fn name(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::German => "Deutsch",
        }
    }

    /// Whether its decimal sign is a comma.
    pub fn has_comma(self) -> bool {
        self == Self::German
    }

    /// Its tag by BCP 47, as it stands in files and on the command line.
    pub fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
        }
    }

    /// The language of a tag such as "de-AT" or "de_DE.UTF-8"; `None` for one that Kerfcast does not speak.
    pub fn of_tag(tag: &str) -> Option<Self> {
        let language = tag.split(['-', '_', '.', '@']).next()?;
        Self::ALL
            .into_iter()
            .find(|l| l.tag().eq_ignore_ascii_case(language))
    }

    /// The language that the system of this user speaks, English where it is another one.
    pub fn of_system() -> Self {
        sys_locale::get_locale()
            .and_then(|tag| Self::of_tag(&tag))
            .unwrap_or_default()
    }
}

/// The language that is spoken now.
pub fn now() -> Language {
    if is_german() {
        Language::German
    } else {
        Language::English
    }
}

/// From now on everything is said in this language.
pub fn speak(language: Language) {
    IS_GERMAN.store(language == Language::German, Ordering::Relaxed);
    write_decimals(language.has_comma());
}

/// From now on numbers are written with a comma as their decimal sign, or with a point. [`speak`] sets it as the language has it.
pub fn write_decimals(with_comma: bool) {
    WITH_COMMA.store(with_comma, Ordering::Relaxed);
}

/// Whether numbers are written with a comma as their decimal sign.
pub fn writes_comma() -> bool {
    match HERE.get() {
        Some(language) => language.has_comma(),
        None => WITH_COMMA.load(Ordering::Relaxed),
    }
}

/// A number that is written with a point, with the decimal sign that is in use.
pub fn localised(mut number: String) -> String {
    if writes_comma()
        && let Some(point) = number.find('.')
    {
        number.replace_range(point..=point, ",");
    }
    number
}

thread_local! {
    /// What this thread speaks for a while, whatever the program speaks.
    static HERE: Cell<Option<Language>> = const { Cell::new(None) };
}

/// Says what is said in the course of `saying`, on this thread, in another language: a letter to somebody who reads no other.
pub fn within<T>(language: Language, saying: impl FnOnce() -> T) -> T {
    /// Speaks again as before, also after a panic.
    struct Before(Option<Language>);
    impl Drop for Before {
        fn drop(&mut self) {
            HERE.set(self.0);
        }
    }
    let _before = Before(HERE.replace(Some(language)));
    saying()
}

/// What another program is to read (JSON, CSV, files of the shop): English, whatever is spoken.
pub fn for_programs<T>(write: impl FnOnce() -> T) -> T {
    within(Language::English, write)
}

/// Whether German is spoken; what `say!` asks.
pub fn is_german() -> bool {
    match HERE.get() {
        Some(language) => language == Language::German,
        None => IS_GERMAN.load(Ordering::Relaxed),
    }
}

/// One of two texts, by the language; what `say!` asks.
pub fn either(english: &'static str, german: &'static str) -> &'static str {
    if is_german() { german } else { english }
}

/// A text that stands in a constant, marked there with `key!`, in the language that is spoken. A text that the table does not hold,
/// such as a name of the shop's own, stays as it is.
pub fn said(text: &str) -> &str {
    if is_german() {
        GERMAN.get(text).map_or(text, String::as_str)
    } else {
        text
    }
}

/// At the beginning of a sentence.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// In small letters within a sentence, where the language writes the names of things so.
pub fn lower_case(text: &str) -> String {
    if is_german() {
        text.to_owned()
    } else {
        text.to_lowercase()
    }
}

/// Every English text of the table with its German one, for the checks of it.
pub fn table() -> impl Iterator<Item = (&'static str, &'static str)> {
    GERMAN
        .iter()
        .map(|(english, german)| (english.as_str(), german.as_str()))
}
