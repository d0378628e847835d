//! The quote: whom it is for, its words, the shop's letterhead, and every page as it will be printed.

use crate::drawing::Verdict;
use crate::enquiry::{QuoteWords, Row, State};
use crate::estimate::Quotable;
use crate::gui::commands::Command;
use crate::gui::desk::{Desk, DeskAction, Entry};
use crate::gui::page::Page;
use crate::gui::pages::enquiry::pressing_words;
use crate::gui::pages::findings::verdict_colour;
use crate::gui::quoting::{Made, QuoteAction, Quoting, Reader};
use crate::gui::state::Action;
use crate::gui::theme::{BODY, PAPER, SMALL, strong, tokens};
use crate::gui::widgets::{NumberField, choice, shortened, shortened_to};
use crate::job::Confirmed;
use crate::language::capitalised;
use crate::quote::pages::Paper;
use crate::quote::stationery::{Stationery, kept_line, said_lines};
use crate::words::at_stake::quotable;
use crate::words::findings::first_sentence;
use crate::words::typed::{no_quantities, quantities};
use crate::words::{Style, style};
use egui::emath::{Rect, pos2, vec2};
use egui::{
    Button, CollapsingHeader, FontId, Image, Layout, RichText, Role, ScrollArea, Sense, Stroke,
    StrokeKind, TextEdit, Ui, UiBuilder, WidgetInfo,
};

/// Width of the column of words, points.
const WORDS: f32 = 348.0;
/// Widest a page is shown, points.
const WIDEST: f32 = 780.0;
/// Width of the names of fields.
const NAMES: f32 = 114.0;

/// The page.
pub fn quote_ui(
    ui: &mut Ui,
    desk: &Desk,
    quoting: &Quoting,
    style: Style,
    actions: &mut Vec<Action>,
) {
    let mut asked = Vec::new();
    head_ui(ui, desk, quoting, actions, &mut asked);
    ui.add_space(4.0);
    let rest = ui.available_rect_before_wrap();
    let (left, right) = rest.split_left_right_at_x(rest.left() + WORDS.min(rest.width() * 0.45));
    let mut part = |rect: Rect, name: &str, contents: &mut dyn FnMut(&mut Ui)| {
        let place = UiBuilder::new()
            .max_rect(rect)
            .layout(Layout::top_down(egui::Align::Min))
            .id_salt(name);
        ui.scope_builder(place, |ui| {
            ui.set_clip_rect(rect.intersect(ui.clip_rect()));
            contents(ui);
        });
    };
    part(left, "words of the quote", &mut |ui| {
        ScrollArea::vertical()
            .id_salt("words")
            .auto_shrink(false)
            .show(ui, |ui| {
                ui.set_max_width(left.width() - 16.0);
                checks_ui(ui, desk, style, actions);
                wires_ui(ui, desk, style, &mut asked);
                words_ui(ui, &desk.rest.quote, quoting, &mut asked);
                ui.add_space(8.0);
                stationery_ui(ui, &quoting.stationery, &mut asked, actions);
            });
    });
    part(right, "pages of the quote", &mut |ui| {
        pages_ui(ui, quoting, &mut asked);
    });
    actions.extend(asked.into_iter().map(Action::Quote));
}

