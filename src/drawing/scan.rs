//! One pass over the pairs of a file: header, layers, blocks, and every entity on its way through
//! [`super::clean`] and [`super::decode`].
//!
//! The structure is followed loosely: a missing ENDSEC, ENDBLK or SEQEND is put right by what comes
//! next, keywords count in any case, sections without use for a profile are passed over.

use super::clean::{Canonical, Rejected, Rejection};
use super::decode::decode;
use super::entity::{Entity, Kind, Shape};
use super::findings::{Fault, Findings};
use super::group_codes::{Pair, Reader};
use super::hints::{is_dash_dot_name, is_dash_dot_pattern};
use super::progress::{Cancelled, Progress};
use super::record::{Common, Record, drop_groups, first_text, first_whole, is_mesh};
use super::text;
use encoding_rs::Encoding;
use std::collections::{BTreeMap, HashMap};
use std::ops::Range;
use std::sync::Arc;

/// Bytes of canonical pairs after which a batch goes to the decoder.
const BATCH_BYTES: usize = 1 << 19;
/// Pairs between two looks at the progress handle.
const PAIRS_A_STEP: usize = 1 << 12;
/// Places of texts that are kept of one block or of the model space.
const KEPT_TEXTS: usize = 10_000;
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
    /// A POLYLINE whose vertices are wanted: bytes of the batch before it, its entity.
    Polyline { start: usize, entity: usize },
    /// A POLYLINE or INSERT whose followers are passed over.
    Ignored,
}

struct Scanner<'a, 'f> {
    out: Scan,
    findings: &'f mut Findings,
    section: Section,
    block: Option<usize>,
    parent: Parent,
    canonical: Canonical,
    layer_ids: HashMap<Vec<u8>, u32>,
    layer_names: HashMap<String, u32>,
    block_ids: HashMap<Vec<u8>, u32>,
    /// Line types of the table, in capitals: is it dashed and dotted?
    line_types: HashMap<Vec<u8>, bool>,
    encoding: Option<&'static Encoding>,
    ended: bool,
    record: Option<Record<'a>>,
}

/// Reads the pairs of a file without a byte order mark.
pub fn scan(bytes: &[u8], findings: &mut Findings, progress: &Progress) -> Result<Scan, Cancelled> {
    let mut reader = Reader::new(bytes);
    let mut scanner = Scanner {
        out: Scan::default(),
        findings,
        section: Section::None,
        block: None,
        parent: Parent::None,
        canonical: Canonical::default(),
        layer_ids: HashMap::new(),
        layer_names: HashMap::new(),
        block_ids: HashMap::new(),
        line_types: HashMap::new(),
        encoding: None,
        ended: false,
        record: None,
    };
    scanner.layer(b"0");
    while let Some(pair) = reader.next_pair() {
        scanner.out.pairs += 1;
        if scanner.out.pairs.is_multiple_of(PAIRS_A_STEP) {
            progress.step(SHARE * reader.fraction())?;
        }
        if pair.code != 0 {
            if let Some(record) = &mut scanner.record {
                record.pairs.push(pair);
            }
            continue;
        }
        scanner.finish_record(false);
        let word = pair.value.text().to_ascii_uppercase();
        if word == b"EOF" {
            scanner.ended = true;
            break;
        }
        // What no one will read need not be collected.
        let wanted = scanner.section != Section::Other || word == b"SECTION" || word == b"ENDSEC";
        scanner.record = wanted.then(|| Record {
            word,
            at: pair.at,
            pairs: Vec::new(),
        });
    }
    scanner.finish_record(!scanner.ended);
    scanner.end_parent();
    scanner.end_block();
    scanner.flush();
    for &at in &reader.lost {
        scanner.findings.add(Fault::Damaged, None, Some(at));
    }
    scanner
        .findings
        .add_uncounted_places(Fault::Damaged, reader.lost_count - reader.lost.len());
    if !scanner.ended {
        scanner.findings.add(Fault::CutOff, None, None);
    }
    Ok(scanner.out)
}

impl Scanner<'_, '_> {
    fn finish_record(&mut self, cut_off: bool) {
        let Some(mut record) = self.record.take() else {
            return;
        };
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
            b"LTYPE" if self.section == Section::Tables => {
                let name = first_text(&record.pairs, 2);
                let dash_dot = is_dash_dot_pattern(&record.pairs) || is_dash_dot_name(name);
                self.line_types.insert(name.to_ascii_uppercase(), dash_dot);
            }
            _ if self.section == Section::Tables || self.section == Section::Other => {}
            b"VERTEX" | b"SEQEND" | b"ATTRIB" if self.parent != Parent::None => {
                self.follower(&record);
            }
            _ => self.entity(&record, cut_off),
        }
        if self.canonical.bytes.len() > BATCH_BYTES
            && !matches!(self.parent, Parent::Polyline { .. })
        {
            self.flush();
        }
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

