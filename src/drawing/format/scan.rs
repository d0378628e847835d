//! One pass over the pairs of a file: header, layers, blocks and entities.
//!
//! The structure is followed loosely: a missing ENDSEC, ENDBLK or SEQEND is put right by what comes
//! next, keywords count in any case, sections without use for a profile are passed over.

mod annotations;
mod entities;
mod tables;

use super::annotations::{Annotations, own_factor};
use super::entity::{Entity, Shape};
use super::group_codes::Reader;
use super::noticed::{Fault, Noticed};
use super::record::{Record, drop_groups, first_text};
use crate::progress::{Cancelled, Progress};
use encoding_rs::Encoding;
use std::collections::{BTreeMap, HashMap};
use std::ops::Range;
use std::sync::Arc;

/// Pairs between two looks at the progress handle.
const PAIRS_A_STEP: usize = 1 << 12;
/// Share of the whole reading that the scan takes, for the progress bar.
pub const SHARE: f64 = 0.7;

/// Header variables that matter.
#[derive(Debug, Clone, Default)]
pub struct Header {
    /// `$ACADVER`.
    pub version: String,
    /// `$DWGCODEPAGE`.
    pub codepage: String,
    /// `$INSUNITS`; `None` when it is missing, which is not the same as 0.
    pub units: Option<i64>,
    /// `$MEASUREMENT`: 0 English, 1 metric.
    pub measurement: Option<i64>,
    /// `$DIMLFAC`, for dimensions whose style the file does not hold.
    pub dimension_factor: Option<f64>,
}

/// What the file says about a layer.
#[derive(Debug, Clone)]
pub struct LayerEntry {
    /// As written.
    pub name: Arc<str>,
    /// Colour number.
    pub colour: i16,
    /// Hides all that lies on it, insertions as a whole.
    pub frozen: bool,
    /// Hides what lies on it.
    pub off: bool,
    /// Its line type is dashed and dotted.
    pub dash_dot: bool,
}

impl LayerEntry {
    /// Neither off nor frozen.
    pub fn visible(&self) -> bool {
        !self.frozen && !self.off
    }
}

/// A block by name.
#[derive(Debug, Clone, Default)]
pub struct Block {
    /// As written.
    pub name: String,
    /// Its base point; `None` while only referred to.
    pub base: Option<[f64; 3]>,
    /// Its entities in [`Scan::entities`].
    pub entities: Range<usize>,
    /// Entities in it that are no curves, by type.
    pub skipped: usize,
    /// Where texts stand in it.
    pub texts: Vec<[f64; 3]>,
    /// What it says.
    pub annotations: Annotations,
}

/// All that was found.
#[derive(Debug, Default)]
pub struct Scan {
    /// Header variables.
    pub header: Header,
    /// Layers in order of appearance; the first is "0".
    pub layers: Vec<LayerEntry>,
    /// Blocks in order of appearance.
    pub blocks: Vec<Block>,
    /// Entities of blocks and of the model space.
    pub entities: Vec<Entity>,
    /// Those of the model space.
    pub model: Vec<usize>,
    /// Other entities of the model space, by type.
    pub skipped: BTreeMap<String, usize>,
    /// Where texts stand in the model space.
    pub texts: Vec<[f64; 3]>,
    /// What the model space says.
    pub annotations: Annotations,
    /// What the layouts (paper space) say.
    pub layouts: Annotations,
    /// Blocks inserted in layouts, for what they say.
    pub layout_blocks: Vec<u32>,
    /// Whether there was an ENTITIES section.
    pub has_entities_section: bool,
    /// Pairs in the file.
    pub pairs: usize,
}

#[derive(Debug, Clone, Copy, PartialEq, Default)]
enum Section {
    #[default]
    None,
    Tables,
    Blocks,
    Entities,
    Other,
}

/// What the entities that follow belong to.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
enum Parent {
    #[default]
    None,
    /// A POLYLINE whose vertices are wanted.
    Polyline { entity: usize },
    /// A POLYLINE or INSERT whose followers are passed over.
    Ignored,
}

struct Scanner<'a, 'f> {
    out: Scan,
    noticed: &'f mut Noticed,
    section: Section,
    block: Option<usize>,
    parent: Parent,
    /// Places of numbers of one entity whose spelling was repaired.
    repaired: Vec<usize>,
    layer_ids: HashMap<Vec<u8>, u32>,
    layer_names: HashMap<String, u32>,
    block_ids: HashMap<Vec<u8>, u32>,
    /// Line types of the table, in capitals: is it dashed and dotted?
    line_types: HashMap<Vec<u8>, bool>,
    /// Dimension styles of the table, in capitals: by what they multiply what is drawn.
    dimension_styles: HashMap<Vec<u8>, f64>,
    /// The factor among the extended data of the record that is being finished.
    own_factor: Option<f64>,
    /// Bytes of texts that are kept so far.
    text_bytes: usize,
    encoding: Option<&'static Encoding>,
    ended: bool,
    /// The record that is being collected; its memory serves the next one too.
    record: Record<'a>,
    collecting: bool,
}

