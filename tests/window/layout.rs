//! Where things lie in the window: room for the drawing, pages as drawers, nothing cut off and nothing over another.

use egui::Key;
use egui::emath::{Rect, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use kerfcast::gui::canvas::planned;
use kerfcast::gui::scene::near;

use crate::{harness, shared};

use harness::legible::{self, PAGES, drawing};
use harness::{Window, drop_on, open_list, settle, type_into, window_of};

#[test]
fn the_drawing_has_most_of_the_height_in_every_window() {
    legible::in_every_window();
}

#[test]
fn a_page_lies_over_the_right_of_the_drawing_which_stays_where_it_is() {
    let mut window = window_of([1280.0, 800.0]);
    let before = (
        drawing(&window),
        window.state().front().unwrap().camera.placement,
    );
    for key in PAGES {
        window.key_press(key);
        settle(&mut window);
        let after = drawing(&window);
        assert!(after.width() >= 900.0, "{key:?}: {after:?}");
        assert_eq!(after.left_top(), before.0.left_top(), "{key:?}");
        assert_eq!(after.height(), before.0.height(), "{key:?}");
        assert_eq!(
            window.state().front().unwrap().camera.placement,
            before.1,
            "{key:?}"
        );
    }
    window.key_press(Key::Escape);
    settle(&mut window);
    assert!(window.query_by_label("close the panel").is_none());
    assert_eq!(drawing(&window), before.0);
    // Brought into view beside a page, the part lies left of it.
    window.key_press(Key::Y);
    settle(&mut window);
    window.key_press(Key::F);
    settle(&mut window);
    let file = window.state().front().unwrap();
    let seen = drawing(&window);
    let placed = seen.with_max_x(1280.0);
    let part = file
        .camera
        .placement
        .unwrap()
        .rect_to_screen(placed, file.model.bounds);
    assert!(seen.contains_rect(part), "{part:?} in {seen:?}");
}

#[test]
fn in_a_narrow_window_the_part_keeps_beside_a_page_until_the_view_is_moved() {
    for size in [[800.0, 600.0], [960.0, 600.0]] {
        let mut window = window_of(size);
        let part = |w: &Window| {
            let file = w.state().front().unwrap();
            let (left, placed) = (drawing(w), drawing(w).with_max_x(size[0]));
            let placement = file.camera.placement.unwrap();
            (placement.rect_to_screen(placed, file.model.bounds), left)
        };
        let before = part(&window);
        window.key_press(Key::Y);
        settle(&mut window);
        let (seen, left) = part(&window);
        assert!(left.contains_rect(seen), "{size:?}: {seen:?} in {left:?}");
        window.key_press(Key::Escape);
        settle(&mut window);
        assert_eq!(part(&window), before);
        // Moved by hand it stays where it was put.
        let at = before.1.center();
        window.hover_at(at);
        window.event(egui::Event::Zoom(1.5));
        settle(&mut window);
        let moved = part(&window).0;
        window.key_press(Key::Y);
        settle(&mut window);
        assert_eq!(part(&window).0, moved);
    }
}

#[test]
fn nothing_of_a_page_is_cut_off_or_overlaps() {
    legible::on_every_page();
}

#[test]
fn nothing_of_what_is_decided_for_a_contour_is_cut_off() {
    let mut window = window_of([1280.0, 800.0]);
    open_list(&mut window);
    window
        .get_by_role_and_label(egui::accesskit::Role::Button, "opening 5")
        .click();
    settle(&mut window);
    open_list(&mut window);
    window.key_press(Key::E);
    settle(&mut window);
    assert!(window.query_by_label("cut as the job says").is_some());
    legible::now(&window, "a contour");
}

#[test]
fn the_lot_of_the_job_stands_among_the_quantities() {
    let mut window = window_of([1280.0, 800.0]);
    window.key_press(Key::Q);
    settle(&mut window);
    let on_page = |w: &Window| {
        let all = w.query_all_by_label("250");
        let within = |n: egui_kittest::Node<'_>| (920.0..1280.0).contains(&n.rect().center().x);
        all.into_iter().any(within)
    };
    assert!(!on_page(&window));
    type_into(&mut window, "Quantity", "250");
    assert!(on_page(&window));
}

#[test]
fn a_step_back_returns_to_the_page_one_came_from() {
    let mut window = window_of([1280.0, 800.0]);
    window.key_press(Key::S);
    settle(&mut window);
    window.key_press(Key::Y);
    settle(&mut window);
    window.get_by_label("back to Steps").click();
    settle(&mut window);
    assert!(window.query_by_label("back to Steps").is_none());
    assert!(
        window
            .get_by_role_and_label(egui::accesskit::Role::Pane, "Steps")
            .rect()
            .width()
            > 0.0
    );
    // The tab of an open page closes it.
    window.key_press(Key::S);
    settle(&mut window);
    assert!(window.query_by_label("close the panel").is_none());
}

#[test]
fn the_samples_are_legible() {
    legible::of_the_samples();
}

#[test]
#[ignore = "needs ../shared"]
fn real_drawings_are_legible() {
    legible::of_drawings_in(&shared::folder("corpus"));
}

#[test]
fn the_table_sorts_by_a_head_folds_and_takes_another_height() {
    let mut window = window_of([1280.0, 800.0]);
    let rows = |w: &Window| {
        let mut rows: Vec<_> = w
            .get_all_by_label_contains("time, ")
            .filter(|n| {
                n.accesskit_node()
                    .label()
                    .is_some_and(|l| l.starts_with("time, "))
            })
            .map(|n| {
                (
                    n.rect().top(),
                    n.accesskit_node().label().unwrap_or_default(),
                )
            })
            .collect();
        rows.sort_by(|a, b| a.0.total_cmp(&b.0));
        rows.into_iter().map(|r| r.1).collect::<Vec<_>>()
    };
    let before = rows(&window);
    window.get_by_label("sort by time").click();
    settle(&mut window);
    let minutes: Vec<f64> = {
        let file = window.state().front().unwrap();
        let all = &file.answer.as_ref().unwrap().comparison.estimates;
        let of = |e: &kerfcast::estimate::Estimate| e.figures.as_ref().unwrap().minutes.median;
        let mut list: Vec<_> = all.iter().map(|e| of(e).min_value()).collect();
        list.sort_by(f64::total_cmp);
        list
    };
    let style = kerfcast::words::Style::default();
    for (row, m) in rows(&window).iter().zip(&minutes) {
        let time = style.time(kerfcast::units::Minutes::from_min(*m));
        assert!(row.ends_with(&time), "{row} should say {time}");
    }
    window.get_by_label("sort by time").click();
    settle(&mut window);
    window.get_by_label("sort by time").click();
    settle(&mut window);
    assert_eq!(rows(&window), before);
    // Folded, the chosen one and the cheapest are left, and the drawing has what that frees.
    let height = drawing(&window).height();
    window.key_press(Key::O);
    settle(&mut window);
    assert_eq!(rows(&window).len(), 2);
    assert!(drawing(&window).height() > height + 50.0);
    window.key_press(Key::O);
    settle(&mut window);
    assert_eq!(drawing(&window).height(), height);
    // The splitter gives the drawing more room.
    let grip = window
        .get_by_label("Height of the table of wires")
        .rect()
        .center();
    window.hover_at(grip);
    window.run();
    window.drag_at(grip);
    window.run();
    window.hover_at(grip + vec2(0.0, 60.0));
    window.run();
    window.drop_at(grip + vec2(0.0, 60.0));
    settle(&mut window);
    assert!((drawing(&window).height() - height - 60.0).abs() < 4.0);
}

#[test]
fn columns_are_chosen_in_the_window() {
    let mut window = window_of([1600.0, 900.0]);
    assert!(window.query_by_label("sort by Ra").is_none());
    window.get_by_label("Columns of the table").click();
    settle(&mut window);
    window
        .get_by_role_and_label(egui::accesskit::Role::CheckBox, "Ra")
        .click();
    settle(&mut window);
    assert!(window.query_by_label("sort by Ra").is_some());
}

#[test]
fn equal_contours_stand_in_one_line_and_are_decided_together() {
    let mut window = window_of([1280.0, 800.0]);
    // A plate with twelve holes of 8 mm and one of 10 mm.
    let mut dxf = "0\nSECTION\n2\nENTITIES\n".to_owned();
    let mut line = |a: (i32, i32), b: (i32, i32)| {
        dxf += &format!(
            "0\nLINE\n8\n0\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n",
            a.0, a.1, b.0, b.1
        );
    };
    let corners = [(0, 0), (200, 0), (200, 100), (0, 100)];
    (0..4).for_each(|k| line(corners[k], corners[(k + 1) % 4]));
    let mut circle = |x: i32, y: i32, r: i32| {
        dxf += &format!("0\nCIRCLE\n8\n0\n10\n{x}\n20\n{y}\n40\n{r}\n");
    };
    (0..12).for_each(|k| circle(20 + 30 * (k % 6), 20 + 30 * (k / 6), 4));
    circle(100, 85, 5);
    dxf += "0\nENDSEC\n0\nEOF\n";
    drop_on(&mut window, "holes.dxf", dxf.as_bytes());
    open_list(&mut window);
    let label = window
        .get_by_label_contains("cut 12 × opening")
        .accesskit_node()
        .label()
        .unwrap_or_default();
    assert!(label.starts_with("cut 12 × opening Ø"), "{label}");
    let cut = |w: &Window| {
        let file = w.state().front().unwrap();
        file.profile
            .contours()
            .iter()
            .filter(|c| file.job.cuts(c))
            .count()
    };
    assert_eq!(cut(&window), 14);
    window.get_by_label(&label).click();
    settle(&mut window);
    assert_eq!(cut(&window), 2);
    // One step back brings all of them again.
    window.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
    settle(&mut window);
    assert_eq!(cut(&window), 14);
    // Fewer passes for all of them in one go.
    window
        .get_by_label_contains("decide for 12 × opening")
        .click();
    settle(&mut window);
    window
        .get_by_role_and_label(egui::accesskit::Role::Button, "rough only")
        .click();
    settle(&mut window);
    let file = window.state().front().unwrap();
    let own = |c: &kerfcast::profile::ProfileContour| {
        file.job.choice(kerfcast::job::contour_key(c)).passes == Some(1)
    };
    assert_eq!(
        file.profile.contours().iter().filter(|c| own(c)).count(),
        12
    );
}

/// A round part of 6 mm: its start hole lies outside, farther than the drawing reaches.
#[test]
fn what_lies_about_a_small_part_is_seen_whole() {
    let circle = "0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n3\n";
    let head = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n";
    let text = format!("{head}{circle}0\nENDSEC\n0\nEOF\n");
    for size in [[1280.0, 800.0], [800.0, 600.0], [2560.0, 1440.0]] {
        let mut window = window_of(size);
        drop_on(&mut window, "pin.dxf", text.as_bytes());
        let file = window.state().front().unwrap();
        let seen = drawing(&window);
        let placement = file.camera.placement.unwrap();
        let on_screen = |p| placement.to_screen(seen, near(p, file.model.centre));
        let starts = planned(file);
        assert_eq!(starts.len(), 1);
        let hole = starts[0].hole.expect("a hole is drilled").mm() as f32 / 2.0;
        let bounds = file.model.bounds;
        let place = near(starts[0].start.hole, file.model.centre);
        assert!(!bounds.contains(place), "it lies outside: {place} {bounds}");
        let hole = Rect::from_center_size(
            on_screen(starts[0].start.hole),
            vec2(2.0, 2.0) * hole * placement.scale,
        );
        let free = seen.shrink2(vec2(0.0, 36.0 - 1e-2));
        assert!(free.contains_rect(hole), "{size:?}: {hole:?} in {free:?}");
        let part = placement.rect_to_screen(seen, bounds);
        assert!(free.contains_rect(part), "{size:?}: {part:?} in {free:?}");
    }
}

/// On a mark of what the wire cannot reach the pointer reads what it is, and a click leads to the list.
#[test]
fn marks_of_what_the_wire_cannot_reach_say_what_they_are_and_lead_to_the_list() {
    let square = |x: i32, y: i32, a: i32| {
        let corners = [(x, y), (x + a, y), (x + a, y + a), (x, y + a)];
        let corners = corners.map(|(x, y)| format!("10\n{x}\n20\n{y}\n"));
        format!("0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n{}", corners.concat())
    };
    // So many openings that their marks stand together.
    let openings = (0..150).map(|k| square(4 + 10 * (k % 15), 4 + 10 * (k / 15), 6));
    let all = openings.collect::<String>() + &square(0, 0, 160);
    let text = format!("0\nSECTION\n2\nENTITIES\n{all}0\nENDSEC\n0\nEOF\n");
    let mut window = window_of([1280.0, 800.0]);
    drop_on(&mut window, "grid.dxf", text.as_bytes());
    let seen = drawing(&window);
    let file = window.state().front().unwrap();
    let placement = file.camera.placement.unwrap();
    let paths = &file.paths.answer.as_ref().expect("laid").2;
    assert!(paths.uncut.len() >= 4 * 150);
    // Wherever marks stand, one is found within the largest square; the pointer looks for it from corner to corner.
    let places: Vec<_> = paths
        .uncut
        .iter()
        .map(|u| placement.to_screen(seen, u.0))
        .collect();
    let told = |w: &Window| {
        w.query_all_by_label_contains("the wire can't reach, up to")
            .count()
    };
    let mut marks = 0;
    let mut last = None;
    for at in places.iter().take(60) {
        window.hover_at(*at + vec2(0.0, 4.0));
        settle(&mut window);
        if told(&window) > 0 {
            marks += 1;
            last = Some(*at);
        }
    }
    let at = last.expect("there is a mark");
    assert!(marks < 30, "{marks} of 60 places have a mark of their own");
    window.hover_at(at + vec2(0.0, 4.0));
    window.drag_at(at + vec2(0.0, 4.0));
    window.drop_at(at + vec2(0.0, 4.0));
    settle(&mut window);
    assert!(
        window
            .query_by_label_contains("grid.dxf as drawn")
            .is_some()
    );
}
