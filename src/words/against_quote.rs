//! Quote and actual of an item side by side, as sentences.

use super::{Style, style};
use crate::calibration::{Day, QuotedGroup};
use crate::enquiry::{Logged, Offered};
use crate::units::{Length, Minutes, Money};

/// How far the time was off, as a share: 0.1 is 10 % longer than quoted.
pub fn off(offered: &Offered, logged: &Logged) -> f64 {
    logged.cutting_minutes / offered.cutting_minutes - 1.0
}

/// A day that was kept as text, as the language writes it.
fn said_day(text: &str) -> String {
    Day::parse(text).map_or_else(|| text.to_owned(), Day::said)
}

/// "quoted 2026-11-02: 4 h 35 min of cutting, 2500 m, 468 a part".
pub fn quoted(offered: &Offered, style: Style) -> String {
    say!(
        "quoted {}: {} of cutting, {}, {} a part, {}",
        said_day(&offered.date),
        style.time(Minutes::from_min(offered.cutting_minutes)),
        style.wire(Length::from_m(offered.cutting_wire_m)),
        style.money(Money::from_amount(offered.seen.cost)),
        style.count(offered.quantity as usize, say!("part"), say!("parts")),
    )
}

/// "cut 2026-11-20: 5 h of cutting (9.1 % more), 2600 m; 24 a part dearer: 20 by time, 4 by wire".
pub fn cut(offered: &Offered, logged: &Logged, style: Style) -> String {
    let mut text = say!(
        "cut {}: {} of cutting ({})",
        said_day(&logged.date),
        style.time(Minutes::from_min(logged.cutting_minutes)),
        style.difference(off(offered, logged)),
    );
    if let Some(wire) = logged.cutting_wire_m {
        text += &format!(", {}", style.wire_measured(Length::from_m(wire)));
    }
    let (time, wire) = (logged.dearer_by_time, logged.dearer_by_wire);
    let all = time + wire;
    let word = if all < 0.0 {
        say!("cheaper")
    } else {
        say!("dearer")
    };
    let money = |amount: f64| style.money(Money::from_amount(amount));
    text += &say!(
        "; {} a part {word}: {} by time, {} by wire",
        money(all.abs()),
        money(time),
        money(wire)
    );
    text
}

/// "30 to 60 mm", "over 100 mm".
pub fn band((low, high): (f64, f64), style: Style) -> String {
    let length = |mm: f64| style.typed_length(Length::from_mm(mm));
    if high.is_finite() {
        say!("{} to {}", length(low), length(high))
    } else {
        say!("over {}", length(low))
    }
}

/// What a year of quotes comes to.
pub fn headline(groups: &[QuotedGroup], style: Style) -> String {
    let cuts: usize = groups.iter().map(|g| g.cuts).sum();
    let log: f64 = groups
        .iter()
        .map(|g| g.mean_off.ln_1p() * g.cuts as f64)
        .sum();
    let mean = (log / cuts.max(1) as f64).exp() - 1.0;
    say!(
        "{} of the last year, on the mean {} time than quoted.",
        style::count(cuts, say!("quoted cut"), say!("quoted cuts")),
        style.difference(mean)
    )
}
