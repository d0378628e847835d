//! Which source file uses what of which other, read from the sources themselves.

use proc_macro2::{TokenStream, TokenTree};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use syn::visit::Visit;

/// A path in words, `["crate", "units", "Length"]`.
type Words = Vec<String>;

/// What stands in one module, a file of its own or not.
#[derive(Default)]
struct Module {
    /// The file that it stands in, as a module.
    file: String,
    /// Modules declared in it.
    children: BTreeSet<String>,
    /// Items defined in it.
    items: BTreeSet<String>,
    /// Names that its `use` lines bring in, with what they stand for.
    names: BTreeMap<String, Words>,
    /// What it takes whole: `use x::*`.
    globs: Vec<Words>,
    /// All other paths.
    paths: BTreeSet<Words>,
}

/// All modules below a folder; the root is the empty name, a module is written `estimate::explain::time`.
pub struct House {
    modules: BTreeMap<String, Module>,
}

/// Where a path leads.
#[derive(Debug, PartialEq)]
enum Found {
    /// To an item that is defined in this module.
    Item(String),
    /// To a module itself.
    Module(String),
    /// Out of the house.
    Outside,
}

/// Doors behind doors: nobody builds more of them.
const DEEPEST: usize = 20;

fn below(module: &str, name: &str) -> String {
    if module.is_empty() {
        name.to_owned()
    } else {
        format!("{module}::{name}")
    }
}

fn above(module: &str) -> &str {
    module.rsplit_once("::").map_or("", |(parent, _)| parent)
}

