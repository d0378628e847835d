//! A document set on pages: one grid, few sizes, rows that are never torn, heads that are repeated.
//!
//! Names hang in a column at the left, what they name stands beside it. Everything is placed from the top; what does
//! not fit begins the next page.

mod item;
mod table;

use super::document::{Block, Document, Table};
use super::pages::{Ink, Mark, Page, Pages};
use super::picture::Picture;
use super::typeset::{Font, elided, line, lines};

/// Left margin, pt.
const LEFT: f32 = 57.0;
/// Right margin, pt.
const RIGHT: f32 = 51.0;
/// First line of a page, pt from the top.
const TOP: f32 = 58.0;
/// Lowest line, pt from the bottom.
const BOTTOM: f32 = 62.0;
/// Width of the column of names, its gutter included, pt.
const NAMES: f32 = 118.0;
/// Between sections, pt.
const SECTION: f32 = 15.0;
/// Highest drawing across a page, pt.
const DRAWING_HEIGHT: f32 = 250.0;
/// Above and below the text of a table's row, pt.
const AIR: f32 = 1.8;
/// A list of no more lines is not torn.
const SHORT_LIST: usize = 10;
/// A table of no more rows is not torn.
const SHORT_TABLE: usize = 8;
/// Most lines of a title; a longer name is told in full among the facts.
const TITLE_LINES: usize = 2;
/// More facts than this stand in two columns.
const MOST_FACTS: usize = 6;

/// A size of letters with its lines.
#[derive(Debug, Clone, Copy)]
struct Type {
    size: f32,
    lead: f32,
}

const SMALL: Type = Type {
    size: 8.0,
    lead: 11.0,
};
const TEXT: Type = Type {
    size: 9.5,
    lead: 13.0,
};
const NAME: Type = Type {
    size: 12.0,
    lead: 16.0,
};
const TITLE: Type = Type {
    size: 21.0,
    lead: 26.0,
};

/// The document on pages.
pub fn laid(document: &Document) -> Pages {
    let mut flow = Flow::new(document);
    flow.letterhead();
    flow.title();
    let mut blocks = document.blocks.iter().peekable();
    while let Some(block) = blocks.next() {
        match block {
            Block::Heading(name) => flow.heading(name, blocks.peek().copied()),
            Block::Text(text) => flow.paragraph(text, TEXT, Ink::Text),
            Block::Note(text) => flow.paragraph(text, SMALL, Ink::Quiet),
            Block::List(list) => flow.list(list),
            Block::Facts(facts) => flow.facts(facts),
            Block::Titled(list) => flow.titled(list),
            Block::Table(table) => flow.table(table),
            Block::Item(item) => flow.item(item),
            Block::Drawing(picture) => flow.drawing(picture),
        }
    }
    flow.finished()
}

struct Flow<'a> {
    document: &'a Document,
    pages: Vec<Page>,
    /// Top of the next line.
    y: f32,
    width: f32,
    height: f32,
}

impl<'a> Flow<'a> {
    fn new(document: &'a Document) -> Self {
        let (width, height) = document.paper.size();
        Self {
            document,
            pages: vec![Page::default()],
            y: TOP,
            width,
            height,
        }
    }
    fn right(&self) -> f32 {
        self.width - RIGHT
    }
    fn main() -> f32 {
        LEFT + NAMES
    }
    fn bottom(&self) -> f32 {
        self.height - BOTTOM
    }
    fn room(&self) -> f32 {
        self.bottom() - self.y
    }
    fn new_page(&mut self) {
        self.pages.push(Page::default());
        // The running head stands above.
        self.y = TOP + 18.0;
    }
    /// Begins a page where less than that is left of this one.
    fn need(&mut self, height: f32) {
        if height > self.room() && self.y > TOP + 40.0 {
            self.new_page();
        }
    }
    fn put(&mut self, mark: Mark) {
        if let Some(page) = self.pages.last_mut() {
            page.marks.push(mark);
        }
    }
    /// A line of text whose box begins at a height.
    fn put_line(&mut self, x: f32, top: f32, line: super::typeset::Line, set: Type, ink: Ink) {
        self.put(Mark::Text {
            x,
            y: top + 0.76 * set.lead,
            line,
            size: set.size,
            ink,
        });
    }
    fn rule(&mut self, from: f32, to: f32, y: f32, width: f32, ink: Ink) {
        self.put(Mark::Rule {
            from: (from, y),
            to: (to, y),
            width,
            ink,
        });
    }
    /// Lines one below the other from a height; how high they are.
    fn put_lines(
        &mut self,
        x: f32,
        top: f32,
        set: &[super::typeset::Line],
        t: Type,
        ink: Ink,
    ) -> f32 {
        for (k, l) in set.iter().enumerate() {
            self.put_line(x, top + t.lead * k as f32, l.clone(), t, ink);
        }
        t.lead * set.len() as f32
    }

