//! `export`: the contours for the next program, the start holes for the drill.

use super::conditions::Conditions;
use super::outcome::{Failure, Outcome};
use super::output::{Overwrite, write};
use crate::drawing::Unit;
use crate::estimate::{Comparison, compare, drill_csv, drill_list};
use crate::export::{Content, ExportError, Exported, dxf, svg};
use crate::job::Job;
use crate::plan::PathCache;
use crate::profile::Profile;
use crate::words::{Style, System, style::count};
use std::io::Write;
use std::path::{Path, PathBuf};

/// Arguments of `export`.
#[derive(Debug, clap::Args)]
#[command(group(clap::ArgGroup::new("what").required(true).multiple(true).args(["dxf", "svg", "holes"])))]
pub struct Arguments {
    /// Drawing.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The file to write: each contour a closed curve of lines and arcs on the layer of its role.
    #[arg(long, value_name = "OUT.dxf")]
    dxf: Option<PathBuf>,
    /// A picture of the drawing to write, true to size, with the same layers as groups of lines and arcs.
    #[arg(long, value_name = "OUT.svg")]
    svg: Option<PathBuf>,
    /// The start holes of a part for the drill: number, x, y, diameter and depth in mm, in the order of cutting, for
    /// the first wire that can do the job.
    #[arg(long, value_name = "OUT.csv")]
    holes: Option<PathBuf>,
    /// With the wire's paths of every pass and the places of the start holes, for the first wire; a planning aid, no
    /// machine program.
    #[arg(long)]
    paths: bool,
    /// Lengths in the file and here in inches.
    #[arg(long)]
    inch: bool,
    #[command(flatten)]
    overwrite: Overwrite,
    #[command(flatten)]
    with: Conditions,
}

/// Writes the contours of a drawing, its start holes, or both.
///
/// # Errors
/// A call that cannot be carried out whatever the drawing, or an output that cannot be written.
pub fn run(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let input = args.file.as_path();
    if let Some(dxf) = &args.dxf {
        args.overwrite.check(dxf, &[input])?;
    }
    let mut taken: Vec<&Path> = vec![input];
    taken.extend(args.dxf.as_deref());
    let others = [args.svg.as_deref(), args.holes.as_deref()];
    for output in others.into_iter().flatten() {
        args.overwrite.check(output, &taken)?;
        taken.push(output);
    }
    let library = &args.with.own.library()?;
    // Contours have no thickness; only what the wire does asks for it.
    let mut job = if args.paths || args.holes.is_some() {
        args.with.job(library)?
    } else {
        args.with.job_or_assumed(library)?
    };
    let failed = |message: String| {
        eprintln!("{message}");
        Ok(Outcome::SomeFailed)
    };
    let Some(drawing) = args.with.open(input, &mut job) else {
        return Ok(Outcome::SomeFailed);
    };
    let profile = &drawing.profile;
    let comparison = (args.paths || args.holes.is_some())
        .then(|| compare(profile, &job, library, &PathCache::default()));
    if let (Some(file), Some(c)) = (&args.holes, &comparison)
        && let Err(message) = start_holes(file, c, profile, &job, out)?
    {
        return failed(format!("{}: {message}", args.file.display()));
    }
    let paths = comparison.as_ref().filter(|_| args.paths);
    let paths = paths.and_then(|c| c.estimates.first());
    let (unit, system) = if args.inch {
        (Unit::Inch, System::Inch)
    } else {
        (Unit::Millimetre, System::Metric)
    };
    let content = Content {
        profile,
        job: &job,
        paths,
        unit,
    };
    if let Some(to) = &args.svg {
        let told = svg(&content)
            .map_err(|e| format!("{}: {e}. {}", args.file.display(), hint(&e)))
            .and_then(|text| write(to, text.as_bytes()));
        match told {
            Ok(()) => writeln!(out, "{}", to.display())?,
            Err(message) => return failed(message),
        }
    }
    let Some(to) = &args.dxf else {
        return Ok(Outcome::Done);
    };
    match dxf(&content) {
        Ok(exported) => match write(to, &exported.bytes) {
            Ok(()) => {
                told(out, to, &exported, Style::plain(system))?;
                Ok(Outcome::Done)
            }
            Err(message) => failed(message),
        },
        Err(error) => failed(format!(
            "{}: {error}. {}",
            args.file.display(),
            hint(&error)
        )),
    }
}

/// Writes the list for the drill; the inner error says why there is none.
fn start_holes(
    file: &Path,
    comparison: &Comparison,
    profile: &Profile,
    job: &Job,
    out: &mut impl Write,
) -> Result<Result<(), String>, Failure> {
    let mut all = comparison.estimates.iter();
    let Some((figures, wire)) = all.find_map(|e| Some((e.figures.as_ref()?, &e.candidate))) else {
        return Ok(Err(say!(
            "none of the wires can do the job, so there are no start holes. `estimate` says why."
        )
        .to_owned()));
    };
    let holes = drill_list(figures, profile, job, wire);
    if let Err(message) = write(file, drill_csv(&holes).as_bytes()) {
        return Ok(Err(message));
    }
    writeln!(
        out,
        "{}",
        say!(
            "{}\n  {} for {}",
            file.display(),
            count(holes.len(), say!("start hole"), say!("start holes")),
            Style::plain(System::Metric).candidate(wire)
        )
    )?;
    Ok(Ok(()))
}

/// What to do about it.
fn hint(error: &ExportError) -> &'static str {
    match error {
        ExportError::Nothing => say!("See what measure finds in it."),
        ExportError::NoPaths => {
            say!("Give another wire with --wire, or leave --paths away; estimate says why.")
        }
        ExportError::Unit | ExportError::Writer(_) => say!("Nothing was written."),
    }
}

/// What is in the file.
fn told(
    out: &mut impl Write,
    file: &Path,
    exported: &Exported,
    style: Style,
) -> Result<(), Failure> {
    writeln!(out, "{}", file.display())?;
    for (layer, count) in &exported.entities {
        writeln!(out, "  {:<28} {count}", layer.name())?;
    }
    writeln!(
        out,
        "{}",
        say!(
            "  contours {}, drawn {}",
            style.length(exported.cut_length),
            style.length(exported.drawn_length)
        )
    )?;
    if exported.left_out > 0 {
        writeln!(out, "{}", say!("  left out {}", exported.left_out))?;
    }
    if exported.entities.keys().any(|l| l.is_planning_aid()) {
        writeln!(
            out,
            "{}",
            say!("  Wire paths and start holes are a planning aid and no machine program.")
        )?;
    }
    Ok(())
}
