//! What a gain in speed is worth, said in a sentence.

use super::Style;

/// "it pays from a gain in speed of 3.2 % on; it has 45.1 %"; of a run that spends no more than the other, that it pays
/// without any. Shares: 0.05 is 5 % more feed.
pub fn pays(from_gain: f64, gain: f64, style: Style) -> String {
    let percent = |share: f64| style.number(share * 100.0, 1);
    if from_gain <= 0.0 {
        say!(
            "it pays without any gain in speed; it has {} %",
            percent(gain)
        )
    } else {
        say!(
            "it pays from a gain in speed of {} % on; it has {} %",
            percent(from_gain),
            percent(gain)
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::System;

    #[test]
    fn what_costs_no_more_pays_without_a_gain() {
        let style = Style::plain(System::Metric);
        let words = pays(-0.0004, 0.451, style);
        assert_eq!(words, "it pays without any gain in speed; it has 45.1 %");
        let words = pays(0.0324, 0.1, style);
        assert_eq!(
            words,
            "it pays from a gain in speed of 3.2 % on; it has 10.0 %"
        );
    }
}
