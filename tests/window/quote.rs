//! The quote in the window: its words, the shop's letterhead, its pages, and its file.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use kerfcast::enquiry::{Enquiry, State};
use kerfcast::quote::stationery::Stationery;
use kerfcast::samples;
use kerfcast::words::Style;
use std::fs;
use std::path::Path;

use crate::harness;

use harness::{Window, drop_without_waiting, settle, type_over, wait_for_place, window_in};

/// Types into a field of words, which takes every letter as it comes, and leaves it.
fn type_into(window: &mut Window, name: &str, text: &str) {
    type_over(window, name, text);
    window.key_press(Key::Tab);
    settle(window);
}

/// Everything that is written on the pages.
fn pages(window: &Window) -> String {
    let made = window.state().quoting().made().expect("pages");
    made.pages.text()
}

/// Saves the job file by keys, where no desktop is there to show a dialog.
fn save_as(window: &mut Window, path: &Path) {
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    wait_for_place(window);
    // Typing replaces the place that is offered.
    window.event(egui::Event::Text(path.display().to_string()));
    window.run();
    window.key_press(Key::Enter);
    settle(window);
}

#[test]
fn words_letterhead_and_pages_are_one_and_all_is_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let (own, job) = (
        folder.path().join("own"),
        folder.path().join("loom.kerfcast"),
    );
    {
        let mut window = window_in(&own, Vec::new());
        for sample in samples::ALL.iter().take(2) {
            drop_without_waiting(&mut window, sample.name, sample.bytes);
        }
        settle(&mut window);
        window.get_by_role_and_label(Role::Button, "Quote").click();
        settle(&mut window);
        let text = pages(&window);
        for said in ["Quotation", "Together", samples::ALL[1].name] {
            assert!(text.contains(said), "{said}");
        }
        type_into(&mut window, "Customer", "Northmill Looms");
        type_into(&mut window, "Their reference", "PO 4711");
        type_into(&mut window, "Name of the shop", "Weaver & Daughters");
        type_into(&mut window, "Currency", "€");
        let text = pages(&window);
        for said in [
            "Northmill Looms",
            "PO 4711",
            "Weaver & Daughters",
            "Each, €",
        ] {
            assert!(text.contains(said), "{said}");
        }
        // Of the shop's rates the customer reads nothing, the shop's sheet has them.
        assert!(!text.contains("labour"));
        window.get_by_label("for the shop").click();
        settle(&mut window);
        assert!(pages(&window).contains("labour"));
        window.get_by_label("for the customer").click();
        settle(&mut window);
        // A picture dropped on the window stands on the letterhead.
        drop_without_waiting(&mut window, "sign.png", PICTURE);
        settle(&mut window);
        let made = window.state().quoting().made().expect("pages");
        assert_eq!(made.no_logo, None);
        let marks = &made.pages.pages[0].marks;
        let is_picture = |m: &kerfcast::quote::pages::Mark| {
            matches!(m, kerfcast::quote::pages::Mark::Picture { .. })
        };
        assert!(marks.iter().any(is_picture));
        window
            .get_by_role_and_label(Role::Button, "Mark 2 items as quoted")
            .click();
        settle(&mut window);
        save_as(&mut window, &job);
        assert!(!window.state().desk().is_unsaved());
    }
    let enquiry = Enquiry::load(&job).expect("it opens");
    assert_eq!(enquiry.quote.customer, "Northmill Looms");
    assert!(enquiry.items.iter().all(|i| i.state == State::Quoted));
    let kept = fs::read(own.join("quote.toml")).expect("it is kept");
    let kept = Stationery::from_bytes(&kept).expect("it reads");
    assert_eq!(
        (kept.name.as_str(), kept.currency.as_str()),
        ("Weaver & Daughters", "€")
    );
    assert_eq!(
        fs::read(own.join(&kept.logo)).expect("the picture"),
        PICTURE
    );
    // Opened again, the same quote is there.
    let mut again = window_in(&own, vec![job]);
    again.key_press(Key::Z);
    settle(&mut again);
    let text = pages(&again);
    for said in ["Northmill Looms", "PO 4711", "Weaver & Daughters"] {
        assert!(text.contains(said), "{said}");
    }
    assert!(
        !again.state().desk().is_unsaved(),
        "looking changes nothing"
    );
}

