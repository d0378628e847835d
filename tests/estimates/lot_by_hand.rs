//! A plate with one of each kind of piece, in a lot of two, on paper: every step, and what a part costs, freed hours sold
//! or not.

use kerfcast::estimate::{Figures, by_the_clock, compare};
use kerfcast::geometry::{Contour, Point};
use kerfcast::job::{BurnOut, Candidate, Job, StaffedHours};
use kerfcast::library::Library;
use kerfcast::plan::schedule::PlannedStart;
use kerfcast::plan::{PathCache, StepKind};
use kerfcast::process::PassNumber;
use kerfcast::profile::Profile;
use kerfcast::units::{Length, Mass, Money};
use std::f64::consts::PI;

const OUTLINE: usize = 0;
const BURNT: usize = 1;
const LIGHT: usize = 2;
const SLUG: usize = 3;
/// Radii of the openings, mm, by contour.
const RADIUS: [f64; 4] = [0.0, 1.5, 3.0, 10.0];
/// Middles of the openings, mm, by contour.
const MIDDLE: [(f64, f64); 4] = [(0.0, 0.0), (15.0, 15.0), (60.0, 20.0), (40.0, 50.0)];
/// Wire centre to drawn contour, pass by pass: 0.125 + gap + the stock of the passes after it.
const OFFSET: [f64; 4] = [0.219, 0.159, 0.139, 0.131];
const OVERLAP: f64 = 0.3;
const TAB: f64 = 3.0;

/// A step on paper.
#[derive(Debug, Clone, Copy)]
struct Paper {
    kind: StepKind,
    contour: Option<usize>,
    pass: Option<usize>,
    length: f64,
    straight: f64,
    corners: f64,
    attended: bool,
}

/// mm/min: 150 mm²/min at the plateau, less below 60 mm; skims three times that and at most 12.
fn feed(pass: usize) -> f64 {
    let rough = 150.0 * (-0.15 * (40.0_f64 / 60.0).ln().powi(2)).exp() / 40.0;
    if pass == 1 {
        rough
    } else {
        (3.0 * rough).min(12.0)
    }
}

/// Length that the direction change `theta` within the window seems to add to a millimetre.
fn slower(theta: f64, pass: usize) -> f64 {
    let c = if pass == 1 { 0.65 } else { 0.30 };
    1.0 / (1.0 - c * (1.0 - theta.min(PI).cos()) / 2.0) - 1.0
}

/// Of a circle of radius `r`; the window is 0.5 + 0.005·40 = 0.7 mm.
fn round(r: f64, pass: usize) -> f64 {
    2.0 * PI * r * slower(0.7 / r, pass)
}

/// Of the square's path: on four arcs of radius `r`, each of length q, the direction change rises over q, stays at 90°
/// for 0.7 − q and falls over q.
fn square(r: f64, pass: usize) -> f64 {
    let q = r * PI / 2.0;
    let n = 100_000;
    let ramp: f64 = (0..n)
        .map(|k| slower(PI / 2.0 * (f64::from(k) + 0.5) / f64::from(n), pass))
        .sum();
    4.0 * (2.0 * q * ramp / f64::from(n) + (0.7 - q) * slower(PI / 2.0, pass))
}

struct Sheet<'a> {
    starts: &'a [PlannedStart],
    steps: Vec<Paper>,
}

