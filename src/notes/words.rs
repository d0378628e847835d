//! The words that drawings use for thickness, quantity, material and roughness, in English and German, as their writers set them.

pub(super) const THICKNESS: [&str; 11] = [
    "dicke",
    "blechdicke",
    "plattendicke",
    "materialdicke",
    "materialstärke",
    "blechstärke",
    "plattenstärke",
    "werkstückdicke",
    "thickness",
    "thk",
    "thick",
];
/// Of them, the words of a language that drafts in millimetres.
pub(super) const GERMAN_THICKNESS: [&str; 8] = [
    "dicke",
    "blechdicke",
    "plattendicke",
    "materialdicke",
    "materialstärke",
    "blechstärke",
    "plattenstärke",
    "werkstückdicke",
];
/// What has the thickness, before the word.
pub(super) const OF_WHAT: [&str; 8] = [
    "material",
    "plate",
    "sheet",
    "stock",
    "blank",
    "part",
    "workpiece",
    "total",
];
pub(super) const PIECES: [&str; 10] = [
    "stück", "stueck", "stk", "stck", "off", "pcs", "pc", "pieces", "piece", "reqd",
];
pub(super) const QUANTITY: [&str; 8] = [
    "qty",
    "quantity",
    "menge",
    "stückzahl",
    "stueckzahl",
    "anzahl",
    "stück",
    "reqd",
];
pub(super) const MATERIAL: [&str; 12] = [
    "material",
    "werkstoff",
    "werkstoffnummer",
    "werkstoffnr",
    "mat",
    "matl",
    "mtl",
    "wst",
    "wnr",
    "rohmaterial",
    "wkst",
    "materialnummer",
];
/// Between the word for material and its designation.
pub(super) const NUMBER_WORDS: [&str; 8] =
    ["nr", "no", "number", "nummer", "spec", "grade", "type", "w"];
/// Words that make a designation one without a label.
pub(super) const METALS: [&str; 20] = [
    "steel",
    "stahl",
    "werkzeugstahl",
    "edelstahl",
    "stainless",
    "ss",
    "sst",
    "aisi",
    "sae",
    "din",
    "al",
    "alu",
    "aluminium",
    "aluminum",
    "tool",
    "kaltarbeitsstahl",
    "warmarbeitsstahl",
    "alloy",
    "rostfrei",
    "plate",
];
/// Words that may follow a material.
pub(super) const AFTER_MATERIAL: [&str; 24] = [
    "steel",
    "stahl",
    "tool",
    "stainless",
    "aluminium",
    "aluminum",
    "alu",
    "plate",
    "platte",
    "blech",
    "sheet",
    "hardened",
    "gehärtet",
    "vergütet",
    "annealed",
    "geglüht",
    "weichgeglüht",
    "rostfrei",
    "edelstahl",
    "werkzeugstahl",
    "hrc",
    "hb",
    "hv",
    "t6",
];
pub(super) const ROUGHNESS_WORDS: [&str; 16] = [
    "surface",
    "finish",
    "roughness",
    "oberfläche",
    "rauheit",
    "rauhigkeit",
    "all",
    "over",
    "allseitig",
    "rundum",
    "edm",
    "erodiert",
    "drahterodiert",
    "mittenrauwert",
    "mittenrauhwert",
    "wire",
];
pub(super) const FILLERS: [&str; 12] = [
    "plate", "platte", "blech", "sheet", "part", "teil", "from", "aus", "of", "made", "mat",
    "flach",
];
/// A text with such a word gives a tolerance for what has none, not for the cut.
pub(super) const GENERAL: [&str; 20] = [
    "unless",
    "otherwise",
    "general",
    "allgemein",
    "allgemeintoleranz",
    "allgemeintoleranzen",
    "iso",
    "din",
    "sofern",
    "freimaß",
    "freimaßtoleranz",
    "freimaßtoleranzen",
    "tolerances",
    "toleranzen",
    "angular",
    "angles",
    "winkel",
    "decimal",
    "place",
    "places",
];