impl House {
    /// Reads every source below this folder, `name.rs` beside `name/`.
    pub fn of(src: &Path) -> Self {
        let mut sources = Vec::new();
        collect(src, "", &mut sources);
        Self::from_sources(sources.iter().map(|(m, t)| (m.as_str(), t.as_str())))
    }
    /// Sources by the module that each file is.
    fn from_sources<'a>(sources: impl Iterator<Item = (&'a str, &'a str)>) -> Self {
        let mut modules = BTreeMap::new();
        for (file, text) in sources {
            let parsed = syn::parse_file(text).unwrap_or_else(|e| panic!("{file}: {e}"));
            let mut reader = Reader {
                modules: &mut modules,
                file,
                module: file.to_owned(),
            };
            reader.begin();
            reader.visit_file(&parsed);
        }
        Self { modules }
    }
    /// The files, as modules; the roots of the two packages are none.
    pub fn files(&self) -> impl Iterator<Item = &str> {
        let own = |(name, module): (&'_ String, &'_ Module)| **name == module.file;
        self.modules
            .iter()
            .filter(move |(n, m)| !n.is_empty() && own((n, m)))
            .map(|(name, _)| name.as_str())
    }
    fn all_paths<'a>(&'a self, file: &'a str) -> impl Iterator<Item = (&'a str, &'a Words)> {
        let inside = self.modules.iter().filter(move |(_, m)| m.file == file);
        inside.flat_map(|(name, m)| {
            let words = m.paths.iter().chain(m.names.values());
            words.map(move |w| (name.as_str(), w))
        })
    }
    /// The other files in which what this one uses is defined.
    pub fn arrows<'a>(&'a self, file: &'a str) -> BTreeSet<&'a str> {
        let mut out = BTreeSet::new();
        for (module, words) in self.all_paths(file) {
            // A module named is no use of it: what is taken from it comes by a path of its own.
            let Found::Item(to) = self.follow(module, words, 0) else {
                continue;
            };
            let to = self.modules[&to].file.as_str();
            // What stands in the root of a package is only its map.
            if to != file && !to.is_empty() && !self.is_a_door(module, words) {
                out.insert(to);
            }
        }
        out
    }
    /// Whether these words stand only in a `pub use` of a child: a door knows what it opens to and uses nothing.
    fn is_a_door(&self, module: &str, words: &Words) -> bool {
        let m = &self.modules[module];
        let named = m.names.iter().filter(|(_, w)| *w == words);
        let child = words.first().is_some_and(|w| m.children.contains(w))
            || words.first().is_some_and(|w| w == "self");
        let mut named = named.map(|(n, _)| n).peekable();
        child && named.peek().is_some() && !named.any(|n| m.paths.iter().any(|p| p[0] == *n))
    }
    /// The crates from outside that this file names.
    pub fn crates<'a>(&'a self, file: &'a str) -> BTreeSet<&'a str> {
        self.all_paths(file)
            .filter(|(m, words)| self.follow(m, words, 0) == Found::Outside)
            .filter_map(|(_, words)| words.first().map(String::as_str))
            .collect()
    }
    fn follow(&self, from: &str, words: &[String], depth: usize) -> Found {
        let Some((first, mut rest)) = words.split_first() else {
            return Found::Outside;
        };
        if depth > DEEPEST {
            return Found::Outside;
        }
        let mut at = match first.as_str() {
            "crate" | "kerfcast" | "kerfcast_core" => String::new(),
            "self" => from.to_owned(),
            "super" => above(from).to_owned(),
            _ => {
                rest = words;
                from.to_owned()
            }
        };
        while rest.first().is_some_and(|w| w == "super") {
            above(&at).to_owned().clone_into(&mut at);
            rest = &rest[1..];
        }
        let Some((name, after)) = rest.split_first() else {
            return Found::Module(at);
        };
        self.look_up(&at, name, after, depth + 1)
    }
    /// What `name`, then `rest`, means in a module.
    fn look_up(&self, at: &str, name: &String, rest: &[String], depth: usize) -> Found {
        let Some(module) = self.modules.get(at) else {
            return Found::Outside;
        };
        let child = below(at, name);
        if module.children.contains(name) && self.modules.contains_key(&child) {
            return match rest.split_first() {
                None => Found::Module(child),
                Some((next, after)) => self.look_up(&child, next, after, depth + 1),
            };
        }
        if module.items.contains(name) {
            return Found::Item(at.to_owned());
        }
        if let Some(words) = module.names.get(name) {
            // `use serde::Serialize` names a crate, not the name itself again.
            if words.len() == 1 && words[0] == *name {
                return Found::Outside;
            }
            let whole: Words = words.iter().chain(rest).cloned().collect();
            return self.follow(at, &whole, depth + 1);
        }
        for words in &module.globs {
            let whole: Words = words.iter().chain([name]).chain(rest).cloned().collect();
            match self.follow(at, &whole, depth + 1) {
                Found::Outside => {}
                found => return found,
            }
        }
        Found::Outside
    }
    /// Files that import each other, directly or round about, the largest circle first.
    pub fn circles(&self) -> Vec<Vec<String>> {
        let files: Vec<&str> = self.files().collect();
        let arrows: BTreeMap<&str, BTreeSet<&str>> =
            files.iter().map(|f| (*f, self.arrows(f))).collect();
        let reached: BTreeMap<&str, BTreeSet<&str>> =
            files.iter().map(|f| (*f, reach(f, &arrows))).collect();
        let mut circles = BTreeSet::new();
        for file in &files {
            let circle: Vec<String> = reached[file]
                .iter()
                .filter(|other| reached[*other].contains(file))
                .map(|other| (*other).to_owned())
                .collect();
            if circle.len() > 1 {
                circles.insert(circle);
            }
        }
        let mut circles: Vec<_> = circles.into_iter().collect();
        circles.sort_by_key(|c| std::cmp::Reverse(c.len()));
        circles
    }
}

/// All that can be reached along the arrows; the file itself only if a circle leads back to it.
fn reach<'a>(from: &'a str, arrows: &BTreeMap<&'a str, BTreeSet<&'a str>>) -> BTreeSet<&'a str> {
    let mut seen = BTreeSet::new();
    let mut open: Vec<&str> = arrows[from].iter().copied().collect();
    while let Some(next) = open.pop() {
        if seen.insert(next) {
            open.extend(arrows.get(next).into_iter().flatten());
        }
    }
    seen
}

fn collect(folder: &Path, module: &str, out: &mut Vec<(String, String)>) {
    for entry in fs::read_dir(folder).expect("the folder is there") {
        let path = entry.expect("readable").path();
        let name = path.file_stem().expect("a name").to_string_lossy();
        if path.is_dir() {
            // The programs and their main files know all and are known by nobody; a package of its own knows none of the house.
            if name != "bin" && !path.join("Cargo.toml").exists() {
                collect(&path, &below(module, &name), out);
            }
        } else if path.extension().is_some_and(|e| e == "rs") {
            let root = module.is_empty() && (name == "lib" || name == "window");
            let file = if root {
                String::new()
            } else {
                below(module, &name)
            };
            out.push((file, fs::read_to_string(&path).expect("readable")));
        }
    }
}

