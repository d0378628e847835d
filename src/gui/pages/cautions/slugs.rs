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
    for p in parts.iter().take(MOST) {
        part_ui(ui, p, view, actions);
    }
    let left = MOST.saturating_sub(parts.len());
    // What is the same for many is said with the first of them.
    let mut said = Vec::new();
    for s in slugs.iter().take(left) {
        let new = s.caution.filter(|c| !said.contains(c));
        said.extend(new);
        slug_with(ui, s, new, view, actions);
    }
    let all = parts.len() + slugs.len();
    if all > MOST {
        ui.weak(say!("and {} more", all - MOST));
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

fn caution_word(caution: Option<SlugCaution>) -> &'static str {
    match caution {
        Some(SlugCaution::MayFall) => say!("may fall"),
        Some(SlugCaution::MayJam) => say!("may jam"),
        None => "",
    }
}

/// Mass and size of one slug, and its cautions in full.
pub fn slug_ui(ui: &mut Ui, slug: &Slug, view: &View<'_>, actions: &mut Vec<Action>) {
    slug_with(ui, slug, slug.caution, view, actions);
}

/// Mass and size of one slug, what it can do in a word, and one caution in full.
fn slug_with(
    ui: &mut Ui,
    slug: &Slug,
    in_full: Option<SlugCaution>,
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
        None if slug.pieces > 1 => say!("comes loose early"),
        caution => caution_word(caution),
    };
    let more = [
        in_full.map(|c| loose_pieces::slug(c).to_owned()),
        falls_apart.then(|| loose_pieces::falls_apart(slug.pieces)),
        slug.not_eroded
            .filter(|_| slug.piece == 0)
            .map(loose_pieces::not_eroded),
        support(i, view)
            .filter(|_| slug.piece == 0 && !slug.is_taken_by_the_kerf())
            .map(str::to_owned),
    ];
    ui.push_id(("slug", i, slug.piece), |ui| {
        piece_ui(
            ui,
            i,
            (&name, &text, word),
            more.into_iter().flatten(),
            actions,
        );
    });
}

/// Mass and size of a part, and its caution in full.
pub fn part_ui(ui: &mut Ui, part: &FreePart, view: &View<'_>, actions: &mut Vec<Action>) {
    let i = part.contour;
    let name = say!("part in outline {}", i + 1);
    let text = sizes(part.mass, part.size, view);
    let more = [
        part.caution.map(|c| loose_pieces::part(c).to_owned()),
        support(i, view).map(str::to_owned),
    ];
    ui.push_id(("part", i), |ui| {
        piece_ui(
            ui,
            i,
            (&name, &text, caution_word(part.caution)),
            more.into_iter().flatten(),
            actions,
        );
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