    fn letterhead(&mut self) {
        let head = &self.document.letterhead;
        let mut height = 0.0_f32;
        let mut x = LEFT;
        if let Some(logo) = &head.logo {
            let (w, h) = (logo.pixels.0 as f32, logo.pixels.1 as f32);
            let scale = (150.0 / w).min(44.0 / h);
            let size = (w * scale, h * scale);
            self.put(Mark::Picture {
                x: LEFT,
                y: TOP - 10.0,
                size,
                image: logo.clone(),
            });
            height = height.max(size.1 - 10.0);
            x += size.0 + 14.0;
        }
        let middle = self.right() - 150.0;
        let name = lines(&head.name, Font::Strong, NAME.size, middle - x - 14.0);
        if !head.name.is_empty() {
            height = height.max(self.put_lines(x, TOP - 4.0, &name, NAME, Ink::Text));
        }
        let mut down = 0.0;
        for text in &head.lines {
            let set = lines(text, Font::Regular, SMALL.size, self.right() - middle);
            down += self.put_lines(middle, TOP - 2.0 + down, &set, SMALL, Ink::Quiet);
        }
        height = height.max(down);
        if height > 0.0 {
            self.y = TOP + height + 38.0;
        }
    }

    fn title(&mut self) {
        let width = self.right() - LEFT;
        let title = &self.document.title;
        let of = |most: usize| {
            let mut text: String = title.chars().take(most).collect();
            if most < title.chars().count() {
                text.push('…');
            }
            lines(&text, Font::Strong, TITLE.size, width)
        };
        let mut most = title.chars().count();
        let mut set = of(most);
        while set.len() > TITLE_LINES && most > 8 {
            most = most * 9 / 10;
            set = of(most);
        }
        self.y += self.put_lines(LEFT, self.y, &set, TITLE, Ink::Text);
        self.y += 10.0;
        for (name, value) in &self.document.facts {
            self.pair(LEFT, NAMES, self.right(), name, value);
        }
    }

    /// A name and what it is, side by side.
    fn pair(&mut self, x: f32, names: f32, right: f32, name: &str, value: &str) {
        let height = pair_height(names, right - x, name, value);
        self.need(height);
        let y = self.y;
        self.put_pair((x, y), names, right, name, value);
        self.y += height;
    }
    fn put_pair(&mut self, at: (f32, f32), names: f32, right: f32, name: &str, value: &str) -> f32 {
        let (x, y) = at;
        let left = lines(name, Font::Regular, TEXT.size, names - 10.0);
        let own = lines(value, Font::Regular, TEXT.size, right - x - names);
        let a = self.put_lines(x, y, &left, TEXT, Ink::Quiet);
        let b = self.put_lines(x + names, y, &own, TEXT, Ink::Text);
        a.max(b)
    }