impl Sheet<'_> {
    fn add(
        &mut self,
        kind: StepKind,
        contour: usize,
        pass: Option<usize>,
        length: f64,
        straight: f64,
    ) {
        self.steps.push(Paper {
            kind,
            contour: Some(contour),
            pass,
            length,
            straight,
            corners: 0.0,
            attended: false,
        });
    }
    fn attended(&mut self) {
        self.steps.last_mut().expect("a step").attended = true;
    }
    fn corners(&mut self, excess: f64, pass: usize) {
        self.steps.last_mut().expect("a step").corners = excess / feed(pass);
    }
    fn start(&self, contour: usize) -> PlannedStart {
        *self
            .starts
            .iter()
            .find(|s| s.contour == contour)
            .expect("begun")
    }
    /// From where the last contour ended, at a metre a minute; threading takes one; the lead-in at half the feed.
    fn begin(&mut self, contour: usize, from: Option<Point>) {
        let start = self.start(contour).start;
        if let Some(from) = from {
            let way = from.distance(start.hole);
            self.add(StepKind::Move, contour, None, way, way / 1000.0);
        }
        self.add(StepKind::Threading, contour, None, 0.0, 1.0);
        let way = start.lead_in.mm();
        self.add(
            StepKind::LeadIn,
            contour,
            Some(1),
            way,
            way / (0.5 * feed(1)),
        );
    }
    /// One pass but for `tab`.
    fn pass(&mut self, contour: usize, pass: usize, tab: f64) {
        let offset = OFFSET[pass - 1];
        let (path, excess) = if contour == OUTLINE {
            (320.0 + 2.0 * PI * offset, square(offset, pass))
        } else {
            let r = RADIUS[contour] - offset;
            (2.0 * PI * r, round(r, pass))
        };
        let length = path - tab;
        self.add(
            StepKind::Pass,
            contour,
            Some(pass),
            length,
            length / feed(pass),
        );
        self.corners(excess, pass);
    }
    fn tab(&mut self, contour: usize, pass: usize, tab: f64) {
        let length = tab + OVERLAP;
        self.add(
            StepKind::Tab,
            contour,
            Some(pass),
            length,
            length / feed(pass),
        );
    }
    /// Four minutes a piece: half to secure it, half to take it out; somebody stays from the one to the other.
    fn let_go(&mut self, contour: usize, out: StepKind) {
        self.add(StepKind::Secure, contour, None, 0.0, 2.0);
        self.attended();
        self.tab(contour, 1, TAB);
        self.attended();
        self.add(out, contour, None, 0.0, 2.0);
        self.attended();
    }
    /// Rings 0.8 of the kerf of 0.33 apart, as far as waste is left, and half a kerf for the last crumb.
    fn burn_out(&mut self, contour: usize) {
        let rough = RADIUS[contour] - OFFSET[0];
        let mut rings = Vec::new();
        let mut r = rough;
        while r > 0.165 {
            r = if r > 0.264 { r - 0.264 } else { r - 0.165 };
            rings.push(r);
        }
        // From ring to ring the way goes straight out, and from the last one to where the rough begins.
        let start = self.start(contour).start;
        let middle = Point::new(MIDDLE[contour].0, MIDDLE[contour].1);
        let out = (start.hole - middle) * (1.0 / start.hole.distance(middle));
        let last = middle + out * rings[0];
        let ways = rings[0] - rings[rings.len() - 1] + last.distance(start.join);
        let length = 2.0 * PI * rings.iter().sum::<f64>() + ways;
        self.add(StepKind::Erode, contour, Some(1), length, length / feed(1));
        self.corners(rings.iter().map(|r| round(*r, 1)).sum(), 1);
        assert!(start.lead_in.mm() < 1e-9, "its hole lies on the first ring");
    }
    fn contour(&mut self, contour: usize, from: Option<Point>) {
        self.begin(contour, from);
        match contour {
            // Nothing comes loose: rings, then all round, pass by pass; nobody is needed.
            BURNT => {
                self.burn_out(contour);
                for pass in 1..=4 {
                    self.pass(contour, pass, 0.0);
                    self.tab(contour, pass, 0.0);
                }
            }
            // It drops with nobody there, and the wire stays threaded.
            LIGHT => {
                (1..=4).for_each(|pass| self.pass(contour, pass, TAB));
                (1..=4).for_each(|pass| self.tab(contour, pass, TAB));
            }
            // Secured, cut off, taken out; threaded again, the tab's stretch is skimmed on the frame alone.
            SLUG => {
                (1..=4).for_each(|pass| self.pass(contour, pass, TAB));
                self.let_go(contour, StepKind::SlugStop);
                let way = self.start(contour).start.hole;
                let way = way.distance(self.start(contour).start.join);
                self.add(StepKind::Move, contour, None, way, way / 1000.0);
                self.add(StepKind::Threading, contour, None, 0.0, 1.0);
                self.add(StepKind::Move, contour, None, way, way / 1000.0);
                (2..=4).for_each(|pass| self.tab(contour, pass, TAB));
            }
            // The part leaves with its tab's stretch unskimmed.
            _ => {
                (1..=4).for_each(|pass| self.pass(contour, pass, TAB));
                self.let_go(contour, StepKind::PartStop);
            }
        }
    }
}

