//! What keeps a wire from a job, as one says it: what is wrong, where, and what to do.

use super::{Style, System, job_faults, within};
use crate::estimate::{About, NamedContour, Obstacle, ObstacleKind, WhyNothing};
use crate::job::{TightRadii, passes_words};
use crate::language::{is_german, localised, lower_case, said};
use crate::profile::Role;
use crate::reason::short;
use crate::units::Length;
use std::collections::HashMap;

/// Said of a wire that leaves a drawn radius larger which another wire might make.
pub const NOT_AS_DRAWN: &str = key!("not as drawn");
/// Said of a wire that is not among those on hand for the machine.
pub const NOT_ON_HAND: &str = key!("not on hand");
/// Most contours of one sentence that are named one by one.
const MOST_NAMED: usize = 12;

/// The obstacle in one or two sentences.
pub fn sentence(o: &Obstacle, system: System) -> String {
    let said = kind(o, system, &contour_concerned(o));
    match o.about {
        About::OpenCurve(k) => say!("Open curve {}: {said}", k + 1),
        About::Job | About::Contour(_) => said,
    }
}

/// A length beyond any part, to the whole unit: "2 474 439 mm", "97 419 in".
fn far(length: Length, system: System) -> String {
    let value = match system {
        System::Metric => length.mm(),
        System::Inch => length.inch(),
    };
    let number = Style::plain(system).number(value, 0);
    format!("{number} {}", system.length_unit())
}

/// One sentence for obstacles that say the same of several contours.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// What there is to say.
    pub sentence: String,
    /// The obstacles that it says, by their place among those given; at least one.
    pub all: Vec<usize>,
}

/// Everything that obstacles say, equal sentences once with the contours they are true of: "Each of 6 openings (2, 3, 5,
/// 7, 8, 9) is too narrow …".
pub fn told<'a>(obstacles: impl IntoIterator<Item = &'a Obstacle>, system: System) -> Vec<Told> {
    let all: Vec<&Obstacle> = obstacles.into_iter().collect();
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut group_of: HashMap<String, usize> = HashMap::new();
    for (k, o) in all.iter().enumerate() {
        let same = match o.about {
            About::Contour(c) => kind(o, system, c.role.word()),
            About::Job | About::OpenCurve(_) => sentence(o, system),
        };
        let group = *group_of.entry(same).or_insert(groups.len());
        if group == groups.len() {
            groups.push(Vec::new());
        }
        groups[group].push(k);
    }
    let told = groups.into_iter().filter_map(|members| {
        let first = *all.get(*members.first()?)?;
        let numbers = members.iter().filter_map(|&k| all[k].contour());
        let mut numbers: Vec<usize> = numbers.map(|k| k + 1).collect();
        numbers.sort_unstable();
        numbers.dedup();
        let sentence = match first.about {
            About::Contour(c) if numbers.len() > 1 => {
                kind(first, system, &each_of(c.role, &numbers))
            }
            _ => sentence(first, system),
        };
        Some(Told {
            sentence,
            all: members,
        })
    });
    told.collect()
}

/// What a wire leaves larger than drawn, in a sentence: "Not as drawn: an inside radius of 0.100 mm comes out as 0.131 mm,
/// in 16 places." Nothing where it makes every radius, or where what it leaves is accepted.
pub fn not_as_drawn(obstacles: &[Obstacle], system: System) -> Option<String> {
    let left = obstacles.iter().filter(|o| o.kind.is_unmade_radius());
    let left = left.filter_map(|o| match &o.kind {
        ObstacleKind::InsideRadius {
            radius,
            places,
            leaves,
            ..
        } => Some((*radius, *places, *leaves)),
        _ => None,
    });
    let all: Vec<_> = left.collect();
    let tightest = all.iter().min_by(|a, b| a.0.mm().total_cmp(&b.0.mm()))?;
    let places = in_places(all.iter().map(|a| a.1).sum());
    let leaves = within::fine(tightest.2, system);
    let radius = within::radius(tightest.0, system);
    Some(say!(
        "Not as drawn: an inside radius of {radius} comes out as {leaves}, in {places}."
    ))
}