fn head_ui(
    ui: &mut Ui,
    desk: &Desk,
    quoting: &Quoting,
    actions: &mut Vec<Action>,
    asked: &mut Vec<QuoteAction>,
) {
    let t = tokens(ui);
    ui.horizontal_wrapped(|ui| {
        ui.label(strong(say!("Quote"), 15.0));
        for reader in Reader::ALL {
            let is_it = quoting.reader == reader;
            if ui.selectable_label(is_it, reader.words()).clicked() {
                asked.push(QuoteAction::For(reader));
            }
        }
        let there = quoting.made().is_some_and(|m| !m.pages.pages.is_empty());
        let ready = there && !quoting.is_waiting();
        let save = Button::new(strong(say!("Save as PDF…"), BODY)).fill(t.accent_fill);
        if ui
            .add_enabled(ready, save)
            .on_hover_text(say!("The pages below as a file, its text real text in embedded fonts"))
            .on_disabled_hover_text(say!("the pages are being set"))
            .clicked()
        {
            asked.push(QuoteAction::Save);
        }
        let some = desk.entries.iter().any(|e| e.chosen);
        let quoted = desk.entries.iter().filter(|e| e.chosen || !some);
        let open = quoted.filter(|e| e.item.state == State::Asked).count();
        if open > 0
            && quoting.reader == Reader::Customer
            && ui
                .button(say!("Mark {} as quoted", style::count(open, say!("item"), say!("items"))))
                .on_hover_text(say!("Their state in the enquiry becomes “quoted”, and the figures of today are kept beside them"))
                .clicked()
        {
            asked.push(QuoteAction::MarkQuoted);
        }
        let command = Command::Page(Page::Enquiry);
        let all = desk.entries.len();
        if all > 1 {
            let chosen = desk.entries.iter().filter(|e| e.chosen).count();
            let text = match chosen {
                0 => say!("All {all} items"),
                n => say!("The {n} chosen of {all} items"),
            };
            if ui
                .add(Button::new(RichText::new(text).color(t.text_soft)).frame(false))
                .on_hover_text(say!("Choose rows in the enquiry to quote only those"))
                .clicked()
            {
                actions.push(Action::Run(command));
            }
        }
        if let Some(made) = quoting.made() {
            told_ui(ui, made);
        }
        if quoting.is_waiting() {
            let many = quoting.items();
            let text = if there {
                say!("Setting the pages…").to_owned()
            } else {
                say!("Estimating {} and setting the pages…", style::count(many, say!("item"), say!("items")))
            };
            ui.label(RichText::new(text).color(t.text_faint));
        }
    });
}

/// What is not on the pages, and why.
fn told_ui(ui: &mut Ui, made: &Made) {
    let t = tokens(ui);
    let count = made.pages.pages.len();
    ui.label(RichText::new(style::count(count, say!("page"), say!("pages"))).color(t.text_soft));
    if !made.left_out.is_empty() {
        let text = say!(
            "{} left out, as they cannot be read",
            style::count(made.left_out.len(), say!("item is"), say!("items are"))
        );
        ui.label(RichText::new(text).color(t.fault))
            .on_hover_text(made.left_out.join("\n"));
    }
    if let Some(why) = &made.no_logo {
        ui.label(RichText::new(say!("Without the letterhead’s picture: {why}")).color(t.warn));
    }
}

/// A field under its name; whether something was typed in this frame.
fn field(ui: &mut Ui, name: &str, text: &mut String, hint: &str, rows: usize) -> egui::Response {
    let t = tokens(ui);
    let mut out = None;
    ui.horizontal_top(|ui| {
        let size = vec2(NAMES, 22.0);
        ui.allocate_ui_with_layout(size, Layout::left_to_right(egui::Align::Center), |ui| {
            ui.set_min_width(NAMES);
            ui.label(RichText::new(name).color(t.text_soft));
        });
        let width = ui.available_width() - 10.0;
        let edit = if rows > 1 {
            TextEdit::multiline(text).desired_rows(rows)
        } else {
            TextEdit::singleline(text)
        };
        let edit = edit
            .hint_text(hint)
            .text_color(t.accent)
            .desired_width(width);
        out = Some(ui.add(edit).accessible_name(name));
    });
    out.unwrap_or_else(|| ui.label(""))
}

fn heading(ui: &mut Ui, text: &str, remark: &str) {
    let t = tokens(ui);
    ui.horizontal_wrapped(|ui| {
        ui.label(strong(text, BODY));
        ui.label(RichText::new(remark).size(SMALL).color(t.text_faint));
    });
}

/// Most items whose wires are listed before somebody asks for all.
const FEW: usize = 4;