    fn heading(&mut self, name: &str, next: Option<&Block>) {
        let beside = !next.is_none_or(Self::takes_whole_width);
        let first = next.map_or(0.0, |b| self.first_height(b));
        let own = if beside { 0.0 } else { TEXT.lead + 6.0 };
        self.need(SECTION + 8.0 + own + first.max(TEXT.lead * 2.0));
        if self.y > TOP + 20.0 {
            self.y += SECTION;
        }
        self.rule(LEFT, self.right(), self.y, 0.5, Ink::Hair);
        self.y += 6.0;
        let width = if beside {
            NAMES - 12.0
        } else {
            self.right() - LEFT
        };
        let set = lines(name, Font::Strong, TEXT.size, width);
        let y = self.y;
        let height = self.put_lines(LEFT, y, &set, TEXT, Ink::Text);
        if !beside {
            self.y += height + 5.0;
        }
    }
    fn takes_whole_width(block: &Block) -> bool {
        match block {
            Block::Table(t) => t.wide || t.across > 1,
            Block::Facts(f) => f.len() > MOST_FACTS,
            // A heading over a heading has a line of its own.
            Block::Item(_) | Block::Drawing(_) | Block::Heading(_) => true,
            _ => false,
        }
    }
    /// What stays with a heading at the least.
    fn first_height(&self, block: &Block) -> f32 {
        match block {
            Block::Table(t) => least_table_height(t),
            Block::Facts(_) => 3.0 * TEXT.lead,
            Block::Titled(list) => list.first().map_or(0.0, |(title, text)| {
                self.kept_height(title) + self.kept_height(text)
            }),
            Block::Text(text) => self.kept_height(text),
            // A short list goes as a whole to the page of its heading.
            Block::List(list) => {
                let width = self.right() - Self::main();
                let set = |text: &String| lines(text, Font::Regular, TEXT.size, width).len();
                let all: usize = list.iter().map(set).sum();
                if all <= SHORT_LIST {
                    TEXT.lead * all as f32 + 3.0 * list.len() as f32
                } else {
                    list.first().map_or(0.0, |text| self.kept_height(text))
                }
            }
            Block::Drawing(p) => {
                p.fitted(self.right() - LEFT, DRAWING_HEIGHT).size.1 + SMALL.lead + 8.0
            }
            Block::Item(_) => 160.0,
            _ => 2.0 * TEXT.lead,
        }
    }

    /// A paragraph in the main column; short ones are not torn, and of others no line stands alone.
    fn paragraph(&mut self, text: &str, t: Type, ink: Ink) {
        if text.is_empty() {
            return;
        }
        let x = Self::main();
        let set = lines(text, Font::Regular, t.size, self.right() - x);
        self.need(t.lead * kept_lines(set.len()) as f32);
        let count = set.len();
        for (k, l) in set.into_iter().enumerate() {
            // Two lines at the least stand at the foot of a page, and two at its head.
            let stay = if k > 0 && count - k == 2 { 2 } else { 1 };
            self.need(t.lead * stay as f32);
            let y = self.y;
            self.put_line(x, y, l, t, ink);
            self.y += t.lead;
        }
        self.y += 3.0;
    }

    /// Paragraphs one below the other; the last one never stands on a page alone.
    fn list(&mut self, list: &[String]) {
        for (k, text) in list.iter().enumerate() {
            if let [last] = &list[k + 1..] {
                self.need(self.kept_height(text) + 3.0 + self.kept_height(last));
            }
            self.paragraph(text, TEXT, Ink::Text);
        }
    }
    /// What of a paragraph in the main column stays together.
    fn kept_height(&self, text: &str) -> f32 {
        let width = self.right() - Self::main();
        let set = lines(text, Font::Regular, TEXT.size, width);
        TEXT.lead * kept_lines(set.len()) as f32
    }

    fn titled(&mut self, list: &[(String, String)]) {
        let (x, right) = (Self::main(), self.right());
        for (title, text) in list {
            let set = lines(text, Font::Regular, TEXT.size, right - x);
            let head = lines(title, Font::Strong, TEXT.size, right - x);
            self.need(TEXT.lead * (set.len().min(4) + head.len()) as f32);
            for (set, font_ink) in [(head, Ink::Text), (set, Ink::Text)] {
                for l in set {
                    self.need(TEXT.lead);
                    let y = self.y;
                    self.put_line(x, y, l, TEXT, font_ink);
                    self.y += TEXT.lead;
                }
            }
            self.y += 4.0;
        }
    }