/// "Each of 6 openings (2, 3, 5, 7, 8, 9)".
fn each_of(role: Role, numbers: &[usize]) -> String {
    let mut named: Vec<String> = numbers
        .iter()
        .take(MOST_NAMED)
        .map(usize::to_string)
        .collect();
    if numbers.len() > MOST_NAMED {
        named.push("…".to_owned());
    }
    let (count, named) = (numbers.len(), named.join(", "));
    match role {
        Role::Outline => say!("Each of {count} outlines ({named})"),
        Role::Opening => say!("Each of {count} openings ({named})"),
    }
}

#[allow(clippy::too_many_lines)] // A list of sentences, one a kind.
fn kind(o: &Obstacle, system: System, name: &str) -> String {
    let wire = within::diameter(o.diameter, system);
    let fine = |l| within::fine(l, system);
    let within_sentence = || lower(name);
    match &o.kind {
        ObstacleKind::Job(fault) => job_faults::sentence(fault, system),
        ObstacleKind::NothingToCut(WhyNothing::NoContour) => {
            say!("The drawing has no closed contour to cut. Look at the findings for open ends, or raise the join gap.")
                .to_owned()
        }
        ObstacleKind::NothingToCut(WhyNothing::AllLeftOut) => {
            say!("No contour is in the cut. Tick at least one.").to_owned()
        }
        ObstacleKind::TooThick { thickness, usual } => {
            let end = if o.blocks() {
                say!("Take a thicker wire.")
            } else {
                say!("Ask whether your machine holds it, or take a thicker wire.")
            };
            say!(
                "{} is more than a {wire} wire usually cuts ({} of steel, common practice). {end}",
                within::entered(*thickness, system),
                within::entered(*usual, system),
            )
        }
        ObstacleKind::FinishInDoubt {
            skim,
            run_off,
            least,
            wire,
        } => say!(
            "Skim {skim} runs {} of wire. With {wire} about {} usually keep the finish (judgement), so this one \
             may come out rougher. Try it on a test piece, or run the skims faster.",
            within::run_off(*run_off, system),
            within::run_off(*least, system),
        ),
        ObstacleKind::SelfCrossing { .. } => say!(
            "{name} crosses or touches itself, so what is inside is not clear, whatever the wire. Ask for a correct \
             drawing, or mend it there.",
        ),
        ObstacleKind::CannotEnter { needs } => say!(
            "{} is too narrow for a {wire} wire: its path needs {}. Take a thinner wire or fewer passes, or widen it.",
            name,
            fine(*needs),
        ),
        ObstacleKind::NeckClosed { needs } => say!(
            "{} has a neck narrower than {}, where a {wire} wire does not pass. Take a thinner wire or fewer passes, \
             or widen the neck.",
            name,
            fine(*needs),
        ),
        ObstacleKind::NoStartHole {
            smallest,
            needs,
            room,
            thinner,
            own,
            edge,
        } => {
            let (Some(hole), Some(needs)) = (smallest, needs) else {
                return say!(
                    "None of the shop's start holes is wide enough for a {wire} wire. Add a diameter to its list."
                );
            };
            let why = say!(
                "a {} hole with its stock and half the kerf needs {} from the wire's path, and there is {}",
                within::entered(*hole, system),
                fine(*needs),
                fine(*room)
            );
            if *own {
                return say!(
                    "The start hole set for {} is close to the cut: {why}. Check it before you quote.",
                    lower_case(name)
                );
            }
            let mut ways: Vec<String> = Vec::new();
            ways.extend(thinner.map(|d| thinner_wire(Some(d), system)));
            if *edge {
                ways.push(say!("begin from the edge of the blank").to_owned());
            }
            ways.push(say!("set the start hole yourself where one is there").to_owned());
            let last = ways.pop().unwrap_or_default();
            let ways = if ways.is_empty() {
                last
            } else {
                say!("{}, or {last}", ways.join(", "))
            };
            say!(
                "No start hole fits beside the cut of {}: {why}. {}.",
                lower_case(name),
                beginning(&ways)
            )
        }
        ObstacleKind::TooIntricate => say!(
            "{name} is too intricate for a wire: it crosses itself over and over, or is noise finer than any wire. Look \
             at it there, and ask for a clean contour.",
        ),
        ObstacleKind::TooLarge { size } => say!(
            "{name} is {} across, more than a kilometre. Nothing of this size is cut; check the unit of the drawing.",
            far(*size, system),
        ),
        ObstacleKind::PathUnsure => say!(
            "Two computations of the wire path along {} do not agree. Check the contour for crossings, and the path \
             on the drawing before you quote.",
            within_sentence(),
        ),
        ObstacleKind::InsideRadius {
            radius,
            places,
            leaves,
            depth,
            said,
            thinner,
        } => {
            let drawn = if radius.mm() > 0.0 {
                // "in in" would stop the reader.
                let at = match system {
                    System::Metric => "in",
                    System::Inch => "at",
                };
                let radius = within::radius(*radius, system);
                say!("an inside radius of {radius} {at} {}", in_places(*places))
            } else if *places == 1 {
                say!("a sharp inside corner").to_owned()
            } else {
                say!("{places} sharp inside corners")
            };
            let leaves = fine(*leaves);
            let mut ways = Vec::new();
            if radius.mm() > 0.0 {
                ways.push(thinner_wire(*thinner, system));
                ways.push(say!("open the radius to {leaves}"));
            } else {
                ways.push(say!("draw a radius of {leaves} or more"));
            }
            let end = match said {
                TightRadii::Accepted => say!("That is accepted for this drawing.").to_owned(),
                TightRadii::Undecided => {
                    say!("{}, or accept it for this drawing.", ways.join(", "))
                }
                TightRadii::Required => {
                    say!("It has to come out as drawn: {}.", ways.join(say!(", or ")))
                }
            };
            say!(
                "{} has {drawn}; a {wire} wire leaves a radius of {leaves} after this plan, up to {} deep. {}",
                name,
                fine(*depth),
                beginning(&end),
            )
        }
        ObstacleKind::NarrowPlace {
            width,
            places,
            needs,
            thinner,
        } => {
            let needs = fine(*needs);
            let wide = width.map_or(String::new(), |w| say!(" {} wide", fine(w)));
            let thinner = thinner.map_or_else(
                || say!("Take a thinner wire").to_owned(),
                |d| say!("Take a wire of {} or less", within::diameter(d, system)),
            );
            say!(
                "{} has a place{wide} that a {wire} wire does not enter, in {}; its plan needs {needs}. {thinner}, or \
                 widen it to {needs}.",
                name,
                in_places(*places),
            )
        }
        ObstacleKind::RoughCannotFollow {
            width,
            places,
            needs,
            most_passes,
        } => {
            let wide = width.map_or(String::new(), |w| say!(" {} wide", fine(w)));
            let otherwise = match (width, most_passes) {
                (None, _) => say!("take a thinner wire or fewer passes").to_owned(),
                (Some(_), None) => thinner_wire(None, system),
                (Some(_), Some(n)) => {
                    say!("plan {} there, or take a thinner wire", passes_words(*n))
                }
            };
            say!(
                "{} has a place{wide} that the rough of a {wire} wire does not enter, in {}; a later pass would cut \
                 it from the solid. Widen it to {}, or {otherwise}.",
                name,
                in_places(*places),
                fine(*needs),
            )
        }
        ObstacleKind::TooClose { into, apart, reach } => {
            let apart = if within::is_nothing(*apart, system) {
                say!("touch or cross").to_owned()
            } else {
                say!("lie {} apart", fine(*apart))
            };
            say!(
                "The rough beside {} cuts into {}: they {apart}, and a {wire} wire with its sparks reaches {} from \
                 its contour. Move them that far apart, or take a thinner wire or fewer passes.",
                within_sentence(),
                contour_name(*into),
                fine(*reach),
            )
        }
        of_machine => on_machine(of_machine, system, &wire),
    }
}

