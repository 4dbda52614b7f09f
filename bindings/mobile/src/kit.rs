//! The kit of some holes, and the order of their work.

use crate::drawer::{Group, Item};
use crate::error::NotebookError;
use crate::ids::*;
use crate::lend::lend;
use crate::length::LengthUnit;
use crate::notebook::Notebook;
use crate::steps::{Step, StepTool};
use holebook_core::hole::kit;
use holebook_core::notebook as core;

lend! {
    holebook_core::hole::kit {
        HoleName,
        Kit,
        KitLine,
        OpenHole,
    }
}

lend! {
    holebook_core::hole::tool_use {
        ToolUse,
    }
}

lend! {
    holebook_core::hole::work_order {
        HardHoles,
    }
}

lend! {
    holebook_core::notebook {
        OrderRun,
        OrderedStep,
        WorkOrder,
    }
}

/// The holes that a kit or an order of the work is for.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum WorkScope {
    /// All castings of the notebook.
    All,
    /// Some castings.
    Castings {
        /// Their ids.
        ids: Vec<CastingId>,
    },
    /// One face.
    Face {
        /// Its id.
        id: FaceId,
    },
}

impl From<WorkScope> for core::WorkScope {
    fn from(scope: WorkScope) -> Self {
        match scope {
            WorkScope::All => Self::All,
            WorkScope::Castings { ids } => Self::Castings(ids),
            WorkScope::Face { id } => Self::Face(id),
        }
    }
}

#[uniffi::export]
impl Notebook {
    /// What the open work on some holes takes, counted against the drawer. Blocks while it reads and
    /// judges these holes. Fails with `NoSuch`.
    pub fn kit(&self, scope: WorkScope) -> Result<Kit, NotebookError> {
        self.call("kit", |open| Ok(open.kit(&scope.into())?))
    }

    /// The same as CSV in UTF-8, lengths in `unit`. A text that a spreadsheet would take for a formula
    /// begins with an apostrophe. Blocks. Fails with `NoSuch`.
    pub fn kit_csv(&self, scope: WorkScope, unit: LengthUnit) -> Result<String, NotebookError> {
        self.call("kit_csv", |open| {
            let rows = kit::csv(&open.kit(&scope.into())?, unit);
            rows.map_err(|error| NotebookError::invalid(error.to_string()))
        })
    }

    /// The same as plain text with a title, lengths in `unit`. Blocks. Fails with `NoSuch`.
    pub fn kit_text(
        &self,
        scope: WorkScope,
        title: String,
        unit: LengthUnit,
    ) -> Result<String, NotebookError> {
        self.call("kit_text", |open| {
            Ok(kit::text(&open.kit(&scope.into())?, &title, unit))
        })
    }

    /// How far drills and taps are worn by what they cut in some holes since they were new or
    /// sharpened, the most worn first: judgment. Blocks. Fails with `NoSuch`.
    pub fn tool_use(&self, scope: WorkScope) -> Result<Vec<ToolUse>, NotebookError> {
        self.call("tool_use", |open| Ok(open.tool_use(&scope.into())?))
    }

    /// Records that a drill or tap is new or sharpened; `tool` is its name in `tool_use`. Blocks until
    /// it is on the disk. Fails with `Invalid` if the name is empty or too long.
    pub fn renew_tool(&self, tool: String) -> Result<EntryId, NotebookError> {
        self.call("renew_tool", |open| Ok(open.renew_tool(&tool)?))
    }

    /// The order of the work on some holes that changes tools least. Nothing is installed before its
    /// face is cut. Blocks while it reads and judges these holes. Fails with `NoSuch`.
    pub fn work_order(
        &self,
        scope: WorkScope,
        hard: HardHoles,
    ) -> Result<WorkOrder, NotebookError> {
        self.call("work_order", |open| {
            Ok(open.work_order(&scope.into(), hard)?)
        })
    }
}
