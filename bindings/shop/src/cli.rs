//! The program's words, as the command line reads them.

use clap::{Args, Parser, Subcommand, ValueEnum};
use holebook_core::length;
use std::path::PathBuf;

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
    /// The notebook's folder [default: a folder of its own in this computer's place for program data].
    #[arg(long, global = true, value_name = "DIR")]
    pub notebook: Option<PathBuf>,
    /// Print one JSON value, for scripts, instead of words for people.
    #[arg(long, global = true)]
    pub json: bool,
    /// Show lengths in inches or in millimetres [default: as the notebook is set].
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
    /// Make the invented sample casting's notebook, print its plan and open it in the browser.
    Demo(Screens),
    /// Open the notebook's screens in the browser, and its shelf for the devices that are paired with it.
    Open(Open),
    /// A thread's sizes and limits, and its tap drill.
    Thread(Thread),
    /// Which thread a caliper's reading belongs to, with a pitch gauge's if there is one.
    Identify(Identify),
    /// The drills for a thread's holes, or those nearest to a diameter, from the kinds that are at hand.
    Drill(Drill),
    /// The inserts that give a thread, with drill, tap, countersink and depths; and the shop's own files of them.
    Insert(Insert),
    /// The ways to make one hole hold again, from a JSON file that describes it.
    Remedies(Remedies),
    /// The castings, faces and holes in the notebook.
    List,
    /// A face's sheet, as one HTML page to print.
    Sheet(Sheet),
    /// Bring this notebook and others together over a shelf, such as a folder on a stick; without a name, over every known one.
    Exchange(Exchange),
    /// Write entries and photos as one file, to be handed on by mail, cable or stick.
    Bundle(Bundle),
    /// Pair another device with this notebook: show a code for it, as words and as a picture to scan.
    Pair(Pair),
    /// The devices that are paired with this notebook, with the last exchange of each; and revoking one.
    Devices(Devices),
    /// Check that the notebook is whole: its journal, its photos, and what was worked out from them.
    Verify(Verify),
}

/// How to show the screens.
#[derive(Debug, Args)]
pub struct Screens {
    /// Leave the browser shut; with `demo`, end when the plan is printed.
    #[arg(long)]
    pub no_open: bool,
}

/// How to open the notebook.
#[derive(Debug, Args)]
pub struct Open {
    /// How to show the screens.
    #[command(flatten)]
    pub screens: Screens,
    /// The port on which paired devices exchange with the notebook; 0 takes any that is free.
    #[arg(long, value_name = "PORT", default_value_t = holebook_link::PORT)]
    pub port: u16,
    /// Keep the notebook off the network: paired devices do not reach it.
    #[arg(long)]
    pub no_shelf: bool,
}

/// How to pair.
#[derive(Debug, Args)]
pub struct Pair {
    /// Pair this computer with another shop computer, by the words or the link that it shows.
    #[arg(long, value_name = "CODE", num_args = 1.., conflicts_with_all = ["port", "light"])]
    pub code: Option<Vec<String>>,
    /// The port on which the other device finds this computer, unless it is open already; 0 takes any that is free.
    #[arg(long, value_name = "PORT", default_value_t = holebook_link::PORT)]
    pub port: u16,
    /// Draw the picture for a terminal with dark letters on a light ground.
    #[arg(long)]
    pub light: bool,
}

/// Which device to revoke.
#[derive(Debug, Args)]
pub struct Devices {
    /// Revoke the device of this name or number: it brings nothing and takes nothing from now on; what it brought stays.
    #[arg(long, value_name = "NAME")]
    pub revoke: Option<String>,
}

/// What to do about what is wrong.
#[derive(Debug, Args)]
pub struct Verify {
    /// Repair it: save all that still reads, move what is damaged to the notebook's folder `aside`, and delete nothing. The notebook
    /// may not be open meanwhile.
    #[arg(long)]
    pub repair: bool,
}

/// Which thread to show.
#[derive(Debug, Args)]
pub struct Thread {
    /// The thread, as the trade writes it: 3/8-16, 1/4-28 UNF, M10x1.25, 1/2-12 BSW, G 1/2, 1/2 NPT, 3/8-16 UNC-2B, M12 LH.
    #[arg(required = true, num_args = 1.., value_name = "THREAD")]
    thread: Vec<String>,
    /// The class of fit, such as 3B or 3A, 4H or 6g, where the thread's series has it [default: 2A and 2B, 6g and 6H].
    #[arg(long)]
    pub class: Option<String>,
}

/// What was measured.
#[derive(Debug, Args)]
pub struct Identify {
    /// Across the outside of the screw: 11.05mm, 7/16, .435.
    #[arg(long, value_name = "LENGTH", conflicts_with = "inside")]
    pub outside: Option<String>,
    /// Across the bore of the tapped hole: 9.4mm, .370.
    #[arg(long, value_name = "LENGTH", required_unless_present = "outside")]
    pub inside: Option<String>,
    /// What that reading may be off by, either way [default: 0.05mm].
    #[arg(long, value_name = "LENGTH")]
    pub error: Option<String>,
    /// The pitch: 14tpi, 1.8mm, or a length over so many pitches, 18.1mm/10 (ten pitches lie between eleven crests).
    #[arg(long, value_name = "PITCH")]
    pub pitch: Option<String>,
    /// What the pitch may be off by, either way [default: 0.02mm by a gauge, 0.25mm in all over several pitches].
    #[arg(long, value_name = "LENGTH", requires = "pitch")]
    pub pitch_error: Option<String>,
}