/// What does not fit on the machine, or is not on hand for it.
fn on_machine(kind: &ObstacleKind, system: System, wire: &str) -> String {
    let length = |l: &Length| within::short_length(*l, system);
    match kind {
        ObstacleKind::DiameterNotTaken { takes, machine } => {
            let takes: Vec<String> = takes.iter().map(|d| within::diameter(*d, system)).collect();
            say!(
                "{machine} takes wire of {}, and none of {wire}. Take one of these, or another machine.",
                takes.join(", ")
            )
        }
        ObstacleKind::BeyondTravel {
            needs,
            travel,
            machine,
        } => {
            let (long, short) = (length(&needs.0), length(&needs.1));
            let any = || say!("any" in "a travel").to_owned();
            let [x, y] = travel
                .each_ref()
                .map(|t| t.as_ref().map_or_else(any, length));
            say!(
                "With its lead-ins it needs {long} × {short} of travel, however it is turned; {machine} has {x} × {y}. \
                 Choose another machine, or cut it in two set-ups."
            )
        }
        ObstacleKind::TooHigh {
            thickness,
            most,
            machine,
        } => say!(
            "{} is thicker than {machine} takes ({}). Choose another machine.",
            within::entered(*thickness, system),
            within::entered(*most, system)
        ),
        ObstacleKind::TooHeavy {
            mass,
            most,
            machine,
        } => say!(
            "The plate weighs at least {}, more than {machine} carries ({}). Choose another machine, or a smaller blank.",
            within::mass(*mass, system),
            within::mass(*most, system)
        ),
        ObstacleKind::TaperTooSteep {
            degrees,
            most,
            machine,
        } => say!(
            "A taper of {}° is steeper than {machine} cuts ({}°). Choose another machine.",
            localised(short(*degrees)),
            localised(short(*most))
        ),
        ObstacleKind::NotOnHand {
            wire: name,
            machine,
        } => say!(
            "{} of {wire} is not on hand for {machine}: it has to be ordered.",
            beginning(said(name))
        ),
        ObstacleKind::SpoolNotOnHand { spool, machine } => say!(
            "A spool {spool} is not on hand for {machine}. The page Shop says which are, and which one is loaded."
        ),
        ObstacleKind::UnknownMachine { name } => say!(
            "The shop has no machine “{name}”, so nothing is held against it. Choose one of its machines."
        ),
        // All others are said above.
        _ => String::new(),
    }
}

