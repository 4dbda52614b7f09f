//! A file as it is written, before anything is checked but its shape.

use super::error::FileFault;
use super::place::At;
use super::size::Size;
use crate::length::Unit;
use serde::Deserialize;
use toml::Spanned;

/// A field that may be left out, with its place.
pub(super) type Field<T> = Option<Spanned<T>>;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawFile {
    pub unit: Option<RawUnit>,
    #[serde(default)]
    pub common: RawRow,
    #[serde(default)]
    pub insert: Vec<Spanned<RawRow>>,
    #[serde(default)]
    pub wire_drill: Vec<Spanned<RawDrill>>,
}

/// The unit of bare numbers.
#[derive(Clone, Copy, Deserialize)]
pub(super) enum RawUnit {
    #[serde(rename = "in")]
    Inch,
    #[serde(rename = "mm")]
    Millimetre,
}

impl From<RawUnit> for Unit {
    fn from(unit: RawUnit) -> Unit {
        match unit {
            RawUnit::Inch => Unit::Inch,
            RawUnit::Millimetre => Unit::Millimetre,
        }
    }
}

#[derive(Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawRow {
    pub family: Field<String>,
    pub internal: Field<Vec<String>>,
    pub outside: Field<String>,
    pub length: Field<Size>,
    pub hole: Field<[Size; 2]>,
    pub drill: Field<String>,
    pub countersink: Field<[Size; 2]>,
    pub countersink_angle_deg: Field<[f64; 2]>,
    pub full_thread: Field<Size>,
    pub set_below: Field<[Size; 2]>,
    pub keys: Field<i64>,
    pub shear_area_in2: Field<f64>,
    pub shear_area_mm2: Field<f64>,
    pub source: Field<String>,
    pub confidence: Field<String>,
    pub notes: Option<Vec<String>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawDrill {
    pub thread: Spanned<String>,
    pub drill: Spanned<String>,
    pub source: Spanned<String>,
    #[serde(default)]
    pub confidence: Field<String>,
}

impl RawRow {
    /// The row with what the whole file shares, where it does not say itself. Notes add up.
    pub fn over(self, common: &RawRow) -> RawRow {
        let RawRow { notes, .. } = &self;
        let all = common.notes.iter().chain(notes).flatten().cloned();
        let notes = Some(all.collect());
        macro_rules! or_common {
            ($($field:ident),+) => {
                RawRow { $($field: self.$field.or_else(|| common.$field.clone()),)+ notes }
            };
        }
        // Two units of one figure stand for each other.
        let area = self.shear_area_in2.is_some() || self.shear_area_mm2.is_some();
        let own = (self.shear_area_in2.clone(), self.shear_area_mm2.clone());
        let mut row = or_common!(
            family,
            internal,
            outside,
            length,
            hole,
            drill,
            countersink,
            countersink_angle_deg,
            full_thread,
            set_below,
            keys,
            shear_area_in2,
            shear_area_mm2,
            source,
            confidence
        );
        if area {
            (row.shear_area_in2, row.shear_area_mm2) = own;
        }
        row
    }
}

pub(super) fn read(text: &str) -> Result<RawFile, At<FileFault>> {
    toml::from_str(text).map_err(|error| {
        let message = error.message().replace('\n', ", ");
        (error.span().unwrap_or(0..0), FileFault::Shape { message })
    })
}