fn job() -> Job {
    let mut job = Job {
        thickness: Length::from_mm(40.0),
        quantity: 2,
        passes: 4,
        // The waste of Ø 3 is Ø 2.232 beside the kerf, that of Ø 6 weighs 6.6 g.
        burn_out: BurnOut::UpToSize(Length::from_mm(2.5)),
        candidates: vec![Candidate::new("hard plain brass", 0.25)],
        ..Job::starting(Library::built_in())
    };
    let shop = &mut job.shop;
    shop.drops_alone = Mass::from_kg(0.01);
    let rates = [
        (&mut shop.machine_rate, 60.0),
        (&mut shop.labour_rate, 45.0),
        (&mut shop.wire_price, 11.0),
        (&mut shop.scrap_value, 4.0),
        (&mut shop.consumables, 3.0),
    ];
    rates
        .into_iter()
        .for_each(|(rate, amount)| *rate = Money::from_amount(amount));
    shop.setup_hours = 1.5;
    shop.programming_hours = 0.8;
    shop.inspection_minutes = 12.0;
    shop.staffed = StaffedHours::parse("Mon-Sun 0:00-0:00").expect("hours");
    job
}

fn figures(job: &Job) -> Figures {
    let opening = |k: usize| Contour::circle(Point::new(MIDDLE[k].0, MIDDLE[k].1), RADIUS[k]);
    let outline = Contour::polygon(&[(0.0, 0.0), (80.0, 0.0), (80.0, 80.0), (0.0, 80.0)]);
    let profile = Profile::of_shapes(vec![outline, opening(1), opening(2), opening(3)]);
    let all = compare(&profile, job, Library::built_in(), &PathCache::default()).estimates;
    let e = all.into_iter().next().expect("one wire");
    e.figures.unwrap_or_else(|| panic!("{:?}", e.obstacles))
}

/// Every step of a part but the allowance.
fn by_hand(f: &Figures) -> Vec<Paper> {
    let mut sheet = Sheet {
        starts: &f.starts,
        steps: Vec::new(),
    };
    let mut from = None;
    for start in &f.starts {
        sheet.contour(start.contour, from);
        from = Some(start.start.join);
    }
    let mut steps = sheet.steps;
    let rough = steps.iter().filter(|s| s.pass == Some(1));
    let hours: f64 = rough.map(|s| (s.straight + s.corners) / 60.0).sum();
    // 0.05 breaks an hour of roughing, three minutes each, somebody there.
    steps.push(Paper {
        kind: StepKind::Breaks,
        contour: None,
        pass: None,
        length: 0.0,
        straight: hours * 0.05 * 3.0,
        corners: 0.0,
        attended: true,
    });
    steps
}

#[test]
fn every_step_of_burnt_light_slug_and_part() {
    let f = figures(&job());
    assert_eq!(f.starts.last().map(|s| s.contour), Some(OUTLINE));
    let by_hand = by_hand(&f);
    let own = f.steps.iter().filter(|s| s.kind != StepKind::Allowance);
    let own: Vec<_> = own.collect();
    let kinds = |s: &[Paper]| {
        s.iter()
            .map(|e| (e.kind, e.contour, e.pass))
            .collect::<Vec<_>>()
    };
    let found: Vec<_> = own
        .iter()
        .map(|s| (s.kind, s.contour, s.pass.map(PassNumber::number)))
        .collect();
    assert_eq!(found, kinds(&by_hand));
    for (s, paper) in own.iter().zip(&by_hand) {
        let corners = s.corner_minutes.min_value();
        let straight = s.minutes.min_value() - corners;
        let near = |a: f64, b: f64| (a - b).abs() < 1e-5;
        assert!(near(s.length.mm(), paper.length), "{s:?} {paper:?}");
        assert!(near(straight, paper.straight), "{s:?} {paper:?}");
        assert!(near(corners, paper.corners), "{s:?} {paper:?}");
        assert_eq!(s.attended, paper.attended, "{s:?}");
        // Only what the shop lets drop is let go with nobody there; around burnt waste there is nothing to let go.
        let alone = matches!(s.contour, Some(BURNT | LIGHT));
        assert!(!s.lets_go() || s.attended || alone, "{s:?}");
    }
    // Beside the machine: loading before a part, its tab dressed after it.
    let beside: Vec<_> = f
        .beside
        .iter()
        .map(|s| (s.kind, s.minutes.min_value()))
        .collect();
    assert_eq!(
        beside,
        [(StepKind::Loading, 15.0), (StepKind::Dressing, 5.0)]
    );
    // Holes: 0.165 is half the kerf, so Ø D needs D/2 + 0.3 + 0.165 from the path. Ø 3 everywhere but where 1.221 mm
    // are left to the ring inside Ø 3: Ø 1.5.
    for start in &f.starts {
        let expected = if start.contour == BURNT { 1.5 } else { 3.0 };
        assert_eq!(
            start.hole,
            Some(Length::from_mm(expected)),
            "{}",
            start.contour
        );
    }
    assert_eq!(f.start_holes, 4);
}