    fn header(&mut self, pairs: &[Pair<'_>]) {
        let mut variable: &[u8] = b"";
        for pair in pairs {
            if pair.code == 9 {
                variable = pair.value.text();
                continue;
            }
            let text = || String::from_utf8_lossy(pair.value.text()).into_owned();
            let header = &mut self.out.header;
            match variable.to_ascii_uppercase().as_slice() {
                b"$ACADVER" => header.version = text(),
                b"$DWGCODEPAGE" => header.codepage = text(),
                b"$INSUNITS" => header.units = pair.value.whole(),
                b"$MEASUREMENT" => header.measurement = pair.value.whole(),
                _ => {}
            }
        }
    }

    fn decoded(&mut self, name: &[u8]) -> String {
        let header = &self.out.header;
        let encoding = *self
            .encoding
            .get_or_insert_with(|| text::encoding(&header.codepage, &header.version));
        text::decode(name, encoding)
    }

    /// Number of a layer; one that no table names is visible.
    fn layer(&mut self, name: &[u8]) -> u32 {
        if let Some(&id) = self.layer_ids.get(name) {
            return id;
        }
        let text = self.decoded(name);
        let layers = &mut self.out.layers;
        let id = *self
            .layer_names
            .entry(text.to_lowercase())
            .or_insert_with(|| {
                layers.push(LayerEntry {
                    name: text.into(),
                    colour: 7,
                    frozen: false,
                    off: false,
                    dash_dot: false,
                });
                (layers.len() - 1) as u32
            });
        self.layer_ids.insert(name.to_vec(), id);
        id
    }

    /// Bits of code 70 (DXF reference): 1 frozen, 4 locked; a negative colour is off.
    fn layer_entry(&mut self, record: &Record<'_>) {
        let id = self.layer(first_text(&record.pairs, 2)) as usize;
        let flags = first_whole(&record.pairs, 70).unwrap_or(0);
        let colour = first_whole(&record.pairs, 62).unwrap_or(7);
        let dash_dot = self.is_dash_dot(first_text(&record.pairs, 6));
        let layer = &mut self.out.layers[id];
        layer.frozen = flags & 1 != 0;
        layer.off = colour < 0;
        layer.colour = i16::try_from(colour.abs()).unwrap_or(7);
        layer.dash_dot = dash_dot;
    }

    /// By the table of line types, or by the name alone where the table lacks it.
    fn is_dash_dot(&self, line_type: &[u8]) -> bool {
        if line_type.is_empty() {
            return false;
        }
        let known = self.line_types.get(&line_type.to_ascii_uppercase());
        known
            .copied()
            .unwrap_or_else(|| is_dash_dot_name(line_type))
    }

    /// Keeps where a text stands: a rectangle with texts in it may be a border or a title block.
    fn note_text(&mut self, record: &Record<'_>) {
        let coordinate = |code| {
            let pair = record.pairs.iter().find(|p| p.code == code);
            pair.and_then(|p| p.value.number().ok()).map(|n| n.value)
        };
        let (Some(x), Some(y)) = (coordinate(10), coordinate(20)) else {
            return;
        };
        let texts = match self.block {
            Some(block) => &mut self.out.blocks[block].texts,
            None => &mut self.out.texts,
        };
        if texts.len() < KEPT_TEXTS {
            texts.push([x, y, 0.0]);
        }
    }

    /// Number of a block; names count in any case.
    fn block_id(&mut self, name: &[u8]) -> u32 {
        let key = name.to_ascii_lowercase();
        if let Some(&id) = self.block_ids.get(&key) {
            return id;
        }
        let id = self.out.blocks.len() as u32;
        let name = self.decoded(name);
        self.out.blocks.push(Block {
            name,
            ..Block::default()
        });
        self.block_ids.insert(key, id);
        id
    }

    fn begin_block(&mut self, record: &Record<'_>) {
        self.end_parent();
        self.end_block();
        let id = self.block_id(first_text(&record.pairs, 2)) as usize;
        let coordinate = |code| {
            let pair = record.pairs.iter().find(|p| p.code == code);
            pair.and_then(|p| p.value.number().ok())
                .map_or(0.0, |n| n.value)
        };
        let begin = self.out.entities.len();
        let block = &mut self.out.blocks[id];
        block.base = Some([coordinate(10), coordinate(20), coordinate(30)]);
        block.entities = begin..begin;
        self.block = Some(id);
    }

    fn end_block(&mut self) {
        if let Some(id) = self.block.take() {
            self.out.blocks[id].entities.end = self.out.entities.len();
        }
    }

    fn entity(&mut self, record: &Record<'_>, cut_off: bool) {
        self.end_parent();
        if self.section == Section::Blocks && self.block.is_none() {
            return;
        }
        let in_model = self.section != Section::Blocks;
        let common = Common::of(&record.pairs);
        if in_model && common.paper {
            self.parent = Parent::Ignored;
            self.findings.add(Fault::PaperSpace, None, Some(record.at));
            return;
        }
        if self.section == Section::None {
            self.findings
                .add(Fault::OutsideSection, None, Some(record.at));
        }
        let Some(kind) = Kind::of(&record.word).filter(|&k| !is_mesh(k, &record.pairs)) else {
            self.parent = Parent::Ignored;
            self.skip(&record.word);
            if matches!(record.word.as_slice(), b"TEXT" | b"MTEXT" | b"ATTDEF") {
                self.note_text(record);
            }
            return;
        };
        let block = match kind {
            Kind::Insert => self.block_id(first_text(&record.pairs, 2)),
            _ => 0,
        };
        let start = self.canonical.bytes.len();
        let number = self.out.entities.len() as u64 + 1;
        let added = if cut_off && matches!(kind, Kind::LwPolyline | Kind::Polyline | Kind::Spline) {
            // Some of its points may be gone with the rest of the file.
            Err(Rejected {
                why: Rejection::Incomplete,
                at: record.at,
            })
        } else {
            self.canonical
                .add(kind, number, block, record.at, &record.pairs)
        };
        if let Err(rejected) = added {
            self.parent = Parent::Ignored;
            self.reject(&record.word, rejected);
            return;
        }
        let layer = self.layer(common.layer);
        let dash_dot = match common.line_type {
            b"" => None,
            name if name.eq_ignore_ascii_case(b"BYLAYER") => None,
            name => Some(self.is_dash_dot(name)),
        };
        let entity = self.out.entities.len();
        self.out.entities.push(Entity {
            kind,
            layer,
            colour: common.colour,
            at: record.at,
            invisible: common.invisible,
            dash_dot,
            shape: None,
        });
        if in_model {
            self.out.model.push(entity);
        }
        self.parent = match kind {
            Kind::Polyline => Parent::Polyline { start, entity },
            Kind::Insert => Parent::Ignored,
            _ => Parent::None,
        };
    }

    fn follower(&mut self, record: &Record<'_>) {
        if record.word == b"SEQEND" {
            self.end_parent();
            return;
        }
        if record.word == b"ATTRIB" {
            self.note_text(record);
        }
        let Parent::Polyline { start, entity } = self.parent else {
            return;
        };
        if record.word != b"VERTEX" {
            return;
        }
        if let Err(rejected) = self.canonical.add_vertex(record.at, &record.pairs) {
            // A curve with a vertex missing is another curve: all of it goes.
            self.canonical.bytes.truncate(start);
            self.out.entities.truncate(entity);
            if self.block.is_none() {
                self.out.model.pop();
            }
            self.parent = Parent::Ignored;
            self.reject(b"POLYLINE", rejected);
        }
    }

    fn end_parent(&mut self) {
        if let Parent::Polyline { .. } = self.parent {
            self.canonical.end_vertices();
        }
        self.parent = Parent::None;
    }

    fn skip(&mut self, word: &[u8]) {
        if let Some(block) = self.block {
            self.out.blocks[block].skipped += 1;
        } else {
            *self
                .out
                .skipped
                .entry(String::from_utf8_lossy(word).into_owned())
                .or_default() += 1;
        }
    }

    fn reject(&mut self, word: &[u8], rejected: Rejected) {
        let fault = match rejected.why {
            Rejection::Unreadable => Fault::UnreadableNumber,
            Rejection::NotFinite => Fault::NotFinite,
            Rejection::Incomplete => Fault::Incomplete,
        };
        self.findings.add(fault, None, Some(rejected.at));
        if self.block.is_none() {
            self.skip(word);
        }
    }

    fn flush(&mut self) {
        if self.canonical.bytes.is_empty() {
            return;
        }
        for (number, shape) in decode(&self.canonical.bytes) {
            let index = usize::try_from(number).unwrap_or(0).wrapping_sub(1);
            if let Some(entity) = self.out.entities.get_mut(index) {
                entity.shape = Some(shape);
            }
        }
        for &at in &self.canonical.repaired {
            self.findings.add(Fault::RepairedNumber, None, Some(at));
        }
        self.canonical = Canonical::default();
    }
}

impl Scan {
    /// Entities of the model space that were decoded, and those that were not, by type.
    pub fn counts(&self) -> (BTreeMap<String, usize>, BTreeMap<String, usize>) {
        let mut read = BTreeMap::new();
        let mut skipped = self.skipped.clone();
        for &i in &self.model {
            let entity = &self.entities[i];
            let list = match entity.shape {
                Some(Shape::Point(_)) | None => &mut skipped,
                Some(_) => &mut read,
            };
            *list.entry(entity.kind.word().to_owned()).or_default() += 1;
        }
        (read, skipped)
    }
}
