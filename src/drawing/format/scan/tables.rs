//! Header, layers and line types.

use super::{LayerEntry, Scanner};
use crate::drawing::format::group_codes::Pair;
use crate::drawing::format::hints::{is_dash_dot_name, is_dash_dot_pattern};
use crate::drawing::format::record::{Record, first_text, first_whole};
use crate::drawing::format::text;

impl Scanner<'_, '_> {
    pub(crate) fn header(&mut self, pairs: &[Pair<'_>]) {
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
                b"$DIMLFAC" => {
                    header.dimension_factor = pair.value.number().ok().map(|n| n.value);
                }
                _ => {}
            }
        }
    }

    pub(crate) fn decoded(&mut self, name: &[u8]) -> String {
        let header = &self.out.header;
        let encoding = *self
            .encoding
            .get_or_insert_with(|| text::encoding(&header.codepage, &header.version));
        text::decode(name, encoding)
    }

    /// Number of a layer; one that no table names is visible.
    pub(crate) fn layer(&mut self, name: &[u8]) -> u32 {
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
    pub(crate) fn layer_entry(&mut self, record: &Record<'_>) {
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
    pub(crate) fn is_dash_dot(&mut self, line_type: &[u8]) -> bool {
        if line_type.is_empty() {
            return false;
        }
        let own = || is_dash_dot_name(line_type);
        // Whatever the table says later takes the place of what the name says.
        let known = self.line_types.entry(line_type.to_ascii_uppercase());
        *known.or_insert_with(own)
    }

    /// Whether a line type of the table is dashed and dotted.
    pub(crate) fn line_type(&mut self, record: &Record<'_>) {
        let name = first_text(&record.pairs, 2);
        let dash_dot = is_dash_dot_pattern(&record.pairs) || is_dash_dot_name(name);
        self.line_types.insert(name.to_ascii_uppercase(), dash_dot);
    }
}
