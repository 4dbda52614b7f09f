//! The command line: commands, options, and their help.

use crate::serve::access::HostName;
use clap::{ArgGroup, Args, Parser, Subcommand, ValueEnum};
use holebook_core::hole::work_order::HardHoles;
use holebook_core::length;
use std::path::PathBuf;

/// A notebook for threaded holes in old castings: measure, decide, cut, install, check.
#[derive(Debug, Parser)]
#[command(name = "holebook", version, disable_help_subcommand = true)]
pub struct CommandLine {
    /// Options that every command takes.
    #[command(flatten)]
    pub common: Common,
    /// The command.
    #[command(subcommand)]
    pub command: Command,
}

/// Options that every command takes.
#[derive(Debug, Args)]
pub struct Common {
    /// The notebook's folder [default: a folder for this program in your data folder].
    #[arg(long, global = true, value_name = "DIR")]
    pub notebook: Option<PathBuf>,
    /// Print one JSON value, for scripts, instead of text.
    #[arg(long, global = true)]
    pub json: bool,
    /// Show lengths in inches or millimeters [default: the notebook's setting].
    #[arg(long, global = true, value_name = "UNIT")]
    pub unit: Option<Unit>,
}

/// The unit that lengths are shown in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Unit {
    /// Inches.
    In,
    /// Millimeters.
    Mm,
}

impl From<Unit> for length::Unit {
    fn from(unit: Unit) -> Self {
        match unit {
            Unit::In => Self::Inch,
            Unit::Mm => Self::Millimeter,
        }
    }
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Make the invented sample notebook, print its plan, and open it in the browser.
    Demo(Screens),
    /// Open the notebook in the browser, and let paired devices sync with it.
    Open(Open),
    /// Show a thread's sizes, limits, and tap drill.
    Thread(Thread),
    /// Identify a thread from a caliper reading, and a pitch gauge reading if there is one.
    Identify(Identify),
    /// Find the nearest drills in your drawer for a thread or a diameter.
    Drill(Drill),
    /// Show the inserts for a thread, with drill, tap, countersink, and depths; add your own from a
    /// file.
    Insert(Insert),
    /// Show the remedies for one hole, from a JSON file that describes it.
    Remedies(Remedies),
    /// Work out where things are on a face: lost centers, coordinates from a photo or a caliper,
    /// flatness, leveling, table moves, the order of tightening.
    Place(Place),
    /// List the castings, faces, and holes in the notebook, or the order of their work.
    List(List),
    /// List what the open work takes, counted against the drawer: what to buy; or which drills and
    /// taps are worn.
    Kit(Kit),
    /// Write a sheet of a face to print: as PDF, or as one HTML page.
    Sheet(Sheet),
    /// Sync with a remote: a folder or stick, a shop computer, a bucket; without a name, with every
    /// known one.
    Sync(Sync),
    /// Write entries and photos as one file, to send by mail, cable, or stick.
    Bundle(Bundle),
    /// Write the whole notebook as a folder of plain files, or one casting as one page to send:
    /// readable without this program.
    Export(Export),
    /// Pair another device with this notebook: show a pairing code to scan or type.
    Pair(Pair),
    /// List the paired devices with the last sync of each, or revoke one.
    Devices(Devices),
    /// Check the notebook for damage: its journal, its photos, and its tables.
    Verify(Verify),
}

/// Options for the screens.
#[derive(Debug, Args)]
pub struct Screens {
    /// Don't open the browser; with `demo`, exit once the plan is printed.
    #[arg(long)]
    pub no_open: bool,
    /// Serve the screens at 127.0.0.1 instead of a name under `localhost`, for a browser that does
    /// not open such names. Other servers on this computer that the browser visits can then use
    /// the notebook while it is open.
    #[arg(long)]
    pub by_address: bool,
}

/// Options of `open`.
#[derive(Debug, Args)]
pub struct Open {
    /// Options for the screens.
    #[command(flatten)]
    pub screens: Screens,
    /// The port that paired devices sync over; 0 picks a free one.
    #[arg(long, value_name = "PORT", default_value_t = holebook_sync::PORT)]
    pub port: u16,
    /// Keep the notebook off the network, so that paired devices cannot reach it.
    #[arg(long)]
    pub no_network: bool,
}

/// Options of `pair`.
#[derive(Debug, Args)]
pub struct Pair {
    /// Pair this computer with another shop computer by the code or link that it shows.
    #[arg(long, value_name = "CODE", num_args = 1.., conflicts_with_all = ["port", "light"])]
    pub code: Option<Vec<String>>,
    /// The port that the other device finds this computer on; 0 picks a free one.
    #[arg(long, value_name = "PORT", default_value_t = holebook_sync::PORT)]
    pub port: u16,
    /// Draw the QR code for a terminal with dark text on a light background.
    #[arg(long)]
    pub light: bool,
}

