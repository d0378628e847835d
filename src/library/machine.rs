//! A machine of the shop: what it takes, and what is on hand for it.

use super::on_hand::{is_same, parts_of};
use super::tables::Machine;
use crate::standing::Value;
use crate::units::{Length, Mass};

impl Machine {
    /// Travel in x and y; `None` where it is not said.
    pub fn travel(&self) -> [Option<Length>; 2] {
        [&self.travel_x, &self.travel_y].map(|v| length(v.as_ref()))
    }
    /// Thickest work; `None` where it is not said.
    pub fn highest_work(&self) -> Option<Length> {
        length(self.height.as_ref())
    }
    /// Heaviest work; `None` where it is not said.
    pub fn heaviest_work(&self) -> Option<Mass> {
        self.mass.as_ref().map(|v| Mass::from_kg(v.value))
    }
    /// Wire diameters that it takes; empty where it takes all.
    pub fn guides(&self) -> Vec<Length> {
        let all = self.diameters.iter().filter_map(|d| d.parse().ok());
        all.map(Length::from_mm).collect()
    }
    /// Whether its guides take a wire.
    pub fn takes(&self, diameter: Length) -> bool {
        let guides = self.guides();
        guides.is_empty() || guides.iter().any(|g| is_same(*g, diameter))
    }
    /// Whether a wire is on hand for it; `None` where nothing is known of that.
    pub fn has_wire(&self, wire: &str, diameter: Length) -> Option<bool> {
        let of_diameter = |mm: &str| {
            let mm: Option<f64> = mm.parse().ok();
            mm.is_some_and(|d| is_same(Length::from_mm(d), diameter))
        };
        let is = |on_hand: &String| {
            let (name, mm) = parts_of(on_hand);
            name == wire && mm.is_none_or(of_diameter)
        };
        (!self.wires.is_empty()).then(|| self.wires.iter().any(is))
    }
    /// Whether a spool is on hand for it; `None` where nothing is known of that.
    pub fn has_spool(&self, spool: &str) -> Option<bool> {
        (!self.spools.is_empty()).then(|| self.spools.iter().any(|s| s == spool))
    }
}

fn length(value: Option<&Value>) -> Option<Length> {
    value.map(|v| Length::from_mm(v.value))
}

#[cfg(test)]
mod tests {
    use super::super::Threading;
    use super::super::{Library, UserLibrary};
    use super::*;

    fn library(lines: &str) -> Library {
        let text = format!("kerfcast_library = 1\n[[machine]]\nname = \"left\"\n{lines}");
        let own = UserLibrary::parse(&text).unwrap();
        // It goes through the file unchanged.
        assert_eq!(UserLibrary::parse(&own.to_toml()).unwrap(), own);
        own.over(Library::built_in())
    }

    #[test]
    fn what_a_machine_does_not_say_sets_no_limit() {
        let library = library("");
        let m = library.machine("left").unwrap();
        assert_eq!(m.travel(), [None, None]);
        assert_eq!((m.highest_work(), m.heaviest_work()), (None, None));
        assert!(m.takes(Length::from_mm(0.03)) && m.takes(Length::from_mm(0.4)));
        let d = Length::from_mm(0.25);
        assert_eq!((m.has_wire("any", d), m.has_spool("any")), (None, None));
        assert_eq!(m.threading, Threading::AsTheShop);
    }

    #[test]
    fn guides_and_wires_on_hand_are_told_by_name_and_diameter() {
        let library = library(
            "travel_x = 400\ntravel_y = { value = 12, unit = \"in\" }\ndiameters = [\"0.2\", \"0.25\"]\n\
             wires = [\"hard plain brass@0.25\", \"zinc-coated brass\"]\nthreading = \"by hand\"\n",
        );
        let m = library.machine("left").unwrap();
        // 12 in are 304.8 mm by definition of the inch.
        let [x, y] = m.travel().map(|t| t.unwrap().mm());
        assert!((x - 400.0).abs() < 1e-9 && (y - 304.8).abs() < 1e-9);
        let mm = Length::from_mm;
        assert!(m.takes(mm(0.25)) && m.takes(mm(0.254)) && !m.takes(mm(0.3)));
        assert_eq!(m.has_wire("hard plain brass", mm(0.25)), Some(true));
        assert_eq!(m.has_wire("hard plain brass", mm(0.2)), Some(false));
        assert_eq!(m.has_wire("zinc-coated brass", mm(0.2)), Some(true));
        assert_eq!(m.threading, Threading::ByHand);
        for (line, cell) in [
            ("diameters = [\"thick\"]", "diameters"),
            ("diameters = [\"9\"]", "diameters"),
            ("wires = [\"brass@thick\"]", "wires"),
            ("travel_x = -1", "travel_x"),
            ("threading = \"sometimes\"", "threading"),
        ] {
            let text = format!("kerfcast_library = 1\n[[machine]]\nname = \"left\"\n{line}\n");
            let fault = UserLibrary::parse(&text).unwrap_err();
            let super::super::LibraryFileError::Cell { line, fault } = fault else {
                panic!("{cell} is named");
            };
            assert_eq!(
                (line, fault.table, fault.cell.as_str()),
                (4, "machine", cell)
            );
        }
    }

    #[test]
    fn machines_are_added_renamed_and_taken_out() {
        use super::super::LibraryTable::Machines;
        let none = UserLibrary::default();
        let two = none.with_new(Machines, "left").unwrap();
        let two = two.with_new(Machines, "right").unwrap();
        let names = |own: &UserLibrary| own.over(Library::built_in()).entry_names(Machines);
        assert_eq!(names(&two), ["left", "right"]);
        assert!(two.with_new(Machines, "left").is_err() && two.with_new(Machines, " ").is_err());
        let renamed = two.with_renamed(Machines, "left", "the old one").unwrap();
        assert_eq!(names(&renamed), ["the old one", "right"]);
        assert!(two.with_renamed(Machines, "left", "right").is_err());
        assert!(two.with_renamed(Machines, "nobody", "left 2").is_err());
        assert_eq!(names(&renamed.without(Machines, "right")), ["the old one"]);
        // A limit is set, and taken away again.
        let set = two.with_change(
            Machines,
            "left",
            "height",
            super::super::Change::Number(300.0),
        );
        let set = set.unwrap();
        assert_eq!(set.machines[0].highest_work(), Some(Length::from_mm(300.0)));
        let gone = set.with_change(Machines, "left", "height", super::super::Change::Nothing);
        assert_eq!(gone.unwrap(), two);
    }
}