/// The items that are quoted: those chosen, or all.
fn quoted(desk: &Desk) -> Vec<&Entry> {
    let some = desk.entries.iter().any(|e| e.chosen);
    desk.entries.iter().filter(|e| e.chosen || !some).collect()
}

/// What nobody has given for the items that are quoted, in one sentence.
fn assumed_words(desk: &Desk) -> Option<String> {
    let items = quoted(desk);
    let open: Vec<&Entry> = items
        .iter()
        .copied()
        .filter(|e| e.item.confirmed != Confirmed::ALL)
        .collect();
    let all = open.iter().fold(Confirmed::ALL, |all, e| Confirmed {
        thickness: all.thickness && e.item.confirmed.thickness,
        material: all.material && e.item.confirmed.material,
    });
    let words = match (all.thickness, all.material) {
        (true, true) => return None,
        (false, true) => say!("thickness assumed"),
        (true, false) => say!("material assumed"),
        (false, false) => say!("thickness and material assumed"),
    };
    let one = (items.len() > 1).then(|| match open.as_slice() {
        some if some.len() == items.len() => say!("all items").to_owned(),
        [one] => shortened(&one.item.name, 24),
        some => say!("{} of {} items", some.len(), items.len()),
    });
    Some(match one {
        Some(which) => format!("{}: {words}.", capitalised(&which)),
        None => format!("{}.", capitalised(words)),
    })
}

/// What is to be looked at before the quote goes out; a click opens the drawing, or the enquiry where there are many.
fn checks_ui(ui: &mut Ui, desk: &Desk, style: Style, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let safe = Quotable::Drawing(Verdict::SafeToQuote);
    let open: Vec<(&Entry, &Row)> = quoted(desk)
        .into_iter()
        .filter_map(|e| Some((e, e.row()?)))
        .filter(|(_, row)| row.quotable != safe)
        .collect();
    let assumed = assumed_words(desk);
    if open.is_empty() && assumed.is_none() {
        return;
    }
    heading(ui, say!("Before it goes out"), "");
    if let Some(words) = assumed {
        let text = RichText::new(words).color(t.warn);
        let button = ui
            .add(Button::new(text).frame(false).wrap())
            .on_hover_text(say!(
                "give or confirm it in the enquiry, or in the sentence over the drawing"
            ));
        if button.clicked() {
            // The sentence of a single drawing lies below this page.
            let page = if quoted(desk).len() == 1 {
                Page::Quote
            } else {
                Page::Enquiry
            };
            actions.push(Action::Run(Command::Page(page)));
        }
    }
    let told = |row: &Row| {
        let verdict = capitalised(quotable(row.quotable));
        let why = row.pressing.as_ref().map(|p| pressing_words(p, style));
        let why = why.as_deref().map(first_sentence);
        why.map_or_else(|| format!("{verdict}."), |why| format!("{verdict}: {why}."))
    };
    if open.len() > FEW {
        let words = style::count(open.len(), say!("item"), say!("items"));
        let text = say!("{words} to look at first; the enquiry says why.");
        let all: Vec<String> = open
            .iter()
            .map(|(e, row)| format!("{}: {}", e.item.name, told(row)))
            .collect();
        let response = ui
            .add(
                Button::new(RichText::new(text).color(t.warn))
                    .frame(false)
                    .wrap(),
            )
            .on_hover_text(all.join("\n"));
        if response.clicked() {
            actions.push(Action::Run(Command::Page(Page::Enquiry)));
        }
    } else {
        for (entry, row) in &open {
            let words = match open.len() {
                1 => told(row),
                _ => format!("{}: {}", shortened(&entry.item.name, 24), told(row)),
            };
            let colour = verdict_colour(row.quotable, t);
            let response = ui
                .add(
                    Button::new(RichText::new(words).color(colour))
                        .frame(false)
                        .wrap(),
                )
                .on_hover_text(say!("open the drawing with its findings"));
            if response.clicked() {
                actions.push(Action::Desk(DeskAction::Open(entry.id)));
                actions.push(Action::Run(Command::Page(Page::Findings)));
            }
        }
    }
    ui.add_space(8.0);
}