/// Options of `devices`.
#[derive(Debug, Args)]
pub struct Devices {
    /// Revoke the device with this number, or with this name if no other has it. It can no longer
    /// sync; its entries stay.
    #[arg(long, value_name = "NUMBER")]
    pub revoke: Option<String>,
}

/// Options of `verify`.
#[derive(Debug, Args)]
pub struct Verify {
    /// Repair the notebook: save everything readable, move damaged files to its folder `aside`, and
    /// delete nothing. Close the notebook first.
    #[arg(long)]
    pub repair: bool,
    /// Accept that lost entries stay lost, if no remote has them. Entries after them are recorded
    /// again, so that they sync.
    #[arg(long, conflicts_with = "repair")]
    pub accept: bool,
}

/// Options of `thread`.
#[derive(Debug, Args)]
pub struct Thread {
    /// The thread, as the trade writes it: 3/8-16, 1/4-28 UNF, M10x1.25, 1/2-12 BSW, G 1/2, 1/2
    /// NPT, 3/8-16 UNC-2B, M12 LH.
    #[arg(required = true, num_args = 1.., value_name = "THREAD")]
    thread: Vec<String>,
    /// The class of fit, such as 3B, 3A, 4H, or 6g, if the series has it [default: 2A and 2B, 6g
    /// and 6H].
    #[arg(long)]
    pub class: Option<String>,
}

/// Options of `identify`.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("reading").required(true).args(["outside", "inside"]))]
pub struct Identify {
    /// Outside diameter of the screw: 11.05mm, 7/16, .435.
    #[arg(long, value_name = "LENGTH")]
    pub outside: Option<String>,
    /// Bore of the tapped hole: 9.4mm, .370.
    #[arg(long, value_name = "LENGTH")]
    pub inside: Option<String>,
    /// Tolerance of that reading, plus or minus [default: 0.05mm].
    #[arg(long, value_name = "LENGTH")]
    pub error: Option<String>,
    /// The pitch: 14tpi, 1.8mm, or a length over several pitches, 18.1mm/10 (eleven crests span ten
    /// pitches).
    #[arg(long, value_name = "PITCH")]
    pub pitch: Option<String>,
    /// Tolerance of the pitch, plus or minus [default: 0.02mm with a gauge, 0.25mm in all over
    /// several pitches].
    #[arg(long, value_name = "LENGTH", requires = "pitch")]
    pub pitch_error: Option<String>,
}

/// Options of `drill`.
#[derive(Debug, Args)]
pub struct Drill {
    /// The bolt's thread, such as 3/8-16 or M10, or a diameter, such as 9.9mm, 25/64, or .390.
    #[arg(required = true, num_args = 1.., value_name = "WHAT")]
    what: Vec<String>,
    /// The kinds of drills you have, separated by commas: fractional, letter, number, metric-tenth,
    /// metric-half-tenth; or inch, metric, all [default: the notebook's setting, else the usual
    /// ones for the thread].
    #[arg(long, value_name = "KINDS")]
    pub drawer: Option<String>,
    /// Length of engagement, which sets the limits of an inch thread's tapped hole [default: those
    /// of its class].
    #[arg(long, value_name = "LENGTH")]
    pub engagement: Option<String>,
}

/// Options of `insert`.
#[derive(Debug, Args)]
pub struct Insert {
    /// The bolt's thread: 3/8-16, M10. Without it, lists your own insert files.
    ///
    /// Your own inserts are included if --notebook names a notebook or there is one in the usual
    /// place.
    #[arg(num_args = 1.., value_name = "THREAD")]
    thread: Vec<String>,
    /// Record a file of your own inserts in the notebook; it replaces the one with the same name.
    #[arg(long, value_name = "FILE", conflicts_with = "thread")]
    pub add: Option<PathBuf>,
    /// Validate a file of inserts without recording it.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["thread", "add"])]
    pub check: Option<PathBuf>,
    /// Strike out a file of your own inserts: it stays readable in the journal but is no longer
    /// offered.
    #[arg(long, value_name = "NAME", conflicts_with_all = ["thread", "add", "check"])]
    pub remove: Option<String>,
}

