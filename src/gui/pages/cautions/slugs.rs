//! Pieces that come loose: their mass, and what to beware of.

use crate::estimate::{FreePart, Slug, SlugCaution};
use crate::gui::canvas::planned;
use crate::gui::open_file::Target;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, tokens};
use crate::units::{Area, Mass};
use crate::words::loose_pieces;
use crate::words::{System, style::number};
use egui::{Label, RichText, Sense, Ui};

/// Most pieces listed one by one.
const MOST: usize = 60;

/// Every part and slug of the wire shown, those with a caution first.
pub fn slugs_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let Some(f) = view.file.shown_estimate().and_then(|e| e.figures.as_ref()) else {
        return;
    };
    let mut parts: Vec<&FreePart> = f.parts.iter().collect();
    let wanting = wanting_support(view);
    let holds = |contour: usize| wanting.get(contour) == Some(&true);
    parts.sort_by_key(|p| p.caution.is_none() && !holds(p.contour));
    let mut slugs: Vec<&Slug> = f.slugs.iter().collect();
    slugs.sort_by(|a, b| {
        let wants = |s: &Slug| !s.wants_care() && !holds(s.contour);
        wants(a)
            .cmp(&wants(b))
            .then(b.mass.kg().total_cmp(&a.mass.kg()))
    });
    let mut told = Told::default();
    for p in parts.iter().take(MOST) {
        part_with(ui, p, &mut told, view, actions);
    }
    let left = MOST.saturating_sub(parts.len());
    for s in slugs.iter().take(left) {
        slug_with(ui, s, &mut told, view, actions);
    }
    let all = parts.len() + slugs.len();
    if all > MOST {
        ui.weak(say!("and {} more", all - MOST));
    }
}

/// What was said in full already: what is the same for many is said with the first of them.
#[derive(Default)]
struct Told(Vec<String>);

impl Told {
    /// Of some sentences those that are new.
    fn new_of(&mut self, all: impl IntoIterator<Item = String>) -> Vec<String> {
        let mut new: Vec<String> = all.into_iter().collect();
        new.retain(|s| !self.0.contains(s));
        self.0.extend(new.iter().cloned());
        new
    }
}

/// What the tab of a contour does not hold by itself.
fn support(contour: usize, view: &View<'_>) -> Option<&'static str> {
    let start = planned(view.file).iter().find(|s| s.contour == contour)?;
    start.holds.words()
}

/// Of each contour, whether its tab does not hold by itself. Many contours are asked about at once, and a start is found
/// by going through all of them.
fn wanting_support(view: &View<'_>) -> Vec<bool> {
    let mut out = vec![false; view.file.profile.contours().len()];
    for start in planned(view.file) {
        if let Some(own) = out.get_mut(start.contour) {
            *own = start.holds.words().is_some();
        }
    }
    out
}

/// Whether a piece is heavy enough to fall, or needs more than its tab. Those that may jam are told on the page: hardly a
/// job is without one.
pub fn may_fall(view: &View<'_>) -> bool {
    let figures = view.file.shown_estimate().and_then(|e| e.figures.as_ref());
    let falls = |c: Option<SlugCaution>| c == Some(SlugCaution::MayFall);
    figures.is_some_and(|f| {
        let wanting = wanting_support(view);
        let holds = |contour: usize| wanting.get(contour) == Some(&true);
        let mut parts = f.parts.iter();
        f.slugs
            .iter()
            .any(|s| falls(s.caution) || s.piece == 0 && holds(s.contour))
            || parts.any(|p| falls(p.caution) || holds(p.contour))
    })
}

fn caution_word(caution: Option<SlugCaution>) -> Option<&'static str> {
    Some(match caution? {
        SlugCaution::MayFall => say!("may fall"),
        SlugCaution::MayJam => say!("may jam"),
    })
}

/// What a piece can do, and whether its tab is not enough, in few words.
fn in_words(piece: Option<&'static str>, wants_support: bool) -> String {
    let support = wants_support.then(|| say!("wants support"));
    let both: Vec<&str> = piece.into_iter().chain(support).collect();
    both.join(", ")
}

/// Mass and size of one slug, and its cautions in full.
pub fn slug_ui(ui: &mut Ui, slug: &Slug, view: &View<'_>, actions: &mut Vec<Action>) {
    slug_with(ui, slug, &mut Told::default(), view, actions);
}