/// The wire that each item is quoted with.
fn wires_ui(ui: &mut Ui, desk: &Desk, style: Style, asked: &mut Vec<QuoteAction>) {
    let quoted = quoted(desk);
    let rows = |ui: &mut Ui, asked: &mut Vec<QuoteAction>| {
        for entry in &quoted {
            ui.push_id(entry.id, |ui| wire_ui(ui, entry, style, asked));
        }
    };
    match quoted.len() {
        0 => return,
        1..=FEW => {
            heading(ui, say!("Quoted with"), "");
            rows(ui, asked);
        }
        n => {
            let by_hand = quoted.iter().filter(|e| e.item.wire.is_some()).count();
            let text = match by_hand {
                0 => say!("Quoted with: the cheapest wire of each of {n} items"),
                k => say!("Quoted with: {k} of {n} wires chosen by hand"),
            };
            CollapsingHeader::new(text)
                .id_salt("quoted with")
                .show(ui, |ui| rows(ui, asked));
        }
    }
    ui.add_space(8.0);
}

fn wire_ui(ui: &mut Ui, entry: &Entry, style: Style, asked: &mut Vec<QuoteAction>) {
    let item = &entry.item;
    let cheapest = || {
        let best = entry.row().and_then(|r| r.best.as_ref());
        match best.filter(|_| item.wire.is_none()) {
            Some(best) if best.passed_over => {
                say!(
                    "the cheapest on hand: {}",
                    style.spoken_candidate(&best.candidate)
                )
            }
            Some(best) => say!("the cheapest: {}", style.spoken_candidate(&best.candidate)),
            None => say!("the cheapest that can do it").to_owned(),
        }
    };
    let chosen = item.wire.and_then(|w| item.job.candidates.get(w));
    // The list says why it is this one; the field has room for its name alone.
    let found = entry.row().and_then(|r| r.best.as_ref());
    let unasked = || found.map_or_else(cheapest, |best| style.spoken_candidate(&best.candidate));
    let now = chosen.map_or_else(unasked, |c| style.spoken_candidate(c));
    named(ui, &shortened(&item.name, 16), |ui| {
        let name = say!("Wire of the quote, {}", item.name);
        let font = FontId::proportional(BODY);
        let room = ui.available_width() - 2.0 * ui.spacing().button_padding.x - 12.0;
        let now = shortened_to(ui, &now, &font, room);
        choice(ui, &name, &now, BODY, |ui| {
            let all = (0..item.job.candidates.len()).map(Some);
            for wire in std::iter::once(None).chain(all) {
                let candidate = wire.and_then(|w| item.job.candidates.get(w));
                let text = candidate.map_or_else(cheapest, |c| style.spoken_candidate(c));
                if ui.selectable_label(wire == item.wire, text).clicked() {
                    asked.push(QuoteAction::Wire(entry.id, wire));
                    ui.close();
                }
            }
        });
    });
}

/// What is said in this quote alone.
fn words_ui(ui: &mut Ui, words: &QuoteWords, quoting: &Quoting, asked: &mut Vec<QuoteAction>) {
    let mut own = words.clone();
    let standing = &quoting.stationery;
    heading(ui, say!("This quote"), say!("kept in the job file"));
    let today = crate::calibration::Day::today();
    let until = say!("{} days after its date", standing.valid_days);
    field(
        ui,
        say!("Customer"),
        &mut own.customer,
        say!("whom it is for"),
        1,
    );
    field(
        ui,
        say!("Their reference"),
        &mut own.reference,
        say!("none"),
        1,
    );
    field(
        ui,
        say!("Number"),
        &mut own.number,
        say!("date and first drawing"),
        1,
    );
    field(ui, say!("Date"), &mut own.date, &today.said(), 1);
    field(ui, say!("Valid until"), &mut own.valid_until, &until, 1);
    field(
        ui,
        say!("Lead time"),
        &mut own.lead_time,
        say!("as worked out, in working days"),
        2,
    );
    field(
        ui,
        say!("Included"),
        &mut own.included,
        say!("as always, see below"),
        2,
    );
    field(
        ui,
        say!("Not included"),
        &mut own.excluded,
        say!("as always, see below"),
        2,
    );
    field(ui, say!("Remarks"), &mut own.remarks, say!("none"), 2);
    if own != *words {
        asked.push(QuoteAction::Words(Box::new(own)));
    }
}