/// Options of `remedies`.
#[derive(Debug, Args)]
pub struct Remedies {
    /// The JSON file with the hole's thread, readings and damage; `-` reads it from standard input.
    ///
    /// `"errors": {"depth_mm": 0.2, "floor_mm": 0.5}` gives the tolerances of readings, also of
    /// `nearest_edge_mm`, `nearest_hole_mm`, and `mating_hole_mm`; a damage entry takes
    /// `diameter_tolerance_mm` and `offset_tolerance_mm`, a hard zone `tolerance_mm`. Fits are
    /// checked at the worst case.
    ///
    /// Damage that tapers or leans gives its lower end as `to_diameter_mm`, `to_offset_mm`,
    /// `to_direction_deg`. An old hole that is not square is `"lean": {"by_mm": 1.2, "over_mm": 25,
    /// "direction_deg": 40}`, or `"tilt_deg": 2.7` instead of the two lengths.
    ///
    /// `"full_diameter_mm"` is the depth to where the drill's cone starts, `"full_thread_mm"` that to
    /// the last whole thread. `"nearest_hole_diameter_mm"` is the outside diameter of the neighbor's
    /// thread or insert. `"pressure_behind_wall": true` raises what a wall and a floor need. The bolt
    /// in hand is `"bolt": {"grade": "SAE J429 grade 5", "length_mm": 44.5, "thread_length_mm": 25}`.
    /// Any other key is refused.
    #[arg(long, value_name = "FILE")]
    pub hole: PathBuf,
    /// A JSON file with limits to judge by, such as `{"wall_mm": 2.5}`; else those of the notebook.
    #[arg(long, value_name = "FILE")]
    pub limits: Option<PathBuf>,
}

/// Options of `place`.
#[derive(Debug, Args)]
pub struct Place {
    /// What to work out.
    #[command(subcommand)]
    pub question: PlaceQuestion,
}

/// What to work out about a face. Each reads one JSON file; lengths are millimeters.
#[derive(Debug, Subcommand)]
pub enum PlaceQuestion {
    /// Fit the wanted pattern to the holes found: predicted centers, and which holes wandered.
    ///
    /// {"wanted": [{"hole": 1, "x_mm": 0, "y_mm": 0}], "found": [{"hole": 1, "x_mm": 0, "y_mm": 0,
    /// "error_mm": 0.1}], "mirror": false, "scale": false}. `error_mm` is a standard deviation,
    /// about half of a ± tolerance; a wanted hole may have one too.
    Pattern(PlaceFile),
    /// Make a wanted pattern: a line, circle, ellipse, slot, or grid of holes.
    ///
    /// {"shape": "circle", "center": {"x_mm": 0, "y_mm": 0}, "diameter_mm": 200, "count": 8}; `slot`
    /// and `ellipse` take `width_mm` and `height_mm`, `line` takes `start` and `step`, and `grid`
    /// also `columns`, `row_step`, and `rows`.
    Layout(PlaceFile),
    /// Work out coordinates from caliper distances alone.
    ///
    /// {"holes": [{"hole": 1, "diameter_mm": 10}], "distances": [{"from": 1, "to": 2, "reading_mm":
    /// 50, "across": "far-sides", "error_mm": 0.05}]}. `across` is `centers`, `far-sides`, or
    /// `near-sides`. A hole may have `"rough": {"x_mm": 0, "y_mm": 0}` off a sketch, to decide on
    /// which side of others it lies.
    Distances(PlaceFile),
    /// Make a photo measurable by points of known place, and place its marks.
    ///
    /// {"known": [{"px": 0, "py": 0, "x_mm": 0, "y_mm": 0}], "marks": [{"px": 0, "py": 0}]}.
    /// Optional: `mark_error_px` (standard deviation, else 1), `width_px`, `height_px`.
    Plane(PlaceFile),
    /// Compare the places that several photos give.
    ///
    /// {"points": [{"photo": 1, "hole": 1, "x_mm": 0, "y_mm": 0, "error_mm": 0.2}]}
    Photos(PlaceFile),
    /// Judge a face by height readings: flatness, and the least cut that cleans it up.
    ///
    /// {"points": [{"x_mm": 0, "y_mm": 0, "z_mm": 0}], "holes": [{"hole": 1, "x_mm": 0, "y_mm": 0}]},
    /// z out of the metal; the holes are optional.
    Flatness(PlaceFile),
    /// Level a face on jacks: the turns of each screw, and their order.
    ///
    /// {"points": [{"x_mm": 0, "y_mm": 0, "z_mm": 0}], "jacks": [{"jack": 1, "x_mm": 0, "y_mm": 0,
    /// "lead_mm": 1.5}]}
    Leveling(PlaceFile),
    /// Work out what the droop of a machine's table mills into a face.
    ///
    /// {"one_end_mm": -0.05, "middle_mm": 0, "other_end_mm": -0.04, "travel_mm": 600, "face_mm": 400}
    Droop(PlaceFile),
    /// Lay two faces on each other: where they touch, and how much they rock.
    ///
    /// {"lower": [{"x_mm": 0, "y_mm": 0, "z_mm": 0}], "upper": [the same places, heights out of the
    /// upper part's metal]}
    Rocking(PlaceFile),
    /// Work out table moves from a reference hole, for handwheels or a readout.
    ///
    /// {"holes": [{"hole": 1, "x_mm": 0, "y_mm": 0}], "reference": 1, "alignment": {"by":
    /// "second-hole", "hole": 2, "reads_x_mm": 100, "reads_y_mm": 0.2}, "x_wheel": {"lead_mm": 2.54,
    /// "divisions": 100, "approach": "rising", "backlash_mm": 0.2}}. `alignment` may also be {"by":
    /// "as-drawn"} or {"by": "angle", "angle_deg": 1.5}. Optional: `y_wheel`, `visit`, `keep_order`.
    Moves(PlaceMoves),
    /// Work out the order in which to tighten a joint.
    ///
    /// {"holes": [{"hole": 1, "x_mm": 0, "y_mm": 0}]}
    Tightening(PlaceFile),
}