#[test]
fn a_part_of_the_lot_costs_the_sum_of_its_lines_sold_or_not() {
    let job = job();
    let f = figures(&job);
    let paper = by_hand(&f);
    let sum = |of: &dyn Fn(&Paper) -> f64| paper.iter().map(of).sum::<f64>();
    let minutes = |s: &Paper| s.straight + s.corners;
    let there = sum(&|s| if s.attended { minutes(s) } else { 0.0 });
    assert!((f.attended.min_value() - there).abs() < 1e-4);
    // 10 m/min in the rough, 9 in skims; 1.5 m at each threading and break.
    let wire = sum(&|s| match (s.kind, s.pass) {
        (StepKind::Threading, _) => 1.5,
        (StepKind::Breaks, _) => 1.5 * minutes(s) / 3.0,
        (_, Some(1)) => 10.0 * minutes(s),
        (_, Some(_)) => 9.0 * minutes(s),
        _ => 0.0,
    });
    let allowed = f.allowance().expect("much may run long");
    let (time, wire) = (
        sum(&minutes) + allowed.minutes.min_value(),
        wire + allowed.wire.m(),
    );
    assert!((f.minutes.median.min_value() - time).abs() < 1e-4);
    assert!((f.wire.median.m() - wire).abs() < 1e-3);
    // Ø 0.25 of 8440 kg/m³ is 2413.7 m a kilogram.
    let metres = 4.0e6 / (PI * 0.25 * 0.25 * 8440.0);
    assert!((metres - 2413.7).abs() < 0.05);
    let kg = wire / metres;
    assert!((f.wire_mass.kg() - kg).abs() < 1e-6 * kg);
    let (machine, labour, hours) = (60.0, 45.0, time / 60.0);
    let holes = 4.0 * (1.0 + 40.0 / 20.0) / 60.0 * labour;
    let c = &f.cost;
    for (line, by_hand) in [
        (c.machine, machine * hours),
        (c.labour, labour * there / 60.0),
        (c.wire, (11.0 - 4.0) * kg),
        (c.consumables, 3.0 * hours),
        // Of a lot of two: half of its set-up and programming.
        (c.setup, 1.5 * (machine + labour) / 2.0),
        (c.programming, 0.8 * labour / 2.0),
        (c.holes, holes),
        (c.loading, 0.25 * (machine + labour)),
        (c.dressing, 5.0 / 60.0 * labour),
        (c.inspection, 0.2 * labour),
    ] {
        assert!((line.amount() - by_hand).abs() < 1e-3, "{line:?} {by_hand}");
    }
    let lines = machine * hours
        + labour * there / 60.0
        + 7.0 * kg
        + 3.0 * hours
        + 0.75 * (machine + labour)
        + 0.4 * labour
        + holes
        + 0.25 * (machine + labour)
        + 5.0 / 60.0 * labour
        + 0.2 * labour;
    let part = c.part.median.amount();
    assert!(
        (part - lines - c.allowance.amount()).abs() < 1e-2,
        "{part} {lines}"
    );
    assert!(c.allowance >= Money::ZERO && c.allowance.amount() < 0.1 * lines);
    // Freed hours not sold: cash alone, without machine hours, set-up, programming and inspection.
    let cash = labour * there / 60.0
        + 7.0 * kg
        + 3.0 * hours
        + holes
        + 0.25 * labour
        + 5.0 / 60.0 * labour;
    let unsold = c.unsold.median.amount();
    assert!(
        unsold > cash - 1e-2 && unsold < 1.1 * cash,
        "{unsold} {cash}"
    );
    // Round the clock the lot takes two parts and their loading.
    let clock = by_the_clock(&f, &job.candidates[0], &job, Library::built_in());
    let clock = clock.expect("somebody is there");
    assert_eq!(clock.parts, 2);
    assert!((clock.done - clock.begun - 2.0 * (time + 15.0)).abs() < 1e-3);
}