/// What stands on every quote of the shop.
fn stationery_ui(
    ui: &mut Ui,
    standing: &Stationery,
    asked: &mut Vec<QuoteAction>,
    actions: &mut Vec<Action>,
) {
    let mut own = standing.clone();
    let mut left = false;
    heading(
        ui,
        say!("Letterhead"),
        say!("on every quote; kept in quote.toml"),
    );
    let mut take = |response: &egui::Response| left |= response.lost_focus();
    take(&field(
        ui,
        say!("Name of the shop"),
        &mut own.name,
        say!("none yet"),
        1,
    ));
    let mut address = own.address.join("\n");
    let response = field(ui, say!("Address"), &mut address, say!("line by line"), 3);
    if response.changed() {
        own.address = address.split('\n').map(str::to_owned).collect();
    }
    take(&response);
    logo_ui(ui, &mut own, asked);
    take(&field(
        ui,
        say!("Currency"),
        &mut own.currency,
        say!("such as € or USD"),
        1,
    ));
    paper_ui(ui, &mut own, asked);
    let mut refused = None;
    let mut kept = false;
    let mut days = |ui: &mut Ui, name: &str, value: &mut u32| {
        let field = NumberField::new(name, value.to_string()).width(40.0);
        let Some(text) = named(ui, name, |ui| field.show(ui).typed) else {
            return;
        };
        match text.trim().parse().ok().filter(|n| *n <= MOST_DAYS) {
            Some(n) => (*value, kept) = (n, true),
            None => {
                refused = Some(say!(
                    "“{}” is no number of days. Enter a whole number from 0 to {MOST_DAYS}.",
                    text.trim()
                ));
            }
        }
    };
    days(ui, say!("Valid for, days"), &mut own.valid_days);
    days(ui, say!("Begun after, days"), &mut own.days_before);
    let lots: Vec<String> = own.quantities.iter().map(u32::to_string).collect();
    let lots = NumberField::new(say!("Quantities of the quote"), lots.join(", ")).width(150.0);
    if let Some(text) = named(ui, say!("Quantities"), |ui| lots.show(ui).typed) {
        match quantities(&text) {
            Some(all) => (own.quantities, kept) = (all, true),
            None => refused = Some(no_quantities(&text)),
        }
    }
    actions.extend(refused.map(Action::Refuse));
    CollapsingHeader::new(say!("Standing words"))
        .id_salt("standing words")
        .show(ui, |ui| {
            for (name, list) in [
                (say!("Always included"), &mut own.included),
                (say!("Always excluded"), &mut own.excluded),
                (say!("Terms"), &mut own.terms),
            ] {
                let mut text = said_lines(list).join("\n");
                let response = field(ui, name, &mut text, say!("a line each"), 4);
                if response.changed() {
                    *list = text.split('\n').map(kept_line).collect();
                }
                left |= response.lost_focus();
            }
        });
    if own != *standing {
        asked.push(QuoteAction::Stationery(Box::new(own)));
    }
    if left || kept {
        asked.push(QuoteAction::Keep);
    }
}

/// Longest that a quote holds or waits, days.
const MOST_DAYS: u32 = 3650;