/// Mass and size of one slug, what it can do in few words, and in full what was not told yet.
fn slug_with(
    ui: &mut Ui,
    slug: &Slug,
    told: &mut Told,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let i = slug.contour;
    let mut name = say!("slug of opening {}", i + 1);
    if slug.pieces > 1 {
        name = say!("{name}, piece {} of {}", slug.piece + 1, slug.pieces);
    }
    let text = if slug.is_taken_by_the_kerf() {
        say!("nothing comes loose: the kerf takes it all, so there is no tab and no stop")
            .to_owned()
    } else if slug.area > Area::ZERO {
        sizes(slug.mass, slug.size, view)
    } else {
        say!("hardly anything is left of it between the cuts").to_owned()
    };
    // Said once, with the first piece.
    let falls_apart = slug.pieces > 1 && slug.piece == 0;
    let word = match slug.caution {
        None if slug.pieces > 1 => Some(say!("comes loose early")),
        caution => caution_word(caution),
    };
    let support = support(i, view).filter(|_| slug.piece == 0 && !slug.is_taken_by_the_kerf());
    let word = in_words(word, support.is_some());
    let more = [
        slug.caution.map(|c| loose_pieces::slug(c).to_owned()),
        falls_apart.then(|| loose_pieces::falls_apart(slug.pieces)),
        slug.not_eroded
            .filter(|_| slug.piece == 0)
            .map(loose_pieces::not_eroded),
        support.map(str::to_owned),
    ];
    let more = told.new_of(more.into_iter().flatten());
    ui.push_id(("slug", i, slug.piece), |ui| {
        piece_ui(ui, i, (&name, &text, &word), more, actions);
    });
}

/// Mass and size of a part, and its caution in full.
pub fn part_ui(ui: &mut Ui, part: &FreePart, view: &View<'_>, actions: &mut Vec<Action>) {
    part_with(ui, part, &mut Told::default(), view, actions);
}

/// Mass and size of a part, what it can do in few words, and in full what was not told yet.
fn part_with(
    ui: &mut Ui,
    part: &FreePart,
    told: &mut Told,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let i = part.contour;
    let name = say!("part in outline {}", i + 1);
    let text = sizes(part.mass, part.size, view);
    let support = support(i, view);
    let word = in_words(caution_word(part.caution), support.is_some());
    let more = [
        part.caution.map(|c| loose_pieces::part(c).to_owned()),
        support.map(str::to_owned),
    ];
    let more = told.new_of(more.into_iter().flatten());
    ui.push_id(("part", i), |ui| {
        piece_ui(ui, i, (&name, &text, &word), more, actions);
    });
}

fn sizes(mass: Mass, size: crate::units::Length, view: &View<'_>) -> String {
    say!(
        "{}, {} long",
        mass_words(mass, view),
        view.style.length(size)
    )
}

/// Name, what it is and what it can do in a word, then more under it.
fn piece_ui(
    ui: &mut Ui,
    contour: usize,
    (name, text, word): (&str, &str, &str),
    more: impl IntoIterator<Item = String>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        let name = RichText::new(name).color(t.text);
        if ui.add(Label::new(name).sense(Sense::click())).clicked() {
            actions.push(Action::Select(Some(Target::Contour(contour))));
        }
        ui.label(RichText::new(text).size(BODY - 0.5).color(t.text_soft));
        if !word.is_empty() {
            ui.label(RichText::new(word).size(BODY - 0.5).color(t.warn));
        }
    });
    for text in more {
        let text = RichText::new(text).size(SMALL).color(t.text_soft);
        ui.add(Label::new(text).wrap());
    }
}

/// Small pieces in grams or ounces.
fn mass_words(mass: Mass, view: &View<'_>) -> String {
    const OUNCES_PER_KG: f64 = 35.273_961_95;
    let kg = mass.kg();
    match view.style.system {
        System::Metric if kg < 0.1 => {
            format!("{}\u{202f}g", number(kg * 1000.0, usize::from(kg < 0.01)))
        }
        System::Inch if kg * OUNCES_PER_KG < 8.0 => {
            say!("{}\u{202f}oz", number(kg * OUNCES_PER_KG, 2))
        }
        _ => view.style.mass(mass),
    }
}