/// The file that a question about a face is read from.
#[derive(Debug, Args)]
pub struct PlaceFile {
    /// The JSON file; `-` reads it from standard input.
    #[arg(long, value_name = "FILE")]
    pub file: PathBuf,
}

/// Options of `place moves`.
#[derive(Debug, Args)]
pub struct PlaceMoves {
    /// The file.
    #[command(flatten)]
    pub input: PlaceFile,
    /// Print a drill list as comma-separated values, in the reader's unit.
    #[arg(long, conflicts_with_all = ["json", "dxf"])]
    pub csv: bool,
    /// Print the holes as a DXF drawing with a point and a number each, in millimeters.
    #[arg(long, conflicts_with = "json")]
    pub dxf: bool,
}

/// Options of `list`.
#[derive(Debug, Args)]
pub struct List {
    /// List the steps that are left in the order that changes tools least, holes with hard metal last
    /// or first.
    #[arg(
        long,
        value_name = "HARD",
        value_enum,
        num_args = 0..=1,
        default_missing_value = "hard-last"
    )]
    pub order: Option<Order>,
    /// Order only the work on this casting, by id or name; may be repeated.
    #[arg(long, value_name = "CASTING", requires = "order")]
    pub casting: Vec<String>,
}

/// When holes with hard metal get their turn with each tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Order {
    /// After the others.
    HardLast,
    /// Before the others.
    HardFirst,
}

impl From<Order> for HardHoles {
    fn from(order: Order) -> Self {
        match order {
            Order::HardLast => Self::Last,
            Order::HardFirst => Self::First,
        }
    }
}

/// Options of `kit`.
#[derive(Debug, Args)]
pub struct Kit {
    /// Only for this casting, by id or name; may be repeated [default: all].
    #[arg(long, value_name = "CASTING")]
    pub casting: Vec<String>,
    /// As CSV, for a spreadsheet.
    #[arg(long)]
    pub csv: bool,
    /// Write it to this file.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Replace an existing file.
    #[arg(long, requires = "out")]
    pub replace: bool,
    /// List the drills and taps in use instead: the holes that each cut since it was new or
    /// sharpened, the most worn first.
    #[arg(long, conflicts_with_all = ["csv", "out"])]
    pub wear: bool,
    /// Record that a drill or tap is new or sharpened, by its name as --wear prints it.
    #[arg(long, value_name = "TOOL", conflicts_with_all = ["csv", "out", "wear", "casting"])]
    pub renewed: Option<String>,
}

/// Options of `sheet`.
#[derive(Debug, Args)]
pub struct Sheet {
    /// The face, by id or name; not needed if the notebook has one face.
    #[arg(long)]
    pub face: Option<String>,
    /// The file to write; its name ends in .pdf or .html.
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Which sheet: `work` for the machine, `record` for the casting's file, `template` with the holes
    /// in true scale, `label` for the crate, `bolt-up` with a box for each bolt and pass. `template` and
    /// `label` only as PDF.
    #[arg(long, value_enum, default_value_t = SheetKindArg::Work)]
    pub kind: SheetKindArg,
    /// The paper of a PDF; Letter with inches and A4 with millimeters if it is not given.
    #[arg(long, value_enum)]
    pub paper: Option<PaperArg>,
    /// How the bolts of the bolt-up sheet are lubricated; its torque is for that alone [default: as
    /// the bolts that are tightened are recorded, or else oiled].
    #[arg(long, value_enum)]
    pub bolts: Option<BoltsArg>,
    /// Replace an existing file.
    #[arg(long)]
    pub replace: bool,
}

