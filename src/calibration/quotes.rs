//! A year's quotes against actuals: how far off, which way, by material and thickness.

use super::cut::Cut;
use super::day::Day;
use crate::units::Money;

/// Thicknesses up to which cuts of a material are taken together, mm (judgement: thin, plate, block, thick, very thick).
const BANDS: [f64; 5] = [10.0, 30.0, 60.0, 100.0, f64::INFINITY];

/// One cut against its quote.
#[derive(Debug, Clone, PartialEq)]
pub struct QuotedCut {
    /// Its place in the table.
    pub cut: usize,
    /// Days before the last day looked at.
    pub days_ago: u32,
    /// Time over quoted time, as a logarithm: 0.1 is about 10 % longer.
    pub log_off: f64,
}

/// Cuts of one material and about one thickness.
#[derive(Debug, Clone, PartialEq)]
pub struct QuotedGroup {
    /// The material.
    pub material: String,
    /// More than so thick, up to so thick, mm; the latter may be infinite.
    pub thickness_mm: (f64, f64),
    /// How many.
    pub cuts: usize,
    /// Geometric mean of actual over quoted time, less 1: 0.1 is 10 % longer than quoted.
    pub mean_off: f64,
    /// That of the one that is farthest off.
    pub worst_off: f64,
    /// What they cost more than quoted, a part each (less where negative).
    pub dearer: Money,
}

/// Quotes against actuals of the days before and on a day, the oldest first, and by material and thickness, the farthest
/// off first. Cuts that were set aside or have no quote are left out.
pub fn quotes(cuts: &[Cut], until: Day, days: u32) -> (Vec<QuotedCut>, Vec<QuotedGroup>) {
    let mut out = Vec::new();
    for (k, cut) in cuts.iter().enumerate() {
        let Some(quoted) = cut.quoted.filter(|_| !cut.outlier) else {
            continue;
        };
        let days_ago = until.days_since(cut.date);
        if let Some(days_ago) = days_ago.filter(|d| *d <= days) {
            out.push(QuotedCut {
                cut: k,
                days_ago,
                log_off: (cut.cutting_minutes / quoted.minutes).ln(),
            });
        }
    }
    out.sort_by_key(|q| std::cmp::Reverse(q.days_ago));
    let mut groups: Vec<(QuotedGroup, f64)> = Vec::new();
    for q in &out {
        let cut = &cuts[q.cut];
        let band = band(cut.thickness.mm());
        let dearer = cut.quoted.map_or(Money::ZERO, |c| c.actual_cost - c.cost);
        let same =
            |g: &(QuotedGroup, f64)| g.0.material == cut.material && g.0.thickness_mm == band;
        let place = groups.iter().position(same).unwrap_or_else(|| {
            let group = QuotedGroup {
                material: cut.material.clone(),
                thickness_mm: band,
                cuts: 0,
                mean_off: 0.0,
                worst_off: 0.0,
                dearer: Money::ZERO,
            };
            groups.push((group, 0.0));
            groups.len() - 1
        });
        let (group, sum) = &mut groups[place];
        group.cuts += 1;
        group.dearer += dearer;
        *sum += q.log_off;
        group.mean_off = (*sum / group.cuts as f64).exp() - 1.0;
        if q.log_off.abs() > group.worst_off.ln_1p().abs() {
            group.worst_off = q.log_off.exp() - 1.0;
        }
    }
    groups.sort_by(|a, b| {
        let far = |g: &(QuotedGroup, f64)| (g.1 / g.0.cuts as f64).abs();
        far(b).total_cmp(&far(a))
    });
    (out, groups.into_iter().map(|g| g.0).collect())
}

fn band(mm: f64) -> (f64, f64) {
    let mut low = 0.0;
    for high in BANDS {
        if mm <= high {
            return (low, high);
        }
        low = high;
    }
    (low, f64::INFINITY)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::AgainstQuote;
    use crate::job::Candidate;
    use crate::library::Flushing;
    use crate::units::{Length, Minutes};

    fn cut(day: &str, material: &str, mm: f64, took: f64, quoted: Option<f64>) -> Cut {
        Cut {
            row: 0,
            line: 0,
            date: Day::parse(day).unwrap(),
            machine: String::new(),
            material: material.to_owned(),
            wire: Candidate::new("hard plain brass", 0.25),
            thickness: Length::from_mm(mm),
            flushing: Flushing::Close,
            passes: 4,
            cut_length: Length::from_mm(500.0),
            cutting_minutes: Minutes::from_min(took),
            wire_used: None,
            note: String::new(),
            outlier: false,
            pass_path: None,
            quoted: quoted.map(|minutes| AgainstQuote {
                minutes: Minutes::from_min(minutes),
                wire: None,
                cost: Money::from_amount(minutes),
                actual_cost: Money::from_amount(took),
            }),
        }
    }

    #[test]
    fn groups_are_means_of_ratios_by_material_and_thickness() {
        let until = Day::parse("2026-06-30").unwrap();
        let mut cuts = vec![
            // Twice as long and half as long are, on the whole, right.
            cut("2026-05-01", "a", 40.0, 200.0, Some(100.0)),
            cut("2026-05-02", "a", 60.0, 50.0, Some(100.0)),
            cut("2026-06-30", "b", 5.0, 110.0, Some(100.0)),
            cut("2026-06-01", "b", 5.0, 300.0, None),
            cut("2025-06-29", "b", 5.0, 900.0, Some(100.0)),
        ];
        cuts.push(Cut {
            outlier: true,
            ..cut("2026-06-01", "b", 5.0, 900.0, Some(100.0))
        });
        let (points, groups) = quotes(&cuts, until, 365);
        assert_eq!(
            points
                .iter()
                .map(|p| (p.cut, p.days_ago))
                .collect::<Vec<_>>(),
            [(0, 60), (1, 59), (2, 0)]
        );
        assert_eq!(groups.len(), 2);
        let b = &groups[0];
        assert_eq!(
            (b.material.as_str(), b.cuts, b.thickness_mm),
            ("b", 1, (0.0, 10.0))
        );
        assert!((b.mean_off - 0.1).abs() < 1e-12 && (b.dearer.amount() - 10.0).abs() < 1e-9);
        let a = &groups[1];
        assert!(a.mean_off.abs() < 1e-12);
        assert!((a.worst_off - 1.0).abs() < 1e-12 || (a.worst_off + 0.5).abs() < 1e-12);
        assert!((a.dearer.amount() - 50.0).abs() < 1e-9);
    }
}