/// Which hole to drill, and from which drawer.
#[derive(Debug, Args)]
pub struct Drill {
    /// The thread that the bolt has, such as 3/8-16 or M10, or a diameter, such as 9.9mm, 25/64 or .390.
    #[arg(required = true, num_args = 1.., value_name = "WHAT")]
    what: Vec<String>,
    /// The kinds of drills at hand, with commas: fractional, letter, number, metric-tenth, metric-half-tenth; or inch,
    /// metric, all [default: as the notebook is set, else those usual for the thread].
    #[arg(long, value_name = "KINDS")]
    pub drawer: Option<String>,
    /// How much thread is engaged, which sets the limits of an inch thread's tapped hole [default: those of its class].
    #[arg(long, value_name = "LENGTH")]
    pub engagement: Option<String>,
}

/// Which inserts to show.
#[derive(Debug, Args)]
pub struct Insert {
    /// The thread that the bolt has: 3/8-16, M10. Without it, the shop's own files are named.
    ///
    /// The shop's own inserts are among the answers where --notebook names a notebook, or there is one in its usual place.
    #[arg(num_args = 1.., value_name = "THREAD")]
    thread: Vec<String>,
    /// Record a file of the shop's own inserts in the notebook, in place of the one of that name.
    #[arg(long, value_name = "FILE", conflicts_with = "thread")]
    pub add: Option<PathBuf>,
    /// Look whether a file of inserts is in order, and record nothing.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["thread", "add"])]
    pub check: Option<PathBuf>,
    /// Strike a file of the shop's own inserts: it stays readable in the journal, and is offered no more.
    #[arg(long, value_name = "NAME", conflicts_with_all = ["thread", "add", "check"])]
    pub remove: Option<String>,
}

/// Which hole to judge.
#[derive(Debug, Args)]
pub struct Remedies {
    /// The JSON file with the hole's thread, readings and damage; `-` reads it from standard input.
    ///
    /// `"errors": {"depth_mm": 0.2, "floor_mm": 0.5}` says how far readings may be off, also for `nearest_edge_mm`,
    /// `nearest_hole_mm` and `mating_hole_mm`; a line of the damage takes `diameter_error_mm` and `offset_error_mm`, a hard zone
    /// `error_mm`. What fits must fit at the worst of them.
    ///
    /// A line of the damage that tapers or leans names its lower end with `to_diameter_mm`, `to_offset_mm`, `to_direction_deg`. An old hole
    /// that leans is `"lean": {"by_mm": 1.2, "over_mm": 25, "direction_deg": 40}`, or `"tilt_deg": 2.7` in place of the two lengths.
    #[arg(long, value_name = "FILE")]
    pub hole: PathBuf,
}

/// Which face's sheet, and where to.
#[derive(Debug, Args)]
pub struct Sheet {
    /// The face, by its id or its name; may be left out where the notebook has one face.
    #[arg(long)]
    pub face: Option<String>,
    /// The file to write.
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
}

/// Which shelf. Without any, every shelf that this notebook exchanged with before.
#[derive(Debug, Args)]
pub struct Exchange {
    /// A folder shelf: a folder that the other devices reach too, or one on a stick.
    #[arg(long, value_name = "DIR")]
    pub folder: Option<PathBuf>,
    /// A shop computer that this one is paired with; its name may be left out where there is one.
    #[arg(long, value_name = "NAME", num_args = 0..=1, default_missing_value = "", conflicts_with = "folder")]
    pub shop: Option<String>,
    /// A bundle that somebody handed on: what is new in it is taken, and nothing is left in it.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["folder", "shop"])]
    pub bundle: Option<PathBuf>,
    /// A bucket, or a WebDAV folder.
    #[cfg(feature = "bucket")]
    #[command(flatten)]
    pub bucket: Bucket,
}

/// Which bucket, and the way to it. What is left out is as it was the last time.
#[cfg(feature = "bucket")]
#[derive(Debug, Args)]
pub struct Bucket {
    /// A bucket of an S3-compatible store, s3://bucket/folder, or a WebDAV folder, https://host/folder.
    #[arg(long, value_name = "ADDRESS", conflicts_with_all = ["folder", "shop", "bundle"])]
    pub bucket: Option<String>,
    /// Where the bucket's store answers: https://host.
    #[arg(long, value_name = "ADDRESS", requires = "bucket")]
    pub endpoint: Option<String>,
    /// The file with its keys, which only you may read: `key = "..."` and `secret = "..."`, and `region` where the store has one;
    /// `user` and `password` for a WebDAV folder [default: the environment's AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY].
    #[arg(long, value_name = "FILE", requires = "bucket")]
    pub bucket_keys: Option<PathBuf>,
    /// Take an address that begins with http://, where the network is yours alone: what goes there can be read on the way.
    #[arg(long, requires = "bucket")]
    pub unencrypted: bool,
}

/// What to write, and where to.
#[derive(Debug, Args)]
pub struct Bundle {
    /// The file to write, such as barn.zip.
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Only what was written here and lies on no shelf yet, for whoever has the rest [default: all of the notebook].
    #[arg(long)]
    pub not_home: bool,
    /// Take the place of a file of that name.
    #[arg(long)]
    pub replace: bool,
}

// A designation has blanks in it, and nobody at a bench thinks of quotation marks: `holebook thread 1/2 BSW` is one thread.

impl Thread {
    /// The thread as it was written, its words put together.
    pub fn thread(&self) -> String {
        self.thread.join(" ")
    }
}

impl Drill {
    /// The thread or diameter as it was written.
    pub fn what(&self) -> String {
        self.what.join(" ")
    }
}

impl Insert {
    /// The thread as it was written; none where only the shop's own files are asked for.
    pub fn thread(&self) -> Option<String> {
        (!self.thread.is_empty()).then(|| self.thread.join(" "))
    }
}
