//! The deserialized file, before validation.

use super::error::FileProblem;
use super::position::Located;
use super::size::Size;
use crate::length::Unit;
use serde::Deserialize;
use toml::Spanned;

/// An optional field with its position.
pub(super) type OptionalField<T> = Option<Spanned<T>>;

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

/// The unit of plain numbers.
#[derive(Clone, Copy, Deserialize)]
pub(super) enum RawUnit {
    #[serde(rename = "in")]
    Inch,
    #[serde(rename = "mm")]
    Millimeter,
}

impl From<RawUnit> for Unit {
    fn from(unit: RawUnit) -> Unit {
        match unit {
            RawUnit::Inch => Unit::Inch,
            RawUnit::Millimeter => Unit::Millimeter,
        }
    }
}

#[derive(Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawRow {
    pub family: OptionalField<String>,
    pub internal: OptionalField<Vec<String>>,
    pub outside: OptionalField<String>,
    pub length: OptionalField<Size>,
    pub hole: OptionalField<[Size; 2]>,
    pub drill: OptionalField<String>,
    pub countersink: OptionalField<[Size; 2]>,
    pub countersink_angle_deg: OptionalField<[f64; 2]>,
    pub full_thread: OptionalField<Size>,
    pub set_below: OptionalField<[Size; 2]>,
    pub keys: OptionalField<i64>,
    pub shear_area_in2: OptionalField<f64>,
    pub shear_area_mm2: OptionalField<f64>,
    pub source: OptionalField<String>,
    pub confidence: OptionalField<String>,
    pub notes: Option<Vec<String>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawDrill {
    pub thread: Spanned<String>,
    pub drill: Spanned<String>,
    pub source: Spanned<String>,
    #[serde(default)]
    pub confidence: OptionalField<String>,
}

impl RawRow {
    /// Fills missing fields from `common`. Notes of both are kept.
    pub fn with_defaults(self, common: &RawRow) -> RawRow {
        let RawRow { notes, .. } = &self;
        let all = common.notes.iter().chain(notes).flatten().cloned();
        let notes = Some(all.collect());
        macro_rules! or_common {
            ($($field:ident),+) => {
                RawRow { $($field: self.$field.or_else(|| common.$field.clone()),)+ notes }
            };
        }
        // An area in one unit must not be joined by the common area in the other.
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

pub(super) fn parse(text: &str) -> Result<RawFile, Located<FileProblem>> {
    toml::from_str(text).map_err(|error| {
        let message = error.message().replace('\n', ", ");
        (
            error.span().unwrap_or(0..0),
            FileProblem::Syntax { message },
        )
    })
}