/// Asks for the PDF, and waits for the field in which the place is typed.
fn ask_for_pdf(window: &mut Window) {
    window
        .get_by_role_and_label(Role::Button, "Save as PDF…")
        .click();
    wait_for_place(window);
}

#[test]
fn where_no_dialog_can_be_shown_the_place_of_the_quote_is_typed_and_nothing_is_written_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let job = folder.path().join("shuttle.kerfcast");
    let mut window = window_in(&folder.path().join("own"), Vec::new());
    drop_without_waiting(&mut window, samples::ALL[0].name, samples::ALL[0].bytes);
    drop_without_waiting(&mut window, samples::ALL[2].name, samples::ALL[2].bytes);
    settle(&mut window);
    save_as(&mut window, &job);
    window.key_press(Key::Z);
    settle(&mut window);
    // Beside the job file is offered; Return takes it.
    ask_for_pdf(&mut window);
    window.get_by_label("Save the quote as");
    window.get_by_label_contains("This desktop offers no file dialog");
    window.key_press(Key::Enter);
    settle(&mut window);
    let file = folder.path().join("shuttle-quote.pdf");
    let first = fs::read(&file).expect("it is saved");
    assert!(first.starts_with(b"%PDF-"));
    let message = window.state().message().expect("it is told");
    assert!(message.contains("shuttle-quote.pdf"), "{message}");
    // Again: another name is offered. One that is taken is refused, and what was typed stays.
    ask_for_pdf(&mut window);
    window.event(egui::Event::Text(job.display().to_string()));
    window.run();
    window.key_press(Key::Enter);
    settle(&mut window);
    window.get_by_label("There is a file of that name already. Choose another name.");
    let typed = window
        .get_by_role_and_label(Role::TextInput, "Save as")
        .value();
    assert_eq!(typed.as_deref(), job.to_str());
    // The ending is added where none was typed.
    let second = folder.path().join("for the customer");
    window.event(egui::Event::Text(second.display().to_string()));
    window.run();
    window.key_press(Key::Enter);
    settle(&mut window);
    let second = fs::read(second.with_extension("pdf")).expect("it is saved");
    assert!(second.starts_with(b"%PDF-"));
    assert_eq!(fs::read(&file).expect("it is still there"), first);
    assert!(
        window
            .query_by_role_and_label(Role::TextInput, "Save as")
            .is_none()
    );
}

#[test]
fn what_nobody_gave_is_said_before_the_quote_goes_out() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut window = window_in(folder.path(), Vec::new());
    drop_without_waiting(&mut window, samples::ALL[0].name, samples::ALL[0].bytes);
    settle(&mut window);
    window.key_press(Key::Z);
    settle(&mut window);
    window
        .get_by_label("Thickness and material assumed.")
        .click();
    settle(&mut window);
    // It leads back to the sentence, where it is confirmed as it stands.
    window
        .get_by_role_and_label(Role::Button, "assumed")
        .click();
    settle(&mut window);
    window.key_press(Key::Z);
    settle(&mut window);
    assert!(window.query_by_label("Before it goes out").is_none());
}

#[test]
fn what_is_to_be_checked_first_stands_before_the_quote() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut window = window_in(folder.path(), Vec::new());
    let plate = samples::ALL.iter().find(|s| s.name.starts_with("dirty"));
    let plate = plate.expect("the plate as a customer sent it");
    drop_without_waiting(&mut window, plate.name, plate.bytes);
    settle(&mut window);
    window.key_press(Key::Z);
    settle(&mut window);
    window.get_by_label("Before it goes out");
    window.get_by_label_contains("Check first: Perhaps").click();
    settle(&mut window);
    // It leads to the drawing with what was found there.
    assert!(window.query_by_label("Before it goes out").is_none());
    assert!(window.query_by_label_contains("dxf as drawn").is_some());
    // The question says how much of the price hangs on it, and so does the answer.
    let at_stake = &window
        .state()
        .front()
        .unwrap()
        .answer
        .as_ref()
        .unwrap()
        .at_stake[0];
    let amount = Style::default().money(at_stake[0].cost);
    let told = format!("{amount} of ");
    assert!(
        window
            .query_by_label_contains(&format!("Of it {amount} for"))
            .is_some()
    );
    assert!(window.query_all_by_label_contains("hangs on it").any(|n| {
        n.accesskit_node()
            .value()
            .is_some_and(|v| v.starts_with(&told))
    }));
}

