//! The table of texts in the second language holds every text that the sources say, each with the same values, and nothing else.
//!
//! Texts are read from the sources themselves: what stands in `say!` and `key!`. Beside them the table holds what is looked up while the
//! program runs: names, notes and sources of the built-in library, the words of its fields, titles of samples, and plurals.

use kerfcast::language::{self, Language};
use kerfcast::library::{Effect, Library, LibraryTable};
use proc_macro2::TokenStream;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use syn::parse::Parser;
use syn::punctuated::Punctuated;
use syn::visit::{self, Visit};
use syn::{Expr, ExprCall, LitStr, Macro, Token};

/// What the sources say, and where; and the words whose plural is looked up.
#[derive(Default)]
struct Texts {
    said: BTreeMap<String, String>,
    places: BTreeMap<String, Vec<String>>,
    plurals: BTreeSet<String>,
    file: String,
}

impl Texts {
    fn of_the_sources() -> Self {
        let mut out = Self::default();
        let house = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
        collect(&house, &mut out);
        assert!(out.said.len() > 1000, "the sources were found");
        out
    }
    fn read(&mut self, tokens: &TokenStream) {
        let mut tokens = tokens.clone().into_iter();
        let text = tokens.next().map(|t| syn::parse2::<LitStr>(t.into()));
        let Some(Ok(text)) = text else { return };
        let mut text = text.value();
        let sense = tokens.next().filter(|t| t.to_string() == "in");
        if let Some(Ok(sense)) = sense
            .and_then(|_| tokens.next())
            .map(|t| syn::parse2::<LitStr>(t.into()))
        {
            text = format!("{text} (in {})", sense.value());
        }
        let places = self.places.entry(text.clone()).or_default();
        places.push(self.file.clone());
        self.said.entry(text).or_insert_with(|| self.file.clone());
    }
}

fn collect(folder: &Path, out: &mut Texts) {
    for entry in fs::read_dir(folder).expect("the folder is there") {
        let path = entry.expect("readable").path();
        if path.is_dir() {
            if !path.join("Cargo.toml").exists() {
                collect(&path, out);
            }
        } else if path.extension().is_some_and(|e| e == "rs") {
            let source = fs::read_to_string(&path).expect("readable");
            out.file = path.display().to_string();
            out.visit_file(&syn::parse_file(&source).expect("Rust"));
        }
    }
}

/// The values of a macro, where its tokens are values.
fn values(tokens: TokenStream) -> Vec<Expr> {
    Punctuated::<Expr, Token![,]>::parse_terminated
        .parse2(tokens)
        .map(|all| all.into_iter().collect())
        .unwrap_or_default()
}

impl<'a> Visit<'a> for Texts {
    fn visit_macro(&mut self, m: &'a Macro) {
        let name = m.path.segments.last().map(|s| s.ident.to_string());
        let mut within = values(m.tokens.clone());
        if matches!(name.as_deref(), Some("say" | "key")) {
            self.read(&m.tokens);
            if within.is_empty() {
                // Behind a text in its sense.
                within = values(m.tokens.clone().into_iter().skip(4).collect());
            }
        }
        for value in &within {
            Visit::visit_expr(self, value);
        }
    }
    fn visit_expr_call(&mut self, call: &'a ExprCall) {
        if let Expr::Path(path) = &*call.func
            && path.path.is_ident("some")
            && let Some(Expr::Macro(word)) = call.args.iter().nth(1)
            && let Ok(word) = syn::parse2::<LitStr>(word.mac.tokens.clone())
        {
            self.plurals.insert(format!("{}s", word.value()));
        }
        visit::visit_expr_call(self, call);
    }
}

/// Texts that are looked up by what a table of the program holds.
fn looked_up() -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    let library = Library::built_in();
    for table in LibraryTable::ALL {
        for field in table.fields() {
            out.extend([field.words, field.short, field.group].map(str::to_owned));
            if let Effect::Use(what) = field.effect {
                out.insert(what.to_owned());
            }
        }
    }
    let files = Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/library");
    for entry in fs::read_dir(files).expect("the library is there") {
        let text = fs::read_to_string(entry.expect("readable").path()).expect("readable");
        words_of(
            &toml::from_str::<toml::Value>(&text).expect("TOML"),
            &mut out,
        );
    }
    assert!(library.wires.iter().all(|w| out.contains(&w.name)));
    out.extend(kerfcast::samples::ALL.iter().map(|s| s.title.to_owned()));
    out.retain(|t| t.chars().filter(|c| c.is_alphabetic()).count() > 1);
    out
}