/// "opening 2".
fn contour_name(c: NamedContour) -> String {
    format!("{} {}", c.role.word(), c.index + 1)
}

/// "Opening 2", to begin a sentence with.
fn contour_concerned(o: &Obstacle) -> String {
    let name = match o.about {
        About::Contour(c) => contour_name(c),
        About::OpenCurve(k) => say!("open curve {}", k + 1),
        About::Job => say!("the job").to_owned(),
    };
    beginning(&name)
}

/// One that gets in, where one is known.
fn thinner_wire(diameter: Option<Length>, system: System) -> String {
    match diameter {
        Some(d) => say!("take a wire of {} or less", within::diameter(d, system)),
        None => say!("take a thinner wire").to_owned(),
    }
}

/// As it stands within a sentence, where the language writes names of things with a small letter there.
fn lower(name: &str) -> String {
    if is_german() {
        return name.to_owned();
    }
    let mut letters = name.chars();
    letters.next().map_or_else(String::new, |c| {
        c.to_lowercase().collect::<String>() + letters.as_str()
    })
}

/// With a capital letter.
fn beginning(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| {
        c.to_uppercase().collect::<String>() + letters.as_str()
    })
}

fn in_places(count: usize) -> String {
    match count {
        1 => say!("one place").to_owned(),
        _ => say!("{count} places"),
    }
}
