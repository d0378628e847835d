//! What changed between two states of a job, in a few words: for undo and redo.

use super::Style;
use crate::job::{Job, passes_words};
use crate::language::said;
use crate::profile::Keep;

/// What `to` has that `from` has not: "thickness 80 mm". Of several changes the first; empty where nothing differs.
pub fn change(from: &Job, to: &Job, style: Style) -> String {
    let order = |j: &Job| (j.order, j.travel, j.cut_off, j.burn_out);
    let more_or_less = |what: &str, before: usize, after: usize| match after.cmp(&before) {
        std::cmp::Ordering::Greater => say!("{what} added"),
        std::cmp::Ordering::Less => say!("{what} taken out"),
        std::cmp::Ordering::Equal => say!("another {what}"),
    };
    if from.thickness != to.thickness {
        say!("thickness {}", style.typed_length(to.thickness))
    } else if from.material != to.material {
        said(&to.material).to_owned()
    } else if from.quantity != to.quantity {
        style.count(to.quantity as usize, say!("part"), say!("parts"))
    } else if from.passes != to.passes {
        passes_words(to.passes)
    } else if from.flushing != to.flushing {
        to.flushing.words().to_owned()
    } else if from.keep != to.keep {
        match to.keep {
            Keep::Inside => say!("keep the inside").to_owned(),
            Keep::Outside => say!("keep the outside").to_owned(),
        }
    } else if from.candidates != to.candidates {
        more_or_less(say!("wire"), from.candidates.len(), to.candidates.len())
    } else if from.baseline != to.baseline {
        say!("another baseline").to_owned()
    } else if from.part != to.part {
        say!("another part").to_owned()
    } else if from.left_out != to.left_out {
        match to.left_out.len().cmp(&from.left_out.len()) {
            std::cmp::Ordering::Greater => say!("contours left out").to_owned(),
            _ => say!("contours cut").to_owned(),
        }
    } else if from.contours != to.contours {
        say!("what is decided for a contour").to_owned()
    } else if order(from) != order(to) {
        say!("order of cutting").to_owned()
    } else if from.tight_radii != to.tight_radii {
        say!("tight radii").to_owned()
    } else if from.shop != to.shop {
        say!("shop rates").to_owned()
    } else if from.begin != to.begin || from.lot_order != to.lot_order {
        say!("begin and order of the lot").to_owned()
    } else if from.variants != to.variants {
        let names = |j: &Job| {
            j.variants
                .iter()
                .map(|v| v.name.clone())
                .collect::<Vec<_>>()
        };
        let edits = |j: &Job| {
            j.variants
                .iter()
                .map(|v| v.edits.clone())
                .collect::<Vec<_>>()
        };
        if edits(from) == edits(to) && names(from) != names(to) {
            say!("name of a variant").to_owned()
        } else {
            more_or_less(say!("variant"), from.variants.len(), to.variants.len())
        }
    } else {
        String::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::Library;
    use crate::units::Length;
    use crate::words::System;

    #[test]
    fn a_change_is_named_by_what_is_new() {
        let from = Job::starting(Library::built_in());
        let style = Style::plain(System::Metric);
        let said = |change_it: &dyn Fn(&mut Job)| {
            let mut to = from.clone();
            change_it(&mut to);
            change(&from, &to, style)
        };
        assert_eq!(said(&|_| {}), "");
        assert_eq!(
            said(&|j| j.thickness = Length::from_mm(80.0)),
            "thickness 80 mm"
        );
        assert_eq!(said(&|j| j.quantity = 10), "10 parts");
        assert_eq!(said(&|j| j.candidates.truncate(2)), "wire taken out");
        assert_eq!(said(&|j| j.left_out.extend([3])), "contours left out");
    }
}
