//! What a document says, block by block, before anybody knows how long a page is.

use super::pages::{Image, Paper};
use super::picture::Picture;
use std::sync::Arc;

/// A document.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    /// Its paper.
    pub paper: Paper,
    /// Whose it is.
    pub letterhead: Letterhead,
    /// What it is.
    pub title: String,
    /// What it is called in running heads and by its file.
    pub name: String,
    /// Number, date and the like.
    pub facts: Vec<(String, String)>,
    /// What follows.
    pub blocks: Vec<Block>,
    /// At the foot of every page.
    pub foot: String,
}

/// The shop at the head of the first page.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Letterhead {
    /// Its name.
    pub name: String,
    /// Address and the like, line by line.
    pub lines: Vec<String>,
    /// Its picture.
    pub logo: Option<Arc<Image>>,
}

/// A piece of a document.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// The head of a section; it stays with what follows.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// A remark.
    Note(String),
    /// Names and what they are.
    Facts(Vec<(String, String)>),
    /// A list, one paragraph each.
    List(Vec<String>),
    /// Titles with what is said under them.
    Titled(Vec<(String, String)>),
    /// A table.
    Table(Table),
    /// What is quoted.
    Item(Box<Item>),
    /// A drawing across the page.
    Drawing(Box<Picture>),
}

/// What is quoted: its drawing beside its facts, its prices below.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Its number.
    pub number: String,
    /// What it is called.
    pub name: String,
    /// To scale.
    pub picture: Option<Picture>,
    /// What it is.
    pub facts: Vec<(String, String)>,
    /// What it costs.
    pub ladder: Table,
    /// What is to be said of it.
    pub notes: Vec<String>,
}

/// Where cells stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Words, at the left.
    Words,
    /// Numbers, at the right.
    Numbers,
}

/// A table; its head is repeated on every page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// Heads.
    pub columns: Vec<(String, Align)>,
    /// Cells.
    pub rows: Vec<Vec<String>>,
    /// Whether the last row is the sum of those before.
    pub sum: bool,
    /// How often it stands side by side, the rows going down each; 0 or 1 once.
    pub across: usize,
    /// Whether it takes the whole width.
    pub wide: bool,
}

impl Document {
    /// Every piece of text that it holds, as the pages must show it.
    pub fn text(&self) -> Vec<&str> {
        let mut out = vec![self.title.as_str(), self.letterhead.name.as_str()];
        out.extend(self.letterhead.lines.iter().map(String::as_str));
        pairs(&self.facts, &mut out);
        for block in &self.blocks {
            match block {
                Block::Heading(t) | Block::Text(t) | Block::Note(t) => out.push(t),
                Block::Facts(list) | Block::Titled(list) => pairs(list, &mut out),
                Block::List(list) => out.extend(list.iter().map(String::as_str)),
                Block::Table(table) => cells(table, &mut out),
                Block::Item(item) => {
                    out.extend([item.number.as_str(), &item.name]);
                    pairs(&item.facts, &mut out);
                    cells(&item.ladder, &mut out);
                    out.extend(item.notes.iter().map(String::as_str));
                }
                Block::Drawing(_) => {}
            }
        }
        out.push(&self.foot);
        out.retain(|t| !t.trim().is_empty());
        out
    }
}

fn pairs<'a>(list: &'a [(String, String)], out: &mut Vec<&'a str>) {
    for (name, value) in list {
        out.extend([name.as_str(), value]);
    }
}

fn cells<'a>(table: &'a Table, out: &mut Vec<&'a str>) {
    out.extend(table.columns.iter().map(|c| c.0.as_str()));
    out.extend(table.rows.iter().flatten().map(String::as_str));
}