    fn facts(&mut self, facts: &[(String, String)]) {
        if facts.len() <= MOST_FACTS {
            for (name, value) in facts {
                self.pair(Self::main(), 104.0, self.right(), name, value);
            }
            return;
        }
        let half = (self.right() - LEFT - 24.0) / 2.0;
        let rows = facts.len().div_ceil(2);
        let names = 92.0;
        for k in 0..rows {
            let pairs = [facts.get(k), facts.get(k + rows)];
            let height = pairs.iter().flatten();
            let height = height.map(|p| pair_height(names, half, &p.0, &p.1));
            let height = height.fold(0.0, f32::max);
            self.need(height);
            let y = self.y;
            for (column, pair) in pairs.iter().enumerate() {
                if let Some((name, value)) = pair {
                    let x = LEFT + (half + 24.0) * column as f32;
                    self.put_pair((x, y), names, x + half, name, value);
                }
            }
            self.y += height;
        }
    }

    fn drawing(&mut self, picture: &Picture) {
        let drawn = picture.fitted(self.right() - LEFT, DRAWING_HEIGHT);
        self.need(drawn.size.1 + SMALL.lead + 12.0);
        let y = self.y + 4.0;
        for mark in picture.marks((LEFT, y), &drawn) {
            self.put(mark);
        }
        self.y = y + drawn.size.1 + 6.0;
        self.caption(LEFT, picture, &drawn);
    }
    /// Scale and size under a drawing.
    fn caption(&mut self, x: f32, picture: &Picture, drawn: &super::picture::DrawnAt) {
        let words = say!("Scale {} · {}", drawn.words(), picture.size);
        let y = self.y;
        self.put_line(
            x,
            y,
            line(&words, Font::Regular, SMALL.size),
            SMALL,
            Ink::Quiet,
        );
        self.y += SMALL.lead + 2.0;
    }

    /// The scale under a drawing whose size stands beside it.
    fn scale_below(&mut self, drawn: &super::picture::DrawnAt) {
        let words = say!("Scale {}", drawn.words());
        let y = self.y;
        let set = line(&words, Font::Regular, SMALL.size);
        self.put_line(LEFT, y, set, SMALL, Ink::Quiet);
        self.y += SMALL.lead + 2.0;
    }

    fn finished(mut self) -> Pages {
        let count = self.pages.len();
        let (right, foot_y) = (self.right(), self.height - 40.0);
        let shop = self.document.letterhead.name.clone();
        for (k, page) in self.pages.iter_mut().enumerate() {
            let mut put = |x: f32, y: f32, text: &str, to_the_right: bool, width: f32| {
                let l = elided(text, Font::Regular, SMALL.size, width);
                page.marks.push(Mark::Text {
                    x: if to_the_right { x - l.width } else { x },
                    y,
                    line: l,
                    size: SMALL.size,
                    ink: Ink::Quiet,
                });
            };
            let half = (right - LEFT) / 2.0;
            if k > 0 {
                put(LEFT, TOP - 14.0, &shop, false, half - 10.0);
                put(right, TOP - 14.0, &self.document.name, true, half - 10.0);
            }
            let number = say!("Page {} of {count}", k + 1);
            put(
                LEFT,
                foot_y,
                &self.document.foot,
                false,
                right - LEFT - 80.0,
            );
            put(right, foot_y, &number, true, 80.0);
            if k > 0 {
                page.marks.push(Mark::Rule {
                    from: (LEFT, TOP - 6.0),
                    to: (right, TOP - 6.0),
                    width: 0.4,
                    ink: Ink::Faint,
                });
            }
        }
        Pages {
            paper: self.document.paper,
            title: self.document.name.clone(),
            author: self.document.letterhead.name.clone(),
            pages: self.pages,
        }
    }
}

fn pair_height(names: f32, width: f32, name: &str, value: &str) -> f32 {
    let a = lines(name, Font::Regular, TEXT.size, names - 10.0).len();
    let b = lines(value, Font::Regular, TEXT.size, width - names).len();
    TEXT.lead * a.max(b) as f32
}

/// How many of a paragraph's lines stay together at its beginning: short ones are not torn.
fn kept_lines(count: usize) -> usize {
    if count <= 4 { count } else { 2 }
}

/// What of a table stays together: its head and two rows, or all of a short one, pt.
fn least_table_height(table: &Table) -> f32 {
    let rows = match table.rows.len() {
        short if short <= SHORT_TABLE => short,
        _ => 2,
    } as f32;
    SMALL.lead + 4.0 + rows * (TEXT.lead + 2.0 * AIR)
}