struct Reader<'a> {
    modules: &'a mut BTreeMap<String, Module>,
    file: &'a str,
    module: String,
}

impl Reader<'_> {
    fn begin(&mut self) {
        let file = self.file.to_owned();
        self.here().file = file;
    }
    fn here(&mut self) -> &mut Module {
        self.modules.entry(self.module.clone()).or_default()
    }
    fn tree(&mut self, tree: &syn::UseTree, before: &[String]) {
        let with = |name: &syn::Ident| {
            let name = name.to_string();
            let mut words = before.to_vec();
            // `use a::{self}` is `use a`.
            if name != "self" || words.is_empty() {
                words.push(name);
            }
            words
        };
        match tree {
            syn::UseTree::Path(path) => self.tree(&path.tree, &with(&path.ident)),
            syn::UseTree::Group(group) => group.items.iter().for_each(|t| self.tree(t, before)),
            syn::UseTree::Glob(_) => self.here().globs.push(before.to_vec()),
            syn::UseTree::Name(name) => {
                let words = with(&name.ident);
                let own = words.last().cloned().unwrap_or_default();
                self.here().names.insert(own, words);
            }
            syn::UseTree::Rename(rename) => {
                let words = with(&rename.ident);
                let own = rename.rename.to_string();
                // `as _` brings in a trait under no name of its own.
                let own = if own == "_" { words.join("::") } else { own };
                self.here().names.insert(own, words);
            }
        }
    }
    /// Paths among the words of a macro.
    fn tokens(&mut self, stream: TokenStream) {
        let mut words: Words = Vec::new();
        let mut colons = 0;
        for token in stream {
            match token {
                TokenTree::Ident(word) => {
                    if colons != 2 {
                        self.path(std::mem::take(&mut words));
                    }
                    words.push(word.to_string());
                    colons = 0;
                }
                TokenTree::Punct(p) if p.as_char() == ':' => colons += 1,
                TokenTree::Group(group) => {
                    self.path(std::mem::take(&mut words));
                    self.tokens(group.stream());
                    colons = 0;
                }
                _ => {
                    self.path(std::mem::take(&mut words));
                    colons = 0;
                }
            }
        }
        self.path(words);
    }
    fn path(&mut self, words: Words) {
        // A single word is in scope already: its `use` line tells where it is from.
        if words.len() > 1 {
            self.here().paths.insert(words);
        } else if let [word] = words.as_slice() {
            // So that a door knows whether it uses itself what it opens to.
            let word = vec![word.clone()];
            self.here().paths.insert(word);
        }
    }
}

/// Whether an item is for tests only.
fn for_tests(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|a| {
        let syn::Meta::List(list) = &a.meta else {
            return a.path().is_ident("test");
        };
        a.path().is_ident("cfg") && list.tokens.to_string() == "test"
    })
}

