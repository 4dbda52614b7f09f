//! The program's words, as the command line reads them.

use clap::{Args, Parser, Subcommand, ValueEnum};
use holebook_core::length;

/// A notebook for threaded holes in old castings: measure, decide, cut, set, prove.
#[derive(Debug, Parser)]
#[command(name = "holebook", version, disable_help_subcommand = true)]
pub struct CommandLine {
    /// What holds for every command.
    #[command(flatten)]
    pub common: Common,
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What holds for every command.
#[derive(Debug, Args)]
pub struct Common {
    /// Print one JSON value, for scripts, instead of words for people.
    #[arg(long, global = true)]
    pub json: bool,
    /// Show lengths in inches or in millimetres [default: the unit that the thread is made in].
    #[arg(long, global = true, value_name = "UNIT")]
    pub unit: Option<Unit>,
}

/// A unit that lengths are shown in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Unit {
    /// Inches.
    In,
    /// Millimetres.
    Mm,
}

impl From<Unit> for length::Unit {
    fn from(unit: Unit) -> Self {
        match unit {
            Unit::In => Self::Inch,
            Unit::Mm => Self::Millimetre,
        }
    }
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// A thread's sizes and limits, and its tap drill.
    Thread(Thread),
    /// The inserts that give a thread, with drill, tap, countersink and depths.
    Insert(Insert),
}

/// Which thread to show.
#[derive(Debug, Args)]
pub struct Thread {
    /// The thread, as the trade writes it: 3/8-16, 1/4-28 UNF, M10, M10x1.25.
    pub thread: String,
    /// The class of fit, such as 3B or 3A, 4H or 6g, where the thread's series has it [default: 2A and 2B, 6g and 6H].
    #[arg(long)]
    pub class: Vec<String>,
}

/// Which inserts to show.
#[derive(Debug, Args)]
pub struct Insert {
    /// The thread that the bolt has: 3/8-16, M10.
    pub thread: String,
}
