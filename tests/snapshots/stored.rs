//! The stored pictures: how they are written small, and how the window is held against them.

use image::{Rgb, RgbImage};
use std::collections::HashMap;
use std::fs::{self, File};
use std::io::BufWriter;
use std::path::{Path, PathBuf};

/// A channel of a pixel may differ by so much, of 255: what the palette cost, and rounding of another processor.
const SAME: u8 = 24;
/// So many pixels may differ by more: edges that another processor rounds to the other side. A letter has more.
const MOST_OTHERS: usize = 12;

/// What differs from the stored picture of a name; writes that one where it is asked for.
pub fn held_against(name: &str, now: &RgbImage) -> Option<String> {
    let stored = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data/snapshots")
        .join(name)
        .with_extension("png");
    if std::env::var_os("KERFCAST_WRITE_SNAPSHOTS").is_some() {
        write(&stored, now);
        return None;
    }
    let beside =
        |what: &str| PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}{what}.png"));
    let (now_at, differs_at) = (beside("_now"), beside("_differs"));
    let looks_so = |why: String| {
        write(&now_at, now);
        Some(format!("{name}: {why}\n  now: {}", now_at.display()))
    };
    let before = match image::open(&stored) {
        Ok(picture) => picture.into_rgb8(),
        Err(e) => return looks_so(format!("{}: {e}", stored.display())),
    };
    let ((wide, high), size) = (before.dimensions(), now.dimensions());
    if (wide, high) != size {
        return looks_so(format!(
            "{} × {} pixels, was {wide} × {high}",
            size.0, size.1
        ));
    }
    let (differs, count, place) = difference(&before, now);
    if count <= MOST_OTHERS {
        return None;
    }
    write(&differs_at, &differs);
    let [left, top, right, bottom] = place;
    looks_so(format!(
        "{count} pixels differ, from ({left}, {top}) to ({right}, {bottom})\n  difference: {}\n  stored: {}",
        differs_at.display(),
        stored.display()
    ))
}

/// The picture as it looks now, faint, with what differs in red; how many pixels that are, and the box around them.
fn difference(before: &RgbImage, now: &RgbImage) -> (RgbImage, usize, [u32; 4]) {
    let mut out = now.clone();
    let (mut count, mut place) = (0, [u32::MAX, u32::MAX, 0, 0]);
    for (x, y, pixel) in out.enumerate_pixels_mut() {
        if apart(*before.get_pixel(x, y), *pixel) > SAME {
            count += 1;
            place = [
                place[0].min(x),
                place[1].min(y),
                place[2].max(x),
                place[3].max(y),
            ];
            *pixel = Rgb([255, 0, 60]);
        } else {
            *pixel = Rgb(pixel.0.map(|c| 96 + c / 4));
        }
    }
    (out, count, place)
}

/// How far two colours are apart in the channel where they are farthest.
fn apart(a: Rgb<u8>, b: Rgb<u8>) -> u8 {
    let channels = a.0.into_iter().zip(b.0);
    channels.map(|(a, b)| a.abs_diff(b)).max().unwrap_or(0)
}

/// Writes a picture with a palette, which takes a third of what its colours take.
fn write(path: &Path, picture: &RgbImage) {
    let (palette, pixels) = with_palette(picture);
    fs::create_dir_all(path.parent().expect("in a folder")).expect("a folder");
    let file = BufWriter::new(File::create(path).expect("a file"));
    let mut encoder = png::Encoder::new(file, picture.width(), picture.height());
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_palette(palette.concat());
    encoder.set_compression(png::Compression::High);
    // Neighbours in a palette are not alike, so that differences of pixels say nothing.
    encoder.set_filter(png::Filter::NoFilter);
    let mut writer = encoder.write_header().expect("a head");
    writer.write_image_data(&pixels).expect("the pixels");
    writer.finish().expect("it is written");
}

/// So many of the commonest colours stay as they are: surfaces, letters, wires.
const EXACT: usize = 64;

/// At most 256 colours for a picture, and the colour of each pixel. Of the mixed colours at edges those that are
/// nearly alike become one.
fn with_palette(picture: &RgbImage) -> (Vec<[u8; 3]>, Vec<u8>) {
    let mut counts: HashMap<Rgb<u8>, usize> = HashMap::new();
    for pixel in picture.pixels() {
        *counts.entry(*pixel).or_default() += 1;
    }
    let mut colours: Vec<_> = counts.into_iter().collect();
    colours.sort_by_key(|(colour, count)| (std::cmp::Reverse(*count), colour.0));
    let nearest = |palette: &[Rgb<u8>], colour: Rgb<u8>| {
        let each = palette.iter().enumerate();
        each.map(|(k, c)| (apart(*c, colour), k)).min()
    };
    let palette = (0..=SAME)
        .map(|alike| {
            let mut palette: Vec<Rgb<u8>> = Vec::new();
            for (k, (colour, _)) in colours.iter().enumerate() {
                if k < EXACT || nearest(&palette, *colour).is_none_or(|(d, _)| d > alike) {
                    palette.push(*colour);
                }
            }
            palette
        })
        .find(|palette| palette.len() <= 256)
        .expect("few colours are farther apart than what counts as the same");
    let index: HashMap<Rgb<u8>, u8> = colours
        .iter()
        .map(|(colour, _)| {
            let (_, k) = nearest(&palette, *colour).expect("a colour");
            (*colour, k as u8)
        })
        .collect();
    let pixels = picture.pixels().map(|p| index[p]).collect();
    (palette.into_iter().map(|c| c.0).collect(), pixels)
}