#[test]
fn a_cut_that_is_logged_keeps_quote_and_actual_side_by_side() {
    let folder = tempfile::tempdir().expect("a folder");
    let drawing = folder.path().join("latch.dxf");
    fs::write(&drawing, samples::ALL[0].bytes).expect("written");
    let job = folder.path().join("latch.kerfcast");
    let mut window = window_in(&folder.path().join("own"), vec![drawing]);
    window.key_press(Key::Z);
    settle(&mut window);
    window
        .get_by_role_and_label(Role::Button, "Mark 1 item as quoted")
        .click();
    settle(&mut window);
    let offered = |window: &Window| window.state().desk().entries[0].item.offered.clone();
    let quoted = offered(&window).expect("what is quoted is kept");
    // The quote is on the cheapest wire; that one cuts it.
    let best = {
        let file = window.state().front().expect("the drawing");
        let answer = file.answer.as_ref().expect("its estimate");
        answer.comparison.cheapest().expect("some wire can")
    };
    // From the item's state to its cut: the drawing comes to the front, and the page on which it is logged.
    window.key_press(Key::J);
    settle(&mut window);
    window
        .get_by_role_and_label(Role::ComboBox, "state, item 1")
        .click();
    settle(&mut window);
    window
        .get_by_role_and_label(Role::Button, "log the finished cut…")
        .click();
    settle(&mut window);
    window
        .get_by_role_and_label(Role::ComboBox, "Wire of the finished cut")
        .click();
    settle(&mut window);
    let name = {
        let file = window.state().front().expect("the drawing");
        kerfcast::words::Style::of(kerfcast::words::System::Metric)
            .candidate(&file.job.candidates[best])
    };
    let last = window
        .query_all_by_label(&name)
        .last()
        .expect("in the list");
    last.click();
    settle(&mut window);
    let took = quoted.cutting_minutes * 1.2;
    type_into(&mut window, "Actual minutes", &took.to_string());
    window
        .get_by_role_and_label(Role::Button, "Log the cut")
        .click();
    settle(&mut window);
    let item = window.state().desk().entries[0].item.clone();
    assert_eq!(item.state, State::Cut);
    assert_eq!(item.offered.as_ref(), Some(&quoted), "the quote stays");
    let logged = item.logged.as_ref().expect("the cut is kept");
    assert!((logged.cutting_minutes / quoted.cutting_minutes - 1.2).abs() < 1e-9);
    // A fifth more of the cutting costs a fifth more of its machine time, and nothing by wire that nobody noted.
    assert!(logged.dearer_by_time > 0.0 && logged.dearer_by_wire == 0.0);
    let cut = window.state().learning().cuts[0].quoted.expect("its quote");
    assert!((cut.minutes.min_value() - quoted.cutting_minutes).abs() < 1e-9);
    let dearer = (cut.actual_cost - cut.cost).amount();
    assert!((dearer - logged.dearer_by_time).abs() < 1e-9);
    // The table of cuts keeps it, and the enquiry shows how far off it was.
    window.key_press(Key::J);
    settle(&mut window);
    save_as(&mut window, &job);
    let state = window.get_by_role_and_label(Role::ComboBox, "state, item 1");
    let shown = egui_kittest::kittest::NodeT::accesskit_node(&state).value();
    assert_eq!(shown.as_deref(), Some("cut +20 %"));
    let back = Enquiry::load(&job).expect("it opens");
    assert_eq!(
        (&back.items[0].offered, &back.items[0].logged),
        (&item.offered, &item.logged)
    );
}

/// A picture of one pixel (PNG, W3C Recommendation).
const PICTURE: &[u8] = &[
    0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0x00, 0x00, 0x00, 0x0d, 0x49, 0x48, 0x44, 0x52,
    0x00, 0x00, 0x00, 0x01, 0x00, 0x00, 0x00, 0x01, 0x08, 0x06, 0x00, 0x00, 0x00, 0x1f, 0x15, 0xc4,
    0x89, 0x00, 0x00, 0x00, 0x0d, 0x49, 0x44, 0x41, 0x54, 0x78, 0x9c, 0x63, 0x10, 0x48, 0x98, 0xf0,
    0x1f, 0x00, 0x03, 0x84, 0x02, 0x00, 0xec, 0x23, 0xa5, 0xa3, 0x00, 0x00, 0x00, 0x00, 0x49, 0x45,
    0x4e, 0x44, 0xae, 0x42, 0x60, 0x82,
];
