//! What wires are called where room is short. The library holds the long names, by which a job knows them.

/// Long name, as in the built-in library, and what a shop calls it (common practice, no source).
const SPOKEN: [(&str, &str); 6] = [
    (key!("hard plain brass"), key!("hard brass")),
    (key!("half-hard plain brass"), key!("half-hard brass")),
    (key!("soft plain brass"), key!("soft brass")),
    (key!("beta-phase annealed brass"), key!("beta-coated brass")),
    (
        key!("gamma-phase annealed brass"),
        key!("gamma-coated brass"),
    ),
    (key!("steel-core brass-coated"), key!("steel-core")),
];

/// "hard brass" for "hard plain brass"; other names, the shop's own among them, as they are.
pub fn spoken(name: &str) -> &str {
    let known = SPOKEN.iter().find(|(long, _)| *long == name);
    crate::language::said(known.map_or(name, |(_, short)| short))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::Library;
    use std::collections::BTreeSet;

    #[test]
    fn each_stands_for_one_wire_of_the_library() {
        let wires = &Library::built_in().wires;
        let names: BTreeSet<&str> = wires.iter().map(|w| w.name.as_str()).collect();
        assert!(SPOKEN.iter().all(|(long, _)| names.contains(long)));
        let said: BTreeSet<&str> = names.iter().map(|n| spoken(n)).collect();
        assert_eq!(said.len(), names.len(), "no two are called the same");
        assert_eq!(spoken("our own"), "our own");
    }
}