fn named<R>(ui: &mut Ui, name: &str, contents: impl FnOnce(&mut Ui) -> R) -> R {
    let t = tokens(ui);
    ui.horizontal(|ui| {
        let size = vec2(NAMES, 22.0);
        ui.allocate_ui_with_layout(size, Layout::left_to_right(egui::Align::Center), |ui| {
            ui.set_min_width(NAMES);
            ui.label(RichText::new(name).color(t.text_soft));
        });
        contents(ui)
    })
    .inner
}

fn logo_ui(ui: &mut Ui, own: &mut Stationery, asked: &mut Vec<QuoteAction>) {
    let mut gone = false;
    named(ui, say!("Picture"), |ui| {
        let text = if own.logo.is_empty() {
            say!("Choose…")
        } else {
            say!("Another…")
        };
        if ui
            .button(text)
            .on_hover_text(say!(
                "A PNG or JPEG picture; it can be dropped on the window as well"
            ))
            .clicked()
        {
            asked.push(QuoteAction::Logo);
        }
        gone = !own.logo.is_empty() && ui.button(say!("None")).clicked();
    });
    if gone {
        own.logo.clear();
        asked.push(QuoteAction::Stationery(Box::new(own.clone())));
        asked.push(QuoteAction::Keep);
    }
}

fn paper_ui(ui: &mut Ui, own: &mut Stationery, asked: &mut Vec<QuoteAction>) {
    let before = own.paper;
    named(ui, say!("Paper"), |ui| {
        ui.selectable_value(&mut own.paper, Paper::A4, "A4");
        ui.selectable_value(&mut own.paper, Paper::Letter, say!("Letter"));
    });
    if own.paper != before {
        asked.push(QuoteAction::Stationery(Box::new(own.clone())));
        asked.push(QuoteAction::Keep);
    }
}

/// Every page, one below the other, as wide as there is room.
fn pages_ui(ui: &mut Ui, quoting: &Quoting, asked: &mut Vec<QuoteAction>) {
    let t = tokens(ui);
    let Some(made) = quoting.made() else {
        ui.centered_and_justified(|ui| {
            let text = if quoting.is_waiting() {
                say!("The pages are being set…")
            } else {
                say!("Open drawings or a job file; their quote is shown here page by page.")
            };
            ui.label(RichText::new(text).color(t.text_faint));
        });
        return;
    };
    let (wide, high) = made.pages.paper.size();
    ScrollArea::vertical()
        .id_salt("pages")
        .auto_shrink(false)
        .show_viewport(ui, |ui, view| {
            let room = ui.available_width() - 14.0;
            let width = room.clamp(120.0, WIDEST);
            let size = vec2(width, width * high / wide);
            let step = size.y + 14.0;
            let count = made.pages.pages.len();
            ui.set_height(step * count as f32);
            let left = ui.max_rect().left() + (room - width).max(0.0) / 2.0;
            let top = ui.max_rect().top();
            let pixels = (width * ui.ctx().pixels_per_point()).round() as u16;
            for index in 0..count {
                let y = step * index as f32;
                if y + step < view.top() || y > view.bottom() {
                    continue;
                }
                let rect = Rect::from_min_size(pos2(left, top + y), size);
                page_ui(ui, quoting, (index, count), rect, pixels, asked);
            }
        });
}

fn page_ui(
    ui: &mut Ui,
    quoting: &Quoting,
    (index, count): (usize, usize),
    rect: Rect,
    pixels: u16,
    asked: &mut Vec<QuoteAction>,
) {
    let t = tokens(ui);
    let id = ui.scope_id().with(("page of the quote", index));
    let response = ui.interact(rect, id, Sense::hover());
    let name = say!("page {} of {count} of the quote", index + 1);
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
    let (texture, current) = quoting.picture(index, pixels);
    if !current {
        asked.push(QuoteAction::Picture(index, pixels));
    }
    ui.painter().rect_filled(rect, 0, PAPER);
    if let Some(texture) = texture {
        Image::from_texture(texture).paint_at(ui, rect);
    }
    let edge = Stroke::new(1.0, t.edge);
    ui.painter().rect_stroke(rect, 0, edge, StrokeKind::Outside);
}