fn words_of(value: &toml::Value, out: &mut BTreeSet<String>) {
    match value {
        toml::Value::Table(table) => {
            for (key, value) in table {
                match value {
                    toml::Value::String(text)
                        if ["name", "note", "source"].contains(&key.as_str()) =>
                    {
                        out.insert(text.clone());
                    }
                    _ => words_of(value, out),
                }
            }
        }
        toml::Value::Array(all) => all.iter().for_each(|v| words_of(v, out)),
        _ => {}
    }
}

#[test]
fn every_text_stands_in_the_table_and_every_line_of_it_is_said() {
    let texts = Texts::of_the_sources();
    let table: BTreeMap<_, _> = language::table().collect();
    assert!(!table.is_empty(), "the table can be read");
    let missing: Vec<_> = texts
        .said
        .iter()
        .filter(|(text, _)| !table.contains_key(text.as_str()))
        .map(|(text, file)| format!("{file}: {text:?}"))
        .collect();
    assert!(
        missing.is_empty(),
        "not in german.toml:\n{}",
        missing.join("\n")
    );
    let looked_up = looked_up();
    let not_there: Vec<_> = looked_up
        .iter()
        .chain(&texts.plurals)
        .filter(|t| !table.contains_key(t.as_str()))
        .collect();
    assert!(
        not_there.is_empty(),
        "looked up, and not in german.toml: {not_there:#?}"
    );
    let unused: Vec<_> = table
        .keys()
        .filter(|t| {
            let t = **t;
            !texts.said.contains_key(t) && !looked_up.contains(t) && !texts.plurals.contains(t)
        })
        .collect();
    assert!(
        unused.is_empty(),
        "in german.toml, and said nowhere: {unused:#?}"
    );
}

/// Numbers and signs that both texts must have alike; words may differ.
fn signs(text: &str) -> Vec<char> {
    let mut all: Vec<char> = text
        .chars()
        .filter(|c| "·×Ø±≤≥→✖%°\n".contains(*c))
        .collect();
    all.sort_unstable();
    all
}

#[test]
fn both_texts_carry_the_same_signs_begin_and_end_alike_and_none_is_empty() {
    let mut wrong = Vec::new();
    for (english, german) in language::table() {
        let gaps = |t: &str| (t.starts_with(' '), t.ends_with(' '), t.ends_with('\n'));
        if german.trim().is_empty()
            || gaps(english) != gaps(german)
            || signs(english).len() > signs(german).len()
        {
            wrong.push(format!("{english:?} = {german:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_text_is_said_in_the_language_that_is_spoken_and_for_programs_in_english() {
    let keep = || kerfcast::profile::Role::Opening.word();
    assert_eq!(language::within(Language::German, keep), "Durchbruch");
    assert_eq!(language::within(Language::English, keep), "opening");
    language::within(Language::German, || {
        assert_eq!(language::for_programs(keep), "opening");
        assert_eq!(keep(), "Durchbruch");
        assert_eq!(language::localised("0.25".to_owned()), "0,25");
        assert_eq!(
            language::said("the shop’s own steel"),
            "the shop’s own steel"
        );
    });
    assert_eq!(language::localised("0.25".to_owned()), "0.25");
    for (tag, language) in [
        ("de", Some(Language::German)),
        ("de_AT.UTF-8", Some(Language::German)),
        ("en-GB", Some(Language::English)),
        ("fr", None),
        ("C", None),
    ] {
        assert_eq!(Language::of_tag(tag), language, "{tag}");
    }
}

/// From so many words on a text is a sentence that stands once in the sources; shorter ones are names of things.
const A_SENTENCE: usize = 5;

#[test]
fn every_sentence_stands_once_in_the_sources() {
    let texts = Texts::of_the_sources();
    let twice: Vec<_> = texts
        .places
        .iter()
        .filter(|(text, places)| {
            let words = text.split(" (in ").next().unwrap_or(text);
            words.split_whitespace().count() >= A_SENTENCE && places.len() > 1
        })
        .collect();
    assert!(twice.is_empty(), "written in several places: {twice:#?}");
}
