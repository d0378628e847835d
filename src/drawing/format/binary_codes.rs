//! How the binary form stores the value of each group code.

/// How a binary file stores the value of a group code.
pub enum BinaryKind {
    Text,
    Real,
    Whole1,
    Whole2,
    Whole4,
    Whole8,
    Chunk,
}

impl BinaryKind {
    /// By the table of group code ranges in the DXF reference.
    pub fn of(code: i32, code_bytes: u8) -> Option<Self> {
        Some(match code {
            0..=9
            | 100..=102
            | 105
            | 300..=309
            | 320..=369
            | 390..=399
            | 410..=419
            | 430..=439
            | 470..=481
            | 999..=1003
            | 1005..=1009 => Self::Text,
            10..=59 | 110..=149 | 210..=239 | 460..=469 | 1010..=1059 => Self::Real,
            60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => Self::Whole2,
            90..=99 | 420..=429 | 440..=459 | 1071 => Self::Whole4,
            160..=169 => Self::Whole8,
            290..=299 => {
                if code_bytes == 2 {
                    Self::Whole1
                } else {
                    Self::Whole2
                }
            }
            310..=319 | 1004 => Self::Chunk,
            _ => return None,
        })
    }
}