impl<'ast> Visit<'ast> for Reader<'_> {
    fn visit_item(&mut self, item: &'ast syn::Item) {
        let (attributes, name) = match item {
            syn::Item::Const(i) => (&i.attrs, Some(&i.ident)),
            syn::Item::Enum(i) => (&i.attrs, Some(&i.ident)),
            syn::Item::Fn(i) => (&i.attrs, Some(&i.sig.ident)),
            syn::Item::Static(i) => (&i.attrs, Some(&i.ident)),
            syn::Item::Struct(i) => (&i.attrs, Some(&i.ident)),
            syn::Item::Trait(i) => (&i.attrs, Some(&i.ident)),
            syn::Item::Type(i) => (&i.attrs, Some(&i.ident)),
            syn::Item::Union(i) => (&i.attrs, Some(&i.ident)),
            syn::Item::Macro(i) => (&i.attrs, i.ident.as_ref()),
            syn::Item::Mod(i) => (&i.attrs, None),
            syn::Item::Use(i) => (&i.attrs, None),
            syn::Item::Impl(i) => (&i.attrs, None),
            _ => return syn::visit::visit_item(self, item),
        };
        if for_tests(attributes) {
            return;
        }
        if let Some(name) = name {
            let name = name.to_string();
            self.here().items.insert(name);
        }
        syn::visit::visit_item(self, item);
    }
    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        let name = item.ident.to_string();
        self.here().children.insert(name.clone());
        if let Some((_, items)) = &item.content {
            let outer = self.module.clone();
            self.module = below(&outer, &name);
            self.begin();
            items.iter().for_each(|i| self.visit_item(i));
            self.module = outer;
        }
    }
    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        self.tree(&item.tree, &[]);
    }
    fn visit_path(&mut self, path: &'ast syn::Path) {
        let words = path.segments.iter().map(|s| s.ident.to_string()).collect();
        self.path(words);
        syn::visit::visit_path(self, path);
    }
    fn visit_macro(&mut self, of: &'ast syn::Macro) {
        self.tokens(of.tokens.clone());
        syn::visit::visit_macro(self, of);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn house(sources: &[(&str, &str)]) -> House {
        House::from_sources(sources.iter().copied())
    }
    fn arrows(sources: &[(&str, &str)], file: &str) -> Vec<String> {
        let house = house(sources);
        house.arrows(file).into_iter().map(str::to_owned).collect()
    }
    const ROOT: (&str, &str) = ("", "pub mod a; pub mod b;");
    const A: (&str, &str) = ("a", "pub mod deep; pub use deep::Thing; pub struct Own;");
    const DEEP: (&str, &str) = ("a::deep", "pub struct Thing; pub fn make() {}");

    #[test]
    fn groups_renames_and_doors_lead_to_the_file_that_defines() {
        for (text, expected) in [
            ("use crate::a::Own;", vec!["a"]),
            ("use crate::a::Thing;", vec!["a::deep"]),
            (
                "use crate::a::{self, deep::{make, Thing as T}};",
                vec!["a::deep"],
            ),
            ("use crate::{a::{Own, Thing}};", vec!["a", "a::deep"]),
            ("use super::a::Thing;", vec!["a::deep"]),
            (
                "use crate::a::*; fn f(_: Own, _: Thing) {}",
                vec!["a", "a::deep"],
            ),
            (
                "use crate::a::deep as d; fn f() { d::make(); }",
                vec!["a::deep"],
            ),
            (
                "fn f() -> crate::a::Own { crate::a::deep::make() }",
                vec!["a", "a::deep"],
            ),
            (
                "fn f() { println!(\"{}\", crate::a::deep::make()); }",
                vec!["a::deep"],
            ),
            ("mod inner { use super::super::a::Own; }", vec!["a"]),
            ("fn f() { use crate::a::Own; }", vec!["a"]),
            ("use crate::a;", vec![]),
            ("#[cfg(test)] mod tests { use crate::a::Own; }", vec![]),
            ("#[cfg(test)] use crate::a::Own;", vec![]),
            ("use std::fmt::Display;", vec![]),
        ] {
            assert_eq!(
                arrows(&[ROOT, A, DEEP, ("b", text)], "b"),
                expected,
                "{text}"
            );
        }
    }

    #[test]
    fn a_child_that_uses_its_parent_and_is_used_by_it_makes_a_circle() {
        let child = (
            "a::deep",
            "use super::Own; pub struct Thing; pub fn make(_: Own) {}",
        );
        // The door alone uses nothing of what it opens to.
        assert!(house(&[ROOT, A, child, ("b", "")]).circles().is_empty());
        let parent = (
            "a",
            "mod deep; use self::deep::Thing; pub struct Own; fn f(_: Thing) {}",
        );
        let circles = house(&[ROOT, parent, child, ("b", "")]).circles();
        assert_eq!(circles, [vec!["a".to_owned(), "a::deep".to_owned()]]);
    }

    #[test]
    fn crates_from_outside_are_told() {
        let text = "use egui::Ui; fn f() { eframe::run(); }";
        let house = house(&[ROOT, A, DEEP, ("b", text)]);
        assert_eq!(
            house.crates("b").into_iter().collect::<Vec<_>>(),
            ["eframe", "egui"]
        );
    }
}
