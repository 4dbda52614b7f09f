//! What belongs to this notebook alone: its identity, the person who writes, how lengths are shown.

use crate::border::{In, Out, record, record_out, words};
use crate::error::NotebookError;
use crate::ids::DeviceId;
use crate::length::LengthUnit;
use crate::notebook::Notebook;
use holebook_core::drill::{Drawer, Kind};
use holebook_core::notebook as core;

record! {
    /// A notebook's settings. They stay on this device, but for its name, which is an entry of the journal too.
    Settings = core::Settings {
        /// The person whose name new entries carry; empty until it is set.
        person: String,
        /// What people call this device; empty until it is set.
        device_name: String,
        /// The unit in which lengths are shown, and read where a bare number is typed.
        unit: LengthUnit,
        /// Whether photos keep the place where they were taken.
        keep_location: bool,
        /// The kinds of drills that are at hand here; none until somebody says.
        #[uniffi(default = None)]
        drawer: Option<Vec<DrillKind>>,
    }
}

words! {
    /// A kind of drill: one row of a drawer.
    DrillKind = Kind {
        /// Inch fractions, 1/64 to 2 in by 1/64.
        Fractional,
        /// Letter drills, A to Z.
        Letter,
        /// Number drills, 1 to 80.
        Number,
        /// Metric drills, by tenths of a millimetre up to 14 mm.
        MetricTenth,
        /// The metric sizes between them, by half-tenths.
        MetricHalfTenth,
    }
}

impl Out for Drawer {
    type Face = Vec<DrillKind>;
    fn out(self) -> Vec<DrillKind> {
        self.kinds().map(Out::out).collect()
    }
}

impl In<Drawer> for Vec<DrillKind> {
    fn inward(self) -> Result<Drawer, NotebookError> {
        let kinds: Vec<Kind> = self.inward()?;
        Ok(Drawer::of(&kinds))
    }
}

#[uniffi::export]
impl Notebook {
    /// The settings. Blocks.
    pub fn settings(&self) -> Result<Settings, NotebookError> {
        self.call("settings", |open| Ok(open.settings()?.out()))
    }

    /// Sets the settings. Blocks until they are on the disk. Fails with `Unfit` where a name is too long.
    pub fn set_settings(&self, settings: Settings) -> Result<(), NotebookError> {
        self.call("set_settings", |open| {
            Ok(open.set_settings(&settings.inward()?)?)
        })
    }

    /// The identity that new entries are written under. It changes where the notebook finds that it was copied. Blocks.
    pub fn device(&self) -> Result<DeviceId, NotebookError> {
        self.call("device", |open| Ok(open.device()?.out()))
    }
}