/// How bolts are lubricated when they are tightened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum BoltsArg {
    /// Plain steel, dry.
    Dry,
    /// Machine oil.
    Oiled,
    /// Zinc plated, dry.
    Zinc,
}

/// Which sheet of a face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SheetKindArg {
    /// The marked photo, and a line per hole in working order with boxes to write in.
    Work,
    /// As found, as cut, by whom, with what, checks and limits.
    Record,
    /// The holes in true scale.
    Template,
    /// For the crate.
    Label,
    /// For the wrench: the order of tightening, the torque of each pass, and boxes to tick.
    BoltUp,
}

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PaperArg {
    /// US Letter.
    Letter,
    /// ISO A4.
    A4,
}

/// Options of `sync`. Without one, syncs with every known remote.
#[derive(Debug, Args)]
pub struct Sync {
    /// A folder that the other devices can reach too, or one on a stick.
    #[arg(long, value_name = "DIR")]
    pub folder: Option<PathBuf>,
    /// Create the folder if only its last part is missing.
    #[arg(long, requires = "folder")]
    pub create: bool,
    /// A shop computer that this one is paired with; no name needed if there is only one.
    #[arg(long, value_name = "NAME", num_args = 0..=1, default_missing_value = "", conflicts_with = "folder")]
    pub shop: Option<String>,
    /// A bundle to import: pulls what is new in it and pushes nothing.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["folder", "shop"])]
    pub bundle: Option<PathBuf>,
    /// A bucket or a WebDAV folder.
    #[cfg(feature = "bucket")]
    #[command(flatten)]
    pub bucket: Bucket,
}

/// A bucket and how to reach it. Options you leave out keep their last value.
#[cfg(feature = "bucket")]
#[derive(Debug, Args)]
pub struct Bucket {
    /// A bucket of an S3-compatible store, s3://bucket/folder, or a WebDAV folder,
    /// https://host/folder.
    #[arg(long, value_name = "ADDRESS", conflicts_with_all = ["folder", "shop", "bundle"])]
    pub bucket: Option<String>,
    /// The address of the bucket's store: https://host.
    #[arg(long, value_name = "ADDRESS", requires = "bucket")]
    pub endpoint: Option<String>,
    /// The file with its keys, readable by you alone: `key = "..."` and `secret = "..."`, and
    /// `region` if the store has one; `user` and `password` for WebDAV [default: AWS_ACCESS_KEY_ID
    /// and AWS_SECRET_ACCESS_KEY in the environment].
    #[arg(long, value_name = "FILE", requires = "bucket")]
    pub bucket_keys: Option<PathBuf>,
    /// Allow an http:// address, on a network that is yours alone: others on the way can read what
    /// you sync.
    #[arg(long, requires = "bucket")]
    pub unencrypted: bool,
}

/// Options of `bundle`.
#[derive(Debug, Args)]
pub struct Bundle {
    /// The file to write, such as barn.zip.
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Only entries of this device that are not synced yet [default: the whole notebook].
    #[arg(long)]
    pub not_synced: bool,
    /// Replace an existing file.
    #[arg(long)]
    pub replace: bool,
}

/// Options of `export`.
#[derive(Debug, Args)]
pub struct Export {
    /// The folder to write; with --casting, the HTML file.
    #[arg(long, value_name = "PATH")]
    pub out: PathBuf,
    /// Write only this casting, by id or name, as one HTML page with its photos, made smaller.
    #[arg(long, value_name = "CASTING")]
    pub casting: Option<String>,
    /// Replace an earlier export or an existing file.
    #[arg(long)]
    pub replace: bool,
}

// A designation may contain spaces and is typed without quotes: `holebook thread 1/2 BSW` is one
// thread.

impl Thread {
    /// The thread as typed, its words joined.
    pub fn thread(&self) -> String {
        self.thread.join(" ")
    }
}

impl Drill {
    /// The thread or diameter as typed.
    pub fn what(&self) -> String {
        self.what.join(" ")
    }
}

impl Insert {
    /// The thread as typed; `None` lists your own insert files.
    pub fn thread(&self) -> Option<String> {
        (!self.thread.is_empty()).then(|| self.thread.join(" "))
    }
}

impl Screens {
    /// The host name in the address.
    pub fn host(&self) -> HostName {
        match self.by_address {
            true => HostName::Address,
            false => HostName::Random,
        }
    }
}
