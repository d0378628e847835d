//! What is said of a job by the clock.

/// How often nothing stops the machine while nobody is there, and whether it then waits for somebody all the same.
///
/// `share` of such times, 0 … 1, in which every threading succeeds and the wire is threaded again after every break;
/// `threadings` and `breaks` as they are to be expected, in words.
pub fn nobody_needed(share: f64, threadings: &str, breaks: &str, waits: bool) -> String {
    let odds = in_hundred(share);
    if waits {
        format!(
            "It then waits for the operator in any case. It gets that far without help in {odds} such times: with \
             {threadings} and {breaks} wire breaks to be expected, a threading may fail."
        )
    } else {
        format!(
            "In {odds} such times nobody is needed: with {threadings} and {breaks} wire breaks to be expected, a \
             threading may fail."
        )
    }
}

/// "about 97 of 100"; nothing is said to be certain that is not.
pub fn in_hundred(share: f64) -> String {
    let gap = '\u{202f}';
    let rounded = (share * 100.0).round();
    if share >= 1.0 {
        "all".to_owned()
    } else if rounded >= 100.0 {
        format!("more than 99{gap}of 100")
    } else if rounded <= 0.0 {
        format!("less than 1{gap}of 100")
    } else {
        format!("about {rounded:.0}{gap}of 100")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_certain_is_not_called_so() {
        assert_eq!(in_hundred(1.0), "all");
        assert_eq!(in_hundred(0.9999), "more than 99\u{202f}of 100");
        assert_eq!(in_hundred(0.974), "about 97\u{202f}of 100");
        assert_eq!(in_hundred(1e-9), "less than 1\u{202f}of 100");
        assert!(nobody_needed(0.97, "2 threadings", "0.1", true).starts_with("It then waits"));
    }
}