/// Reads the pairs of a file without a byte order mark.
pub fn scan(bytes: &[u8], noticed: &mut Noticed, progress: &Progress) -> Result<Scan, Cancelled> {
    let mut reader = Reader::new(bytes, progress);
    let mut scanner = Scanner {
        out: Scan::default(),
        noticed,
        section: Section::None,
        block: None,
        parent: Parent::None,
        repaired: Vec::new(),
        layer_ids: HashMap::new(),
        layer_names: HashMap::new(),
        block_ids: HashMap::new(),
        line_types: HashMap::new(),
        dimension_styles: HashMap::new(),
        own_factor: None,
        text_bytes: 0,
        encoding: None,
        ended: false,
        record: Record::default(),
        collecting: false,
    };
    scanner.layer(b"0");
    while let Some(pair) = reader.next_pair() {
        scanner.out.pairs += 1;
        if scanner.out.pairs.is_multiple_of(PAIRS_A_STEP) {
            progress.step(SHARE * reader.fraction())?;
        }
        if pair.code != 0 {
            if scanner.collecting {
                scanner.record.pairs.push(pair);
            }
            continue;
        }
        scanner.finish_record(false);
        scanner.record.begin(&pair);
        let word = scanner.record.word.as_slice();
        if word == b"EOF" {
            scanner.ended = true;
            break;
        }
        // What no one will read need not be collected.
        scanner.collecting =
            scanner.section != Section::Other || word == b"SECTION" || word == b"ENDSEC";
    }
    progress.step(SHARE * reader.fraction())?;
    scanner.finish_record(!scanner.ended);
    scanner.end_parent();
    scanner.end_block();
    for &at in &reader.lost {
        scanner.noticed.add(Fault::Damaged, None, Some(at));
    }
    scanner
        .noticed
        .add_uncounted_places(Fault::Damaged, reader.lost_count - reader.lost.len());
    if !scanner.ended {
        scanner.noticed.add(Fault::CutOff, None, None);
    }
    Ok(scanner.out)
}

impl Scanner<'_, '_> {
    fn finish_record(&mut self, cut_off: bool) {
        if !std::mem::take(&mut self.collecting) {
            return;
        }
        let mut record = std::mem::take(&mut self.record);
        if record.word == b"DIMENSION" {
            self.own_factor = own_factor(&record.pairs);
        }
        drop_groups(&mut record.pairs);
        match record.word.as_slice() {
            b"SECTION" => self.begin_section(&record),
            b"ENDSEC" => {
                self.end_parent();
                self.end_block();
                self.section = Section::None;
            }
            b"BLOCK" if self.section == Section::Blocks => self.begin_block(&record),
            b"ENDBLK" if self.section == Section::Blocks => {
                self.end_parent();
                self.end_block();
            }
            b"LAYER" if self.section == Section::Tables => self.layer_entry(&record),
            b"DIMSTYLE" if self.section == Section::Tables => self.dimension_style(&record),
            b"LTYPE" if self.section == Section::Tables => self.line_type(&record),
            _ if self.section == Section::Tables || self.section == Section::Other => {}
            b"VERTEX" | b"SEQEND" | b"ATTRIB" if self.parent != Parent::None => {
                self.follower(&record);
            }
            _ => self.entity(&record, cut_off),
        }
        self.record = record;
    }

    fn begin_section(&mut self, record: &Record<'_>) {
        self.end_parent();
        self.end_block();
        let name = first_text(&record.pairs, 2).to_ascii_uppercase();
        self.section = match name.as_slice() {
            b"TABLES" => Section::Tables,
            b"BLOCKS" => Section::Blocks,
            b"ENTITIES" => {
                self.out.has_entities_section = true;
                Section::Entities
            }
            b"HEADER" => {
                self.header(&record.pairs);
                Section::Other
            }
            _ => Section::Other,
        };
    }
}

impl Scan {
    /// Curves and insertions of the model space, and all other entities there, by type.
    pub fn counts(&self) -> (BTreeMap<String, usize>, BTreeMap<String, usize>) {
        let mut read = BTreeMap::new();
        let mut skipped = self.skipped.clone();
        for &i in &self.model {
            let entity = &self.entities[i];
            let list = match entity.shape {
                // Listed as skipped when it was scanned.
                Shape::Edges(_) => continue,
                Shape::Point(_) => &mut skipped,
                _ => &mut read,
            };
            *list.entry(entity.kind.word().to_owned()).or_default() += 1;
        }
        (read, skipped)
    }
}
