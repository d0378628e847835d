//! What is said of a job by the clock.

use super::style::number;
use crate::estimate::{ByTheClock, Repeats};
use crate::job::WeekTime;

/// From this share on a stop is not worth a number: less than one time in two hundred.
const CERTAIN: f64 = 0.995;

/// How often nothing stops the machine while nobody is there, and whether it then waits for somebody all the same.
///
/// `share` of such times, 0 … 1, in which every threading succeeds and the wire is threaded again after every break;
/// `threadings` and `breaks` as they are to be expected, in words.
pub fn nobody_needed(share: f64, threadings: &str, breaks: &str, waits: bool) -> String {
    let odds = in_hundred(share);
    if share >= CERTAIN {
        return if waits {
            say!("Nothing is likely to stop it before that; then it waits for the operator in any case.").to_owned()
        } else {
            say!("Nothing is likely to stop it: nobody is needed.").to_owned()
        };
    }
    if waits {
        say!(
            "It then waits for the operator in any case. It gets that far without help in {odds} such times: with \
             {threadings} and {breaks} wire breaks to be expected, a threading may fail."
        )
    } else {
        say!(
            "In {odds} such times nobody is needed: with {threadings} and {breaks} wire breaks to be expected, a \
             threading may fail."
        )
    }
}

/// Where nobody is there at the moment that was given: when the job is begun instead.
pub fn begun_later(asked: WeekTime, clock: &ByTheClock) -> Option<String> {
    let later = clock.begun > asked.minutes();
    later.then(|| {
        let begun = WeekTime::after_monday(clock.begun);
        say!("Nobody is there on {asked}: it is begun on {begun}.")
    })
}

/// "All 40 done" or, of a lot that was walked in part, "1200 of 40 000 done", both to be followed by the moment.
pub fn done(clock: &ByTheClock) -> String {
    match (clock.wanted, clock.is_whole()) {
        (1, _) => say!("Done").to_owned(),
        (n, true) => say!("All {} done", whole(n)),
        (n, false) => say!("{} of {} done", whole(clock.parts), whole(n)),
    }
}

/// What is said beside the moment of a lot that was walked in part: `all` is the moment of the whole lot in words.
/// `None` where all of it was walked.
pub fn walked_in_part(clock: &ByTheClock, all: &str) -> Option<String> {
    (!clock.is_whole()).then(|| {
        say!(
            "The lot is so long that {} of its {} parts were followed day by day; at that pace all are done about {all}.",
            whole(clock.parts),
            whole(clock.wanted)
        )
    })
}

/// Weeks that repeat, after the moment from which on: "the same week goes on 30 times more".
pub fn again(repeats: &Repeats) -> String {
    let times = match repeats.times().round() {
        1.0 => say!("once more").to_owned(),
        t => say!("{} times more", number(t, 0)),
    };
    if repeats.round == 1.0 {
        say!("the same week goes on {times}")
    } else {
        say!("the same {} weeks go on {times}", number(repeats.round, 0))
    }
}

fn whole(n: u32) -> String {
    number(f64::from(n), 0)
}

/// "about 97 of 100"; nothing is said to be certain that is not.
pub fn in_hundred(share: f64) -> String {
    let gap = '\u{202f}';
    let rounded = (share * 100.0).round();
    if share >= 1.0 {
        say!("all" in "of such times").to_owned()
    } else if rounded >= 100.0 {
        say!("more than 99{gap}of 100")
    } else if rounded <= 0.0 {
        say!("less than 1{gap}of 100")
    } else {
        say!("about {rounded:.0}{gap}of 100")
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
        let again_of = |weeks, round| {
            again(&Repeats {
                from: 0.0,
                weeks,
                round,
            })
        };
        assert_eq!(again_of(1.0, 1.0), "the same week goes on once more");
        assert_eq!(again_of(12.0, 3.0), "the same 3 weeks go on 4 times more");
        assert!(nobody_needed(0.97, "2 threadings", "0.1", true).starts_with("It then waits"));
    }
}
